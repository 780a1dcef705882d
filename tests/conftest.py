"""Settings of every test run: fixed seeds, a data folder of its own, and broken builds by name."""

from __future__ import annotations

import importlib.util
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

TESTS = Path(__file__).resolve().parent
settings.register_profile("test", derandomize=True, deadline=None, max_examples=60,
                          suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("soak", derandomize=False, deadline=None, max_examples=2000,
                          suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("TERSUM_TEST_PROFILE", "test"))


def pytest_addoption(parser):
    parser.addoption("--broken", default=None, help="apply the patch tests/broken/NAME.py before the tests")
    parser.addoption("--cases", action="append", default=[], help="a check file to run, not tests/published/*.toml")


def broken_build(name):
    """Load one named patch."""
    path = TESTS / "broken" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(f"broken_{name}", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(autouse=True, scope="session")
def _broken(request):
    name = request.config.getoption("--broken")
    patch = pytest.MonkeyPatch()
    if name:
        broken_build(name).apply(patch)
    yield
    patch.undo()


@pytest.fixture(autouse=True)
def _own_home(tmp_path, monkeypatch):
    """Keep every test out of the real data folder and in one language."""
    monkeypatch.setenv("TERSUM_HOME", str(tmp_path / "tersum-home"))
    monkeypatch.setenv("TERSUM_LANG", "en")


def pytest_terminal_summary(terminalreporter):
    """List the controls that went red, as they must, where a reader of CI sees them."""
    rows = [dict(report.user_properties) for report in terminalreporter.getreports("passed")
            if "control" in dict(report.user_properties)]
    if rows:
        terminalreporter.section("negative controls: each patch made its test fail")
        for row in sorted(rows, key=lambda one: one["control"]):
            terminalreporter.write_line(f"{row['control']}: {row['what']}")

"""Every guarantee has a build that breaks it: under the named patch the same test must fail."""

import subprocess
import sys
from pathlib import Path

import pytest

from conftest import TESTS, broken_build

NAMES = sorted(path.stem for path in (TESTS / "broken").glob("*.py") if path.stem != "__init__")


@pytest.mark.control
@pytest.mark.parametrize("name", NAMES)
def test_broken_build_turns_its_tests_red(name, record_property):
    module = broken_build(name)
    record_property("control", name)
    record_property("what", module.WHAT)
    for node in module.BREAKS:
        command = [sys.executable, "-m", "pytest", node, "--broken", name, "-q", "-p", "no:cacheprovider",
                   "-p", "no:xdist"]
        done = subprocess.run(command, cwd=Path(TESTS).parent, capture_output=True, text=True, timeout=600)
        assert done.returncode == 1, f"{node} did not fail under {name}:\n{done.stdout[-3000:]}{done.stderr[-1000:]}"
        assert " failed" in done.stdout and " error" not in done.stdout.splitlines()[-1], done.stdout[-2000:]

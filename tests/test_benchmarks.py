"""The benchmarks: each has what the driver asks for, and a missed goal is called missed."""

import importlib
import sys
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent.parent / "benchmarks"


@pytest.fixture
def module(monkeypatch):
    monkeypatch.syspath_prepend(str(FOLDER))
    kept = set(sys.modules)
    yield importlib.import_module
    for name in set(sys.modules) - kept:
        if str(getattr(sys.modules[name], "__file__", "")).startswith(str(FOLDER)):
            del sys.modules[name]


def test_every_benchmark_says_what_it_measures_and_how(module):
    names = module("run").MODULES
    assert {"decide_million", "command_start"} <= set(names)
    for name in names:
        benchmark = module(name)
        assert benchmark.NAME and benchmark.GOAL and callable(benchmark.measure)


def test_a_goal_is_kept_up_to_its_ratio_and_memory(module):
    result = module("measuring").Result
    assert result("a", "b", 2.0, 2.0, 1.0).kept is True
    assert result("a", "b", 2.0, 2.1, 1.0).kept is False
    assert result("a", "b", 2.0, 1.0, 1.0, peak_mb=1001.0, peak_goal_mb=1000.0).kept is False
    assert result("a", "b", 2.0, missing="not there").kept is None
    assert result("a", "b", None, 9.0, 1.0).kept is None


@pytest.mark.parametrize(("kept", "word"), [(True, "yes"), (False, "NO"), (None, "reported only")])
def test_what_is_reported_only_is_shown_as_such(module, capsys, kept, word):
    goal = {True: 10.0, False: 1.0, None: None}[kept]
    module("run").show({"m": [module("measuring").Result("a", "b", goal, 9.0, 1.0).as_json()]})
    assert f"  {word} (against b)" in capsys.readouterr().out


def test_both_sides_are_run_in_turns_and_equally_often(module):
    order = []
    found = module("measuring").compare("a", lambda: order.append("ours"), lambda: order.append("reference"),
                                        reference_name="b", goal_ratio=2.0, runs=3)
    assert order == ["ours", "reference"] + ["reference", "ours"] * 3
    assert found.runs == 3 and found.ratio > 0

"""Each case of the check files is one test: inputs in, published figures out, within the stated tolerance."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

import pytest

from published.adapters import Question, answer, is_claimed
from published.comparison import differences

HERE = Path(__file__).resolve().parent


def pytest_generate_tests(metafunc):
    given = [Path(name) for name in metafunc.config.getoption("--cases")]
    cases = [(path, case) for path in given or sorted(HERE.glob("*.toml")) for case in read(path)]
    ids = [case["id"] for _, case in cases]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice or not cases:
        raise pytest.UsageError(f"ids that stand twice: {', '.join(twice)}" if twice else "no case in the check files")
    metafunc.parametrize(("path", "case"), cases, ids=ids)


def read(path):
    """Return the cases of one file; one without id, topic, inputs or expected results is a fault of the file."""
    try:
        cases = tomllib.loads(path.read_text(encoding="utf-8"))["check"]
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, KeyError) as fault:
        raise pytest.UsageError(f"{path} is no check file: {fault!r}") from fault
    for number, case in enumerate(cases, start=1):
        missing = [name for name in ("id", "topic", "inputs", "expected") if name not in case]
        if missing:
            raise pytest.UsageError(f"{path}: case {number} ({case.get('id', 'no id')}) lacks {', '.join(missing)}")
    return cases


def question(case):
    """Return what an adapter may know: a copy of the inputs, their units, and the source that names the method."""
    inputs = copy.deepcopy(case["inputs"])
    units = {name: unit for name, unit in case.get("units", {}).items() if name in inputs}
    return Question(case["topic"], inputs, units, case.get("source", ""))


@pytest.mark.published
def test_case(path, case):
    if not is_claimed(case["topic"]):
        pytest.skip(f"topic {case['topic']!r} is not claimed")
    results = answer(question(case))
    # Only now is looked at what should have come out.
    wrong = differences(results, case["expected"], case.get("tolerance", {}))
    assert not wrong, f"{path.name}: {'; '.join(wrong)}"

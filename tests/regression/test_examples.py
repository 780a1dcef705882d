"""The example readings are what the seeded simulator makes, and end as the README says."""

import importlib.util
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SPEC = importlib.util.spec_from_file_location("make_examples", ROOT / "tools" / "make_examples.py")
EXAMPLES = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(EXAMPLES)


@pytest.mark.parametrize("name", sorted(EXAMPLES.STORIES))
def test_example_readings_come_out_of_the_simulator_again(name):
    rows, truth = EXAMPLES.rows_of(name)
    for file, made in (("readings.csv", rows), ("truth.csv", truth)):
        assert (ROOT / "examples" / name / file).read_text(encoding="utf-8") == EXAMPLES.text_of(made)


@pytest.mark.parametrize("path", sorted((ROOT / "examples").rglob("*.toml")), ids=lambda path: path.parent.name)
def test_every_example_says_that_it_is_invented(path):
    assert "invented" in path.read_text(encoding="utf-8").lower()

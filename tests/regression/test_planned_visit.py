"""The demo's visit that is only planned: an example before anything is done, under its own name."""

import subprocess
import tomllib
from pathlib import Path

import pytest

from tersum.visit.plan import plan_from

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("example", ["minibus-1", "minibus-3", "day-room"])
def test_planned_visit_is_the_example_before_anything_is_done(example):
    made = subprocess.run([str(ROOT / "tools/planned_visit.sh"), example, "next"], capture_output=True, text=True,
                          check=True).stdout
    table, whole = tomllib.loads(made), tomllib.loads((ROOT / "examples" / example / "visit.toml").read_text())
    plan = plan_from(table, book_spread_log10=0.205)
    assert plan.visit == "next" and plan.invented
    assert not {"carried_out", "ending"} & set(table) and "seed_hex" not in made
    assert [point.id for point in plan.points] == [point["id"] for point in whole["point"]]
    assert [step.id for step in plan.steps] == [step["id"] for step in whole["step"]]


def test_demo_plans_it():
    assert "planned_visit.sh minibus-1 minibus-1-next" in (ROOT / "tools/demo.sh").read_text()

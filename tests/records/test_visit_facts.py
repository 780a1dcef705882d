"""A visit goes into facts and comes back the same."""

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from tersum.records import canonical, fact_types
from tersum.records.heat_on_record import heat_on_record
from tersum.records.visit_facts import needs_of, plan_data, plan_of, reading_of, reading_row, work_data, work_of
from tersum.visit.carried_out import SolutionNeeds, work_from
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
VISIT_ID = "0198c1de-0000-7000-8000-000000000001"
NEEDS = {"disinfect": SolutionNeeds(0.025, 0.02, 0.03, None), "wash": SolutionNeeds(0.05, 0.04, 0.06, 8.0)}
VISITS = sorted(path.parent.name for path in EXAMPLES.glob("*/visit.toml"))


def visit(name):
    return tomllib.loads((EXAMPLES / name / "visit.toml").read_text(encoding="utf-8"))


def through_json(value):
    return canonical.parsed(canonical.canonical(value))


@pytest.mark.parametrize("name", VISITS)
def test_plan_comes_back_the_same(name):
    plan = plan_from(visit(name), book_spread_log10=0.205)
    data = through_json(plan_data(plan, visit_id=VISIT_ID, draw_commitment="0" * 64, needs=NEEDS))
    assert needs_of(data) == NEEDS
    assert fact_types.TYPES["visit-planned", 1].data.faults("/data", data) == []
    assert plan_of(data, plan.organisation) == plan


@pytest.mark.parametrize("name", VISITS)
def test_work_comes_back_the_same(name):
    for work in work_from(visit(name)):
        if work.trace:  # what is sealed is the hash of the file and what it amounts to, not where it lay
            work = replace(work, trace=None, heat=heat_on_record(EXAMPLES / name, work.trace))
        data = through_json(work_data(work, VISIT_ID))
        assert fact_types.TYPES["step-carried-out", 1].data.faults("/data", data) == []
        assert work_of(data) == work


def test_plan_and_work_of_the_first_version_are_read_as_they_were():
    plan = plan_from(visit("minibus-1"), book_spread_log10=0.205)
    data = through_json(plan_data(plan, visit_id=VISIT_ID, draw_commitment="0" * 64, needs={}))
    first = {**data, "details": {"zone": plan.zone, "needs": {}},
             "steps": [{name: value for name, value in step.items() if name != "details"} for step in data["steps"]]}
    read = plan_of(first, plan.organisation)
    assert (read.wet_rule, read.water) == (1, None)
    assert all(step.surfaces == () and step.a0 is None for step in read.steps)
    assert through_json(plan_data(read, visit_id=VISIT_ID, draw_commitment="0" * 64, needs={})) == {
        **first, "draw": {**first["draw"]}}


@pytest.mark.parametrize(("low", "high", "raw"), [
    (412.5, 412.5, "412,5"), (0.0, 5.0, "<5"), (9999.0, math.inf, ">9999")])
def test_reading_comes_back_with_its_bounds_and_the_text_as_typed(low, high, raw):
    reading = Reading("grip", "cleaned", low, high, raw, blank_rlu=3.0, dry=True, rinsed=None, swab_lot="L1", row=7)
    row = through_json(reading_row(reading, {}, None))
    assert fact_types.READING.faults("/rows/0", row) == []
    assert reading_of(row) == reading

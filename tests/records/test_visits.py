"""One visit on record: sealed before its readings, each thing once, verdicts from stored facts alone."""

import tomllib
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tersum.errors import Faults
from tersum.records import visits
from tersum.records.canonical import plain
from tersum.records.store import open_store
from tersum.records.trouble import Conflict
from tersum.visit.carried_out import SolutionNeeds, Work, contacts, work_from
from tersum.visit.contact import WetMark
from tersum.visit.outcome import ended
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SEED = bytes(range(32))
NEEDS = {"disinfect": SolutionNeeds(0.025, 0.02, 0.03, 24.0)}


def at(minute):
    return datetime(2026, 3, 2, 9, minute, tzinfo=UTC)


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "home", "example", create=True, zone="Europe/Rome") as opened:
        yield opened


@pytest.fixture
def table():
    return tomllib.loads((EXAMPLES / "minibus-1" / "visit.toml").read_text(encoding="utf-8"))


@pytest.fixture
def plan(table):
    return plan_from(table, book_spread_log10=0.205)


def readings(plan, rlu=40.0):
    return [Reading(point.id, "cleaned", rlu, rlu, f"{rlu:g}", person="T. Example", note="row 2 is worn",
                    row=place) for place, point in enumerate(plan.points, start=2)]


def carried_through(store, table, plan, values):
    sealed = visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    visits.reveal(store, sealed)
    visits.record_work(store, sealed, work_from(table))
    visits.take_readings(store, sealed, values, file_sha256="0" * 64)
    visit = visits.kept(store, sealed)
    answers = visits.decided(visit)
    return visit, answers, visits.seal_decision(store, visit, answers)


def test_plan_sent_again_is_the_one_on_record(store, plan):
    first = visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    again = visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    assert (first.newly, again.newly, again.fact.fact_id) == (True, False, first.fact.fact_id)
    assert again.plan == plan


def test_plan_sealed_before_wet_looks_were_read_strictly_stays_as_it_was_sealed(store, plan):
    marks = (WetMark(at(0), "wet"), WetMark(at(6), "dry"))
    work = [Work("disinfect", at(0), at(9), 48.0, 952.0, at(0), wet=marks)]
    earlier = replace(plan, wet_rule=1, steps=plan.steps[-1:], water=None)
    sealed = visits.seal_plan(store, earlier, seed=SEED, needs=NEEDS)
    again = visits.seal_plan(store, replace(earlier, wet_rule=2), seed=SEED, needs=NEEDS)
    assert (again.newly, again.plan.wet_rule) == (False, 1)
    visits.record_work(store, sealed, work)
    [old] = contacts(visits.kept(store, again).sealed.plan, visits.kept(store, again).work)
    [new] = contacts(replace(earlier, wet_rule=2), work)
    assert (old.answer, new.answer) == ("met", "cannot-tell")


def test_changed_plan_under_a_sealed_name_is_refused(store, plan):
    visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    with pytest.raises(Conflict, match="is sealed and differs"):
        visits.seal_plan(store, replace(plan, blanks=3), seed=SEED, needs=NEEDS)
    with pytest.raises(Conflict, match="is sealed and differs"):
        visits.seal_plan(store, plan, seed=SEED[::-1], needs=NEEDS)


def test_seed_is_in_no_fact_before_it_is_shown(store, plan):
    sealed = visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    assert all(SEED.hex().encode() not in fact.body for fact in store.facts())
    assert visits.reveal(store, sealed) == SEED
    assert visits.reveal(store, sealed) == SEED
    assert [fact.type for fact in store.facts(type="draw-revealed")] == ["draw-revealed"]


def test_before_the_draw_is_shown_only_fixed_points_are_decided(store, plan):
    sealed = visits.seal_plan(store, plan, seed=SEED, needs=NEEDS)
    made, _ = visits.decided(visits.kept(store, sealed))
    assert [one.point for one in made.decisions] == [point.id for point in plan.points if point.fixed]


def test_names_and_notes_stay_outside_the_facts(store, table, plan):
    carried_through(store, table, plan, readings(plan))
    everything = b"".join(fact.body + b"".join(fact.rows) for fact in store.facts())
    assert b"T. Example" not in everything
    assert b"row 2 is worn" not in everything


def test_readings_sent_again_have_no_second_effect(store, table, plan):
    visit, answers, decision = carried_through(store, table, plan, readings(plan))
    before = store.head()
    again = carried_through(store, table, plan, readings(plan))
    assert again[2].fact_id == decision.fact_id
    assert store.head() == before


def test_later_swabs_of_the_same_file_are_added(store, table, plan):
    carried_through(store, table, plan, readings(plan))
    more = [*readings(plan), replace(readings(plan)[0], swab=2, low_rlu=50.0, high_rlu=50.0)]
    visit, answers, _ = carried_through(store, table, plan, more)
    assert len(visit.readings) == len(plan.points) + 1
    assert len(visit.reading_facts) == 2


def test_reading_changed_in_the_file_is_refused_with_what_was_on_record(store, table, plan):
    sealed = carried_through(store, table, plan, readings(plan))[0].sealed
    with pytest.raises(Faults, match="on record with 40, in the file 4"):
        visits.take_readings(store, sealed, readings(plan, 4.0), file_sha256="1" * 64)


def test_verdicts_are_computed_again_from_facts_alone(store, table, plan):
    visit, answers, decision = carried_through(store, table, plan, readings(plan, 200.0))
    facts = store.effective(visit_id=visit.sealed.visit_id)
    again = visits.recomputed(facts[decision.fact_id], facts)
    assert again == decision.data["verdicts"] == plain(answers[0].decisions)


def test_earlier_decision_is_recomputed_on_its_own_basis(store, table, plan):
    first = carried_through(store, table, plan, readings(plan))[2]
    more = [*readings(plan), replace(readings(plan)[0], round=2, low_rlu=900.0, high_rlu=900.0)]
    second = carried_through(store, table, plan, more)[2]
    facts = store.effective(visit_id=first.data["visit_id"])
    assert visits.recomputed(facts[first.fact_id], facts) == first.data["verdicts"]
    assert visits.recomputed(facts[second.fact_id], facts) == second.data["verdicts"]
    assert first.data["verdicts"] != second.data["verdicts"]


def test_open_visit_has_no_ending_and_a_finished_one_has_one(store, table, plan):
    visit, answers, decision = carried_through(store, table, plan, readings(plan, 900.0))
    assert visits.seal_ending(store, visit, decision, ended(answers[0].decisions, None)) is None
    again = [*readings(plan, 900.0), *(replace(one, round=2, low_rlu=40.0, high_rlu=40.0) for one in readings(plan))]
    visit, answers, decision = carried_through(store, table, plan, again)
    ending = visits.seal_ending(store, visit, decision, ended(answers[0].decisions, None))
    assert ending.data["ending"] == "finished"
    assert visits.seal_ending(store, visit, decision, ended(answers[0].decisions, None)).fact_id == ending.fact_id


def test_work_changed_under_the_same_start_is_refused(store, table, plan):
    sealed = carried_through(store, table, plan, readings(plan))[0].sealed
    changed = [replace(one, lot="another") for one in work_from(table)]
    with pytest.raises(Faults, match="on record with the same start and other figures"):
        visits.record_work(store, sealed, changed)

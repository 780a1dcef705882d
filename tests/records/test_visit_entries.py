"""Entries made at the visit: one effect however often sent, nothing twice, nothing after the end."""

import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tersum.errors import Faults
from tersum.records import ledger, visits
from tersum.records.store import open_store
from tersum.records.trouble import Conflict
from tersum.records.visit_entries import (
    SwabAlreadyRead,
    VisitHasEnded,
    end_visit,
    take_reading,
    withdraw_reading,
)
from tersum.records.visit_list import ended_visits, open_visits
from tersum.records.visit_reader import last_by_hand, open_visit
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
WHEEL = Reading("steering wheel", "cleaned", 41.0, 41.0, "41", surface="smooth", dry=True, rinsed=True,
                fresh_area=True, blank_rlu=3.0, person="T. Example", note="worn")


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "home", "example", create=True, zone="Europe/Rome") as opened:
        yield opened


@pytest.fixture
def visit(store):
    table = tomllib.loads((EXAMPLES / "minibus-1" / "visit.toml").read_text(encoding="utf-8"))
    sealed = visits.seal_plan(store, plan_from(table, book_spread_log10=0.205), seed=bytes(range(32)), needs={})
    visits.reveal(store, sealed)
    return open_visit(store, sealed.visit_id, "example")


def take_all(visit, rlu=9.0):
    for one in visit.walk().standings:
        take_reading(visit, Reading(one.point.id, "cleaned", rlu, rlu, f"{rlu:g}"), operation_id=visit.store.new_id())


def test_reading_sent_again_is_the_fact_it_became(visit):
    operation = visit.store.new_id()
    first = take_reading(visit, WHEEL, operation_id=operation)
    head = visit.store.head()
    assert take_reading(visit, WHEEL, operation_id=operation).fact_id == first.fact_id
    assert visit.store.head() == head
    assert [one.raw for one in visit.kept().readings] == ["41"]


@pytest.mark.parametrize("change", [{"raw": "14", "low_rlu": 14.0, "high_rlu": 14.0}, {"note": "torn"}, {"note": None},
                                    {"person": "A. Nother"}, {"dry": False}, {"blank_rlu": None}])
def test_same_operation_with_another_reading_is_refused(visit, change):
    operation = visit.store.new_id()
    take_reading(visit, WHEEL, operation_id=operation)
    head = visit.store.head()
    with pytest.raises(Conflict, match="sent before with other content"):
        take_reading(visit, replace(WHEEL, **change), operation_id=operation)
    assert visit.store.head() == head


def test_operation_of_another_kind_is_refused(visit):
    operation = visit.store.new_id()
    visit.store.append(visits.entry(visit.store, "step-carried-out", {
        "visit_id": visit.sealed.visit_id, "step": "wash", "started_utc": "2026-03-02T09:14:00.000000Z",
        "finished_utc": None}, operation_id=operation))
    for call in (lambda: take_reading(visit, WHEEL, operation_id=operation),
                 lambda: withdraw_reading(visit, visit.store.new_id(), operation_id=operation),
                 lambda: end_visit(visit, "stopped", "rain", operation_id=operation)):
        with pytest.raises(Conflict, match="sent before with other content"):
            call()


def test_one_form_sent_by_many_at_once_has_one_effect(visit):
    operation = visit.store.new_id()
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda _: take_reading(visit, WHEEL, operation_id=operation).fact_id, range(16)))
    assert len(set(made)) == 1 and len(visit.kept().readings) == 1


def test_one_swab_read_on_two_phones_is_kept_once_and_the_other_is_told(visit):
    take_reading(visit, WHEEL, operation_id=visit.store.new_id())
    with pytest.raises(SwabAlreadyRead, match="in the meantime with 41"):
        take_reading(visit, replace(WHEEL, raw="43"), operation_id=visit.store.new_id())


def test_time_note_and_what_was_typed_are_kept_and_names_stay_outside(visit):
    fact = take_reading(visit, WHEEL, operation_id=visit.store.new_id(), typed="4,100")
    [taken] = visit.taken("steering wheel")
    assert taken.typed == "4,100" and taken.reading.at == fact.when.utc[:17] + taken.reading.at[17:]
    assert visit.words(taken.note, "note") == "worn"
    assert b"T. Example" not in fact.body + fact.rows[0] and b"worn" not in fact.body + fact.rows[0]


def test_reading_taken_back_stays_on_record_and_its_swab_is_asked_for_again(visit):
    fact = take_reading(visit, WHEEL, operation_id=visit.store.new_id())
    operation = visit.store.new_id()
    first = withdraw_reading(visit, fact.fact_id, operation_id=operation)
    assert withdraw_reading(visit, fact.fact_id, operation_id=operation).fact_id == first.fact_id
    assert visit.kept().readings == () and [one.withdrawn for one in visit.taken()] == [True]
    assert str(visit.walk().at(1).next.swab) == "cleaned.1.1"
    take_reading(visit, replace(WHEEL, raw="14", low_rlu=14.0, high_rlu=14.0), operation_id=visit.store.new_id())
    assert [one.raw for one in visit.kept().readings] == ["14"]


def test_only_the_last_reading_typed_here_is_taken_back(visit):
    first = take_reading(visit, WHEEL, operation_id=visit.store.new_id())
    take_reading(visit, replace(WHEEL, swab=2), operation_id=visit.store.new_id())
    visits.take_readings(visit.store, visit.sealed, [Reading("entry handrail", "cleaned", 9.0, 9.0, "9")],
                         file_sha256="0" * 64)
    visit.refresh()
    [of_file] = visit.taken("entry handrail")
    assert last_by_hand(visit.taken("entry handrail")) is None
    for fact_id in (first.fact_id, of_file.fact_id, visit.store.new_id(), visit.sealed.fact.fact_id):
        with pytest.raises(Conflict, match="only the last reading"):
            withdraw_reading(visit, fact_id, operation_id=visit.store.new_id())


def test_nothing_is_recorded_after_the_end(visit):
    fact = take_reading(visit, WHEEL, operation_id=visit.store.new_id())
    end_visit(visit, "stopped", "the keys were needed", operation_id=visit.store.new_id())
    head = visit.store.head()
    for call in (lambda operation: take_reading(visit, replace(WHEEL, swab=2), operation_id=operation),
                 lambda operation: withdraw_reading(visit, fact.fact_id, operation_id=operation),
                 lambda operation: end_visit(visit, "stopped", "again", operation_id=operation)):
        with pytest.raises(VisitHasEnded):
            call(visit.store.new_id())
    assert visit.store.head() == head


def test_ending_sent_again_has_one_effect_and_its_reason_stays_outside_the_facts(visit):
    operation = visit.store.new_id()
    first = end_visit(visit, "stopped", "the keys were needed", operation_id=operation)
    assert end_visit(visit, "stopped", "the keys were needed", operation_id=operation).fact_id == first.fact_id
    with pytest.raises(Conflict, match="sent before with other content"):
        end_visit(visit, "stopped", "another reason", operation_id=operation)
    assert len(visit.store.facts(type="visit-ended")) == len(visit.store.facts(type="visit-decided")) == 1
    assert b"keys" not in first.body
    ending = visit.ended().ending
    assert (ending.kind, ending.reason, len(ending.open_points)) == ("stopped", "the keys were needed", 6)


def test_visit_is_finished_only_where_every_point_is_done(visit):
    with pytest.raises(Faults, match="points still open: 6"):
        end_visit(visit, "finished", "", operation_id=visit.store.new_id())
    assert visit.store.facts(type="visit-decided") == []
    take_all(visit)
    with pytest.raises(Faults, match="every planned point is done"):
        end_visit(visit, "stopped", "rain", operation_id=visit.store.new_id())
    assert end_visit(visit, "finished", "", operation_id=visit.store.new_id()).data["open_points"] == []
    assert [one for one in ledger.check(visit.store, recompute=visits.recomputed) if one.grave] == []


def test_reader_sees_what_others_record(visit):
    other = open_visit(visit.store, visit.sealed.visit_id, "example")
    assert other.walk().at(1).readings == ()
    take_reading(visit, WHEEL, operation_id=visit.store.new_id())
    other.refresh()
    assert [one.raw for one in other.walk().at(1).readings] == ["41"]
    assert other.kept() == visits.kept(visit.store, visit.sealed)


def test_mean_of_an_earlier_visit_of_the_same_place_is_the_last_value(store, visit):
    take_all(visit, 12.0)
    end_visit(visit, "finished", "", operation_id=store.new_id())
    again = visits.seal_plan(store, replace(visit.sealed.plan, visit="a week later"), seed=bytes(32), needs={})
    elsewhere = visits.seal_plan(store, replace(visit.sealed.plan, visit="another", place="Minibus 9"), seed=bytes(32),
                                 needs={})
    assert open_visit(store, again.visit_id, "example").earlier_mean_rlu("steering wheel") == 12.0
    assert open_visit(store, again.visit_id, "example").earlier_mean_rlu("no such point") is None
    assert open_visit(store, elsewhere.visit_id, "example").earlier_mean_rlu("steering wheel") is None


def test_visits_are_listed_open_and_ended_the_last_one_first(store, visit):
    plan = visit.sealed.plan
    others = [visits.seal_plan(store, replace(plan, visit=name), seed=bytes(32), needs={}) for name in ("b", "c")]
    take_reading(visit, WHEEL, operation_id=store.new_id())
    assert [one.visit for one in open_visits(store, "example", most=9)] == ["minibus-1", "c", "b"]
    assert [one.visit for one in open_visits(store, "example", most=1)] == ["minibus-1"]
    end_visit(open_visit(store, others[0].visit_id, "example"), "not-measured", "no key", operation_id=store.new_id())
    assert [one.visit for one in open_visits(store, "example", most=9)] == ["minibus-1", "c"]
    [ended] = ended_visits(store, "example", most=9)
    assert (ended.visit, ended.ending, ended.place) == ("b", "not-measured", "Minibus 1")


def test_visit_that_is_not_there_is_none(store, visit):
    assert open_visit(store, store.new_id(), "example") is None

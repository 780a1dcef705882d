"""Issuing a record: once for the same answers, kept whole, named by a fact, and found out when its file was changed."""

import hashlib
import tomllib
from pathlib import Path

import pytest

from tersum.catalogue.load import product
from tersum.documents.issuing import Answered, issue
from tersum.documents.verifying import verification
from tersum.records import keys, ledger, visits
from tersum.records.keys import MissingKey
from tersum.records.store import open_store
from tersum.records.trouble import Conflict
from tersum.visit.carried_out import work_from
from tersum.visit.mixing import mixing_cards, solution_needs
from tersum.visit.outcome import ended
from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SEED = bytes(range(32))


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def store(home):
    with open_store(home, "example", create=True, zone="Europe/Rome") as opened:
        yield opened


def answered(store, rlu=40.0):
    """Carry an invented visit to its decision, one reading at each point, by a person with a name."""
    table = tomllib.loads((EXAMPLES / "minibus-1" / "visit.toml").read_text(encoding="utf-8"))
    plan = plan_from(table, book_spread_log10=0.205)
    cards = mixing_cards(plan, product)
    sealed = visits.seal_plan(store, plan, seed=SEED, needs=solution_needs(cards))
    visits.reveal(store, sealed)
    visits.record_work(store, sealed, work_from(table))
    visits.take_readings(store, sealed, [
        Reading(point.id, "cleaned", rlu, rlu, f"{rlu:g}", person="T. Example", row=place)
        for place, point in enumerate(plan.points, start=2)], file_sha256="0" * 64)
    visit = visits.kept(store, sealed)
    made, done = visits.decided(visit)
    decision = visits.seal_decision(store, visit, (made, done))
    ending = ended(made.decisions, None)
    return Answered(visit, made, done, ending, decision, visits.seal_ending(store, visit, decision, ending), cards)


def test_record_is_as_issued_by_the_key_of_this_installation(store, home):
    issued = issue(store, home, answered(store))
    found = verification(issued.pdf, set(keys.own_fingerprints(home)))
    assert found.genuine
    assert found.number == issued.number == issued.fact.data["number"]
    assert issued.fact.data["pdf_sha256"] == hashlib.sha256(issued.pdf).hexdigest()


def test_same_answers_give_the_record_already_issued(store, home):
    first = issue(store, home, answered(store))
    head = store.head()
    again = issue(store, home, answered(store))
    assert again.pdf == first.pdf
    assert store.head() == head


def test_other_answers_get_a_record_of_their_own(store, home):
    first = issue(store, home, answered(store))
    asked = answered(store)
    sealed = asked.visit.sealed
    visits.take_readings(store, sealed, [Reading("steering wheel", "cleaned", 900.0, 900.0, "900", round=2)],
                         file_sha256="1" * 64)
    visit = visits.kept(store, sealed)
    made, done = visits.decided(visit)
    decision = visits.seal_decision(store, visit, (made, done))
    second = issue(store, home, Answered(visit, made, done, ended(made.decisions, None), decision, None, asked.cards))
    assert second.number != first.number
    assert second.pdf != first.pdf


def test_kept_record_that_was_changed_is_found_out(store, home):
    issue(store, home, answered(store))
    (path,) = (home / "records").rglob("*.pdf")
    path.write_bytes(path.read_bytes()[:-1] + b"x")
    with pytest.raises(Conflict, match="is not as it was issued"):
        issue(store, home, answered(store))


def test_kept_record_that_is_gone_is_issued_anew_under_another_number(store, home):
    first = issue(store, home, answered(store))
    (path,) = (home / "records").rglob("*.pdf")
    path.unlink()
    second = issue(store, home, answered(store))
    assert second.number != first.number
    assert len(store.facts(type="record-issued")) == 2


def test_no_name_stands_in_a_record(store, home):
    issued = issue(store, home, answered(store))
    assert b"T. Example" not in issued.pdf


def test_missing_key_issues_nothing(store, home):
    issue(store, home, answered(store))
    for path in (home / "keys").glob("*.key*"):
        path.unlink()
    for path in (home / "records").rglob("*.pdf"):
        path.unlink()
    head = store.head()
    with pytest.raises(MissingKey):
        issue(store, home, answered(store))
    assert store.head() == head


def test_ledger_with_issued_records_is_as_it_was_sealed(store, home):
    issue(store, home, answered(store))
    assert not [one for one in ledger.check(store, recompute=visits.recomputed) if one.grave]

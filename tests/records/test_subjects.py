"""Everything of one person is found and given out, and an erasure leaves nothing of it in the data folder."""

import json
import random

import pytest

from records.samples import step
from tersum.records import ledger
from tersum.records.facts import Entry
from tersum.records.issued_file import issued_file
from tersum.records.store import open_store
from tersum.records.subjects import erase, erasure_of, mentions, subject_meant, subjects
from tersum.records.trouble import Conflict, NoStore

MARK = "Planted-Marker-{}-Jaroslava"


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "home", "example", create=True) as opened:
        yield opened


def entered(store, who, note):
    """Put a step on record that was entered by somebody and bound to a note."""
    made = step(store, store.new_id())
    return store.append(Entry(made.type, {**made.data, "note": store.commitment(note, "note")}, actor_id=who,
                              operation_id=made.operation_id))


def everything(store):
    home = store.database.path.parent.parent
    return {path: path.read_bytes() for path in home.rglob("*") if path.is_file()}


def test_all_that_names_a_person_is_found_and_nothing_of_others(store):
    one, other = store.person(MARK.format("one")), store.person(MARK.format("other"))
    note = store.remember_subject("note", {"note": "left door"})
    fact = entered(store, one, note)
    entered(store, other, note)
    found = mentions(store, one)
    assert [(each.fact, each.role) for each in found] == [(fact, "entered")]
    assert [each.role for each in mentions(store, note)] == ["words", "words"]
    assert MARK.format("other") not in json.dumps([dict(each.fact.envelope) for each in found])


def test_name_or_number_says_who_is_meant(store):
    one = store.person("An Invented Technician")
    assert subject_meant(store, "An Invented Technician").subject_id == subject_meant(store, one).subject_id == one
    with pytest.raises(NoStore):
        subject_meant(store, "Nobody")
    store.remember_subject("note", {"note": "twice"})
    store.remember_subject("note", {"note": "twice"})
    with pytest.raises(Conflict):
        subject_meant(store, "twice")
    assert [each.shown for each in subjects(store, containing="INVENTED")] == ["An Invented Technician"]


def test_sealed_draw_is_nobodys_data(store):
    store.remember_subject("draw", {"seed": "00" * 32}, erasable=False)
    assert subjects(store) == []


def test_erasing_leaves_no_trace_and_every_seal_as_it_was(store):
    """Some of many subjects are erased: none of their markers is left in any file, all of the others' are."""
    made = random.Random(20)
    known = {store.person(MARK.format(count)): MARK.format(count) for count in range(60)}
    for subject in known:
        entered(store, subject, store.remember_subject("note", {"note": f"note of {subject}"}))
    before = [fact.hash for fact in store.facts()]
    gone = made.sample(sorted(known), 12)
    home = store.database.path.parent.parent
    for subject in gone:
        done = erase(store, home, subject, basis="asked", actor_id=store.device_id, operation_id=store.new_id())
        assert done.erasure.wiped and erasure_of(store, subject) == done.erasure.fact
    left = b"".join(everything(store).values())
    assert [subject for subject in gone if known[subject].encode() in left] == []
    assert all(mark.encode() in left for subject, mark in known.items() if subject not in gone)
    assert [fact.hash for fact in store.facts()][:len(before)] == before and ledger.check(store) == []


def test_copies_of_records_that_print_a_note_go_with_it(store):
    note = store.remember_subject("note", {"note": "left door"})
    fact = entered(store, store.person("An Invented Technician"), note)
    for visit, number in ((fact.data["visit_id"], "R-1"), (store.new_id(), "R-2")):
        store.append(Entry("record-issued", {
            "visit_id": visit, "number": number, "key_id": "0" * 32, "decision": store.new_id(), "ended": None,
            "issued_utc": "2026-03-02T10:00:00.000000Z", "pdf_sha256": "0" * 64, "pdf_bytes": 3},
            actor_id=store.device_id, operation_id=store.new_id()))
    home = store.database.path.parent.parent
    files = [issued_file(home, store.organisation_id, number) for number in ("R-1", "R-2")]
    files[0].parent.mkdir(parents=True)
    for file in files:
        file.write_bytes(b"PDF")
    done = erase(store, home, note, basis="asked", actor_id=store.device_id, operation_id=store.new_id())
    assert done.records_removed == ("R-1",) and [file.exists() for file in files] == [False, True]
    assert ledger.check(store) == []

"""Personal values lie outside the facts and can be erased; the seals stay as they are."""

import pytest

from records.samples import filled, sample, step
from tersum.errors import Faults, OutOfRange, RecordLocked
from tersum.records import fact_types, ledger, personal
from tersum.records.facts import Entry
from tersum.records.store import open_store
from tersum.records.trouble import Conflict, NoStore

MARK = "Planted-Marker-7Q2K-Jaroslava"


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "home", "example", create=True) as opened:
        yield opened


def noted(store, held, operation_id=None):
    """Return an entry that holds a commitment."""
    entry = step(store, store.new_id())
    return Entry(entry.type, {**entry.data, "note": held}, actor_id=entry.actor_id,
                 operation_id=operation_id or entry.operation_id)


def bytes_on_disk(store):
    return b"".join(path.read_bytes() for path in store.database.path.parent.parent.rglob("*") if path.is_file())


def test_value_lies_outside_the_fact_and_is_bound_to_it(store):
    subject = store.remember_subject("person", {"name": MARK})
    fact = store.append(noted(store, store.commitment(subject, "name")))
    assert MARK.encode() not in fact.body and MARK.encode() in bytes_on_disk(store)
    assert store.personal_value(subject, "name") == MARK
    assert ledger.check(store) == []


def test_keyed_hash_is_that_of_rfc_2104():
    """Computed once with the command: printf 'tersum/commitment/1\\n["plate",1,"EX 123 MP"]' |
    openssl dgst -sha256 -mac HMAC -macopt hexkey:<64 zeros>."""
    assert personal.keyed_hash(bytes(32), "plate", 1, "EX 123 MP") == (
        "794fe78ffa95682af875041fc713e7dc4b531528d5f2ffa17a26e9a3b73d5619")


def test_same_value_of_two_subjects_has_two_commitments(store):
    one, two = (store.remember_subject("vehicle", {"plate": "EX 123 MP"}) for _ in range(2))
    assert store.commitment(one, "plate")["hmac"] != store.commitment(two, "plate")["hmac"]


def test_commitment_binds_subject_field_and_version(store):
    subject = store.remember_subject("person", {"name": MARK, "phone": MARK})
    assert store.commitment(subject, "name")["hmac"] != store.commitment(subject, "phone")["hmac"]


def test_invented_commitment_is_refused(store):
    subject = store.remember_subject("person", {"name": MARK})
    held = store.commitment(subject, "name")
    with pytest.raises(Conflict, match="commitment"):
        store.append(noted(store, {**held, "hmac": "0" * 64}))
    with pytest.raises(NoStore):
        store.append(noted(store, {**held, "subject_id": store.new_id()}))
    assert store.head().sequence == 1


def test_corrected_value_leaves_older_facts_true(store):
    subject = store.remember_subject("person", {"name": "Jaroslawa"})
    store.append(noted(store, store.commitment(subject, "name")))
    with store.writing() as writing:
        writing.change_subject(subject, "name", MARK)
    held = store.commitment(subject, "name")
    assert held["version"] == 2 and store.personal_value(subject, "name") == MARK
    store.append(noted(store, held))
    assert ledger.check(store) == []


def test_person_of_a_name_is_one_subject(store):
    assert store.person(MARK) == store.person(MARK) != store.person("Somebody Else")


def test_erasure_leaves_no_trace_and_every_seal_as_it_was(tmp_path):
    with filled(tmp_path / "home") as store:
        others = [store.remember_subject("person", {"name": f"Other {number}" * 40}) for number in range(60)]
        subject = store.remember_subject("person", {"name": MARK, "address": f"{MARK} street " * 300})
        store.append(noted(store, store.commitment(subject, "address")))
        with store.writing() as writing:
            writing.change_subject(subject, "name", MARK + " again")
        key = _key(store, subject)
        before = [(fact.sequence, fact.hash) for fact in store.facts()]
        assert MARK.encode() in bytes_on_disk(store) and key in bytes_on_disk(store)
        done = store.erase_subject(subject, basis="request", actor_id=store.device_id, operation_id=store.new_id())
        assert done.wiped
        left = bytes_on_disk(store)
        assert MARK.encode() not in left and key not in left
        assert [(fact.sequence, fact.hash) for fact in store.facts()][:-1] == before
        assert done.fact.data == {"subject_id": subject, "basis": "request", "fields": ["address", "name"]}
        assert ledger.check(store, [done.fact.head]) == []
        assert store.personal_value(subject, "name") is None
        assert store.personal_value(others[0], "name") == "Other 0" * 40


def _key(store, subject):
    with store.database.reading() as connection:
        return personal.key_of(connection, store.organisation_id, subject)


def test_erasure_says_when_a_reader_holds_the_log_back(tmp_path):
    store = open_store(tmp_path / "home", "example", create=True)
    store.close()
    store = open_store(tmp_path / "home", "example", busy_ms=100)
    subject = store.remember_subject("person", {"name": MARK})
    operation = store.new_id()
    with store.database.reading() as reader:
        reader.exec_driver_sql("SELECT count(*) FROM facts").scalar()
        done = store.erase_subject(subject, basis="request", actor_id=store.device_id, operation_id=operation)
        assert not done.wiped
    again = store.erase_subject(subject, basis="request", actor_id=store.device_id, operation_id=operation)
    assert again.wiped and again.fact == done.fact
    assert MARK.encode() not in bytes_on_disk(store)
    store.close()


def test_what_must_be_kept_is_not_erased(store):
    seed = store.remember_subject("draw", {"seed": "5e" * 32}, erasable=False)
    with pytest.raises(RecordLocked, match="seed"):
        store.erase_subject(seed, basis="request", actor_id=store.device_id, operation_id=store.new_id())
    assert store.personal_value(seed, "seed") == "5e" * 32
    assert store.head().sequence == 1


def test_unknown_subject_is_not_erased(store):
    with pytest.raises(NoStore):
        store.erase_subject(store.new_id(), basis="request", actor_id=store.device_id, operation_id=store.new_id())
    assert store.head().sequence == 1


def test_empty_values_and_bad_names_are_refused(store):
    for kind, values in (("person", {"name": ""}), ("person", {"Name!": "x"}), ("a b", {"name": "x"})):
        with pytest.raises(OutOfRange):
            store.remember_subject(kind, values)
    assert bytes_on_disk(store).count(b"a b") == 0


def test_commitments_in_batch_rows_are_checked_too(store):
    subject = store.remember_subject("note", {"note": MARK})
    row = {**sample(fact_types.READING), "note": store.commitment(subject, "note")}
    wrong = {**row, "note": {**row["note"], "hmac": "1" * 64}}
    with pytest.raises(Conflict):
        store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                           operation_id=store.new_id(), rows=[row, wrong]))
    with pytest.raises(Faults):
        store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                           operation_id=store.new_id(), rows=[{**row, "note": {"text": MARK}}]))
    store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                       operation_id=store.new_id(), rows=[row]))
    assert ledger.check(store) == []

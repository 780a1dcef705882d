"""A fact holds what its type's schema says and nothing else; everything that is wrong with it is told at once."""

import hashlib
import re
from datetime import UTC, datetime

import pytest

from records.samples import sample, step
from tersum.errors import Faults, OutOfRange, TersumError
from tersum.records import canonical, fact_types, facts, schema, when
from tersum.records.facts import Corrects, Entry
from tersum.records.store import open_store
from tersum.visit import decision, outcome, readings


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "home", "example", create=True) as opened:
        yield opened


def test_seal_is_the_hash_of_prefix_and_body(store):
    [fact] = store.facts()
    assert fact.hash == hashlib.sha256(b"tersum/fact/1\n" + fact.body).hexdigest()
    assert facts.read(fact.body).envelope == fact.envelope


def test_every_fact_names_the_hash_of_the_one_before(store):
    store.append_all([step(store, store.new_id()) for _ in range(5)])
    chain = store.facts()
    assert [one.envelope["previous_hash"] for one in chain] == [facts.FIRST, *(one.hash for one in chain[:-1])]
    assert [one.sequence for one in chain] == [1, 2, 3, 4, 5, 6]
    assert [one.envelope["device_sequence"] for one in chain] == [1, 2, 3, 4, 5, 6]


def test_body_holds_no_binary_fraction(store):
    fact = store.append(step(store, store.new_id()))
    numbers = re.findall(rb'(?<=[:\[,])-?[0-9][0-9.eE+-]*(?=[,}\]])', fact.body)
    assert numbers and all(number.isdigit() for number in numbers)


@pytest.mark.parametrize("kind", fact_types.TYPES.values(), ids=lambda kind: kind.name)
def test_full_sample_fits_its_schema_and_every_required_field_is_missed(kind):
    full = sample(kind.data)
    assert kind.data.faults("/data", full) == []
    for name in kind.data.required:
        less = {key: value for key, value in full.items() if key != name}
        assert [one.field for one in kind.data.faults("/data", less)] == [f"/data/{name}"]
    for name in kind.data.optional:
        assert kind.data.faults("/data", {key: value for key, value in full.items() if key != name}) == []


def test_unknown_fields_are_refused_with_near_names(store):
    entry = step(store, store.new_id())
    with pytest.raises(Faults, match="did you mean started_utc"):
        store.append(Entry(entry.type, {**entry.data, "startet_utc": "x"}, actor_id=entry.actor_id,
                           operation_id=entry.operation_id))


def test_all_faults_of_an_entry_come_at_once_and_nothing_is_written(store):
    bad = {"visit_id": "no", "step": "", "started_utc": "yesterday", "surface_temp_c": 21.5 and "21,5", "colour": "red"}
    with pytest.raises(Faults) as caught:
        store.append(Entry("step-carried-out", bad, actor_id="me", operation_id="1"))
    fields = {one.field for one in caught.value.faults}
    assert {"/actor_id", "/operation_id"} <= fields
    with pytest.raises(Faults) as caught:
        store.append(Entry("step-carried-out", bad, actor_id=store.device_id, operation_id=store.new_id()))
    fields = {one.field for one in caught.value.faults}
    assert fields == {"/data/visit_id", "/data/step", "/data/started_utc", "/data/finished_utc",
                      "/data/surface_temp_c", "/data/colour"}
    assert store.head().sequence == 1


def test_unknown_type_and_version_are_refused(store):
    for kind, version in (("visit-plan", 1), ("visit-planned", 2)):
        with pytest.raises(TersumError, match="visit-planned"):
            store.append(Entry(kind, {}, actor_id=store.device_id, operation_id=store.new_id(), type_version=version))


def test_rows_are_refused_where_none_are_sealed(store):
    entry = step(store, store.new_id())
    with pytest.raises(OutOfRange, match="no rows"):
        store.append(Entry(entry.type, entry.data, actor_id=entry.actor_id, operation_id=entry.operation_id,
                           rows=[{"a": 1}]))


def test_every_fault_of_every_row_is_told(store):
    good = {name: value for name, value in sample(fact_types.READING).items() if name != "note"}
    rows = [good, {**good, "low_rlu": "-1"}, {**good, "stage": "later"}, {**good, "round": 0, "colour": "red"}]
    with pytest.raises(Faults) as caught:
        store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                           operation_id=store.new_id(), rows=rows))
    assert [one.field for one in caught.value.faults] == [
        "/rows/1/low_rlu", "/rows/2/stage", "/rows/3/round", "/rows/3/colour"]


def test_correction_belongs_to_corrections_only(store):
    fact = store.append(step(store, store.new_id()))
    entry = step(store, store.new_id())
    with pytest.raises(Faults, match="/corrects"):
        store.append(Entry(entry.type, entry.data, actor_id=entry.actor_id, operation_id=entry.operation_id,
                           corrects=Corrects(fact.fact_id, "typing-error")))
    with pytest.raises(Faults, match="/corrects"):
        store.append(Entry("correction", {"changes": [], "withdrawn": True}, actor_id=store.device_id,
                           operation_id=store.new_id()))


@pytest.mark.parametrize(("kind", "good", "bad"), [
    (schema.DecimalText("0"), ["0", "42.6", "0.05", "9" * 30],
     ["-1", "42,6", "1e3", "+1", "01", ".5", "5.", "", 42, 1.5, "٤٢", "1\n", None, True]),
    (schema.Whole(1), [1, 2**53 - 1], [0, -1, True, 1.0, "1", 2**53, None]),
    (schema.Flag(), [True, False], [0, 1, "yes", None]),
    (schema.Instant(), ["2026-03-02T09:14:00.000000Z", "2024-02-29T23:59:59.999999Z"],
     ["2026-03-02T09:14:00Z", "2026-02-30T09:14:00.000000Z", "2026-03-02T25:14:00.000000Z",
      "2026-03-02T09:14:00.000000+01:00", "2026-03-02T09:14:00.000000Z\n", 5]),
    (schema.UUID, ["01a2125f-08f3-7365-b049-9acb499e37f4"], ["01A2125F-08F3-7365-B049-9ACB499E37F4", "x", "", None]),
    (schema.HASH, ["ab" * 32], ["AB" * 32, "ab" * 31, "ab" * 32 + "\n"]),
    (schema.OneOf(("wet", "dry")), ["wet"], ["Wet", "", None, 0]),
    (schema.Maybe(schema.Flag()), [None, True], ["", 0]),
    (schema.ListOf(schema.Flag(), 1), [[True]], [[], [1], "x", None, {"0": True}]),
    (schema.MapOf(schema.Flag()), [{}, {"a": True}], [[], {"a": 1}, None]),
    (schema.NAME, ["é", "a" * 200], ["", "a" * 201, 5]),
    (schema.TYPED, ["", " 42 "], [None, 5, "a" * 2001]),
])
def test_kinds_take_what_they_say_and_nothing_else(kind, good, bad):
    for value in good:
        assert kind.faults("/x", value) == [], value
    for value in bad:
        told = kind.faults("/x", value)
        assert told and all(str(one) for one in told), value


def test_words_of_the_trade_are_all_accepted():
    """Version 1 has its own copy of the words; a new word in the visit room needs a new version of the type."""
    assert set(decision.VERDICTS) == set(fact_types.VERDICTS)
    assert set(readings.STAGES) == set(fact_types.STAGES)
    assert set(outcome.ENDINGS) == set(fact_types.ENDINGS)


def test_moment_keeps_utc_zone_and_offset():
    summer = when.when(datetime(2026, 7, 1, 12, 0, 0, 250, tzinfo=UTC), "Europe/Lisbon")
    assert (summer.utc, summer.zone, summer.offset) == ("2026-07-01T12:00:00.000250Z", "Europe/Lisbon", "+01:00")
    assert when.when(datetime(2026, 1, 1, tzinfo=UTC), "Asia/Kathmandu").offset == "+05:45"
    assert when.when(datetime(2026, 1, 1, tzinfo=UTC), "America/St_Johns").offset == "-03:30"


@pytest.mark.parametrize(("moment", "zone"), [
    (datetime(2026, 1, 1), "Europe/Lisbon"), (datetime(2026, 1, 1, tzinfo=UTC), "Europe/Nowhere"),
    (datetime(2026, 1, 1, tzinfo=UTC), "../../etc/passwd"), (datetime(2026, 1, 1, tzinfo=UTC), ""),
])
def test_moment_without_a_zone_is_refused(moment, zone):
    with pytest.raises(OutOfRange):
        when.when(moment, zone)


@pytest.mark.parametrize("stated", [
    when.When("2026-07-01T12:00:00.000000Z", "Europe/Lisbon", "+00:00"),
    when.When("2026-07-01T12:00:00.000000Z", "Nowhere/Town", "+00:00"),
    when.When("2026-07-01 12:00", "Europe/Lisbon", "+01:00"),
])
def test_moment_that_does_not_fit_its_zone_is_refused(store, stated):
    entry = step(store, store.new_id())
    with pytest.raises(Faults):
        store.append(Entry(entry.type, entry.data, actor_id=entry.actor_id, operation_id=entry.operation_id,
                           when=stated))


def test_a_body_in_another_form_is_no_fact(store):
    [fact] = store.facts()
    with pytest.raises(TersumError):
        facts.read(fact.body + b" ")
    with pytest.raises(Faults, match="/sequence"):
        facts.read(canonical.canonical({**fact.envelope, "sequence": 0}))

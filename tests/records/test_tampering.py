"""Whatever is changed after it was sealed is found, and the fact it was changed in is named."""

import json
import sqlite3

import pytest

from records.samples import changed, filled, leaves, sample, step, with_change
from tersum.records import canonical, fact_types, facts, ledger, schema
from tersum.records.home import database_path
from tersum.records.store import open_store
from tersum.records.tables import METADATA

# Columns that no fact speaks of: they steer the program and say nothing about what happened.
UNSEALED = {("subjects", "kind"), ("personal_rows", "erasable")}
TYPES = sorted({kind.name for kind in fact_types.TYPES.values()})


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A store that every test here leaves as it found it."""
    store = filled(tmp_path_factory.mktemp("records") / "home")
    yield store
    store.close()


@pytest.fixture
def raw(kept):
    """A thief's connection: no foreign keys, no unique indexes in the way, everything put back afterwards."""
    yield from thief(kept)


def thief(store):
    connection = sqlite3.connect(store.database.path, isolation_level=None)
    before = list(connection.iterdump())
    yield connection
    connection.close()
    again = sqlite3.connect(store.database.path, isolation_level=None)
    again.execute("PRAGMA foreign_keys=OFF")
    if list(again.iterdump()) != before:
        for (name,) in again.execute("SELECT name FROM sqlite_master WHERE type='table'").fetchall():
            again.execute(f"DROP TABLE {name}")
        again.executescript("\n".join(before))
    again.close()


def named(findings, fact):
    return [one for one in findings
            if one.grave and (one.sequence, one.fact_id, one.type) == (fact.sequence, fact.fact_id, fact.type)]


def rewrite(raw, fact, envelope):
    raw.execute("UPDATE facts SET body = ? WHERE sequence = ?", (canonical.canonical(envelope), fact.sequence))


def test_untouched_ledger_has_no_finding(kept):
    assert ledger.check(kept, [kept.head()]) == []


def test_samples_hold_every_type_of_fact(kept):
    assert sorted({fact.type for fact in kept.facts()}) == TYPES


@pytest.mark.parametrize("name", TYPES)
def test_every_field_of_every_fact_is_sealed(kept, raw, name):
    fact = kept.facts(type=name)[0]
    kind = fact_types.TYPES[name, 1]
    full = sample(kind.data)
    if name not in ("organisation-opened", "subject-erased"):
        assert {*fact.data} == {*full}, "the sample fact does not have every field of its schema"
    envelope_kind = schema.Record({**fact_types.ENVELOPE.required, "data": kind.data})
    envelope = dict(fact.envelope)
    for missing in ("basis", "corrects"):
        envelope_kind.required.pop(missing) if envelope[missing] is None else None
    tried = 0
    for path in _paths(envelope_kind, envelope, name):
        rewrite(raw, fact, with_change(envelope, path))
        found = ledger.check(kept)
        assert named(found, fact), f"{name}: a change of {'/'.join(map(str, path))} was not found"
        tried += 1
    rewrite(raw, fact, envelope)
    assert tried >= len(fact_types.ENVELOPE.required)
    assert ledger.check(kept) == []


def _paths(kind, envelope, name):
    if name == "organisation-opened":  # the one fact whose data the store itself makes: no optional field
        kind = schema.Record({**kind.required, "data": schema.Record(kind.required["data"].required)})
        return list(leaves(kind, {key: one for key, one in envelope.items() if key in kind.required}))
    return list(leaves(kind, {key: one for key, one in envelope.items() if key in kind.required}))


def test_every_field_of_every_batch_row_is_sealed(kept, raw):
    fact = kept.facts(type="readings-taken")[0]
    row = fact.row(1)
    paths = list(leaves(fact_types.READING, row))
    for path in paths:
        raw.execute("UPDATE batch_rows SET body = ? WHERE position = 1",
                    (canonical.canonical(with_change(row, path)),))
        found = [one for one in named(ledger.check(kept), fact) if one.code == "batch-changed"]
        assert found and found[0].parameters["row"] == 1, f"a change of {path} in a row was not found"
    assert len(paths) >= len(fact_types.READING.required) + len(fact_types.READING.optional)


@pytest.mark.parametrize("table", METADATA.sorted_tables, ids=lambda table: table.name)
def test_every_column_of_every_table_is_compared(kept, raw, table):
    remembered = [kept.head()]
    for column in table.columns:
        if (table.name, column.name) in UNSEALED:
            continue
        query = f"SELECT rowid, {column.name} FROM {table.name} ORDER BY rowid DESC LIMIT 1"
        rowid, was = raw.execute(query).fetchone()
        raw.execute("PRAGMA ignore_check_constraints=ON")
        new = was[:-1] + bytes([was[-1] ^ 1]) if isinstance(was, bytes) else changed(was)
        raw.execute(f"UPDATE {table.name} SET {column.name} = ? WHERE rowid = ?", (new, rowid))
        assert any(one.grave for one in ledger.check(kept, remembered)), f"{table.name}.{column.name} is not compared"
        raw.execute(f"UPDATE {table.name} SET {column.name} = ? WHERE rowid = ?", (was, rowid))
    assert ledger.check(kept, remembered) == []


@pytest.mark.parametrize("value", ["'abc'", "x'ff00'", "-7", "CAST(x'41ff' AS TEXT)"])
@pytest.mark.parametrize("table", METADATA.sorted_tables, ids=lambda table: table.name)
def test_value_of_a_wrong_kind_is_told_and_ends_no_check(kept, raw, table, value):
    """SQLite keeps text, bytes or fractions in any column; a thief may use that."""
    remembered = [kept.head()]
    raw.execute("PRAGMA ignore_check_constraints=ON")
    for column in table.columns:
        if (table.name, column.name) in UNSEALED:
            continue
        query = f"SELECT rowid, {column.name} FROM {table.name} ORDER BY rowid DESC LIMIT 1"
        rowid, was = raw.execute(query).fetchone()
        raw.execute(f"UPDATE {table.name} SET {column.name} = {value} WHERE rowid = ?", (rowid,))
        assert any(one.grave for one in ledger.check(kept, remembered)), f"{table.name}.{column.name}"
        raw.execute(f"UPDATE {table.name} SET {column.name} = ? WHERE rowid = ?", (was, rowid))


def test_body_kept_as_text_is_told(kept, raw):
    fact = kept.facts(type="visit-ended")[0]
    raw.execute("UPDATE facts SET body = CAST(body AS TEXT) WHERE sequence = ?", (fact.sequence,))
    assert [one.code for one in ledger.check(kept)] == ["body-changed"]


def test_every_bit_of_a_body_is_sealed(kept):
    flips = 0
    for name in ("organisation-opened", "visit-ended", "step-carried-out"):
        fact = kept.facts(type=name)[0]
        for place in range(len(fact.body)):
            for bit in range(8):
                body = bytearray(fact.body)
                body[place] ^= 1 << bit
                assert facts.seal(bytes(body)) != fact.hash
                flips += 1
    assert flips > 10_000


def test_every_flipped_byte_of_a_body_is_found_and_named(tmp_path):
    with open_store(tmp_path / "home", "example", create=True) as store:
        [fact] = store.facts()
        raw = sqlite3.connect(store.database.path, isolation_level=None)
        for place in range(len(fact.body)):
            body = bytearray(fact.body)
            body[place] ^= 1
            raw.execute("UPDATE facts SET body = ?", (bytes(body),))
            assert named(ledger.check(store), fact), f"byte {place}"
        raw.close()


def test_dropped_fact_is_found(kept, raw):
    fact = kept.facts(type="solution-mixed")[0]
    raw.execute("DELETE FROM facts WHERE sequence = ?", (fact.sequence,))
    found = ledger.check(kept)
    assert [one.code for one in found if one.sequence == fact.sequence + 1][:2] == ["facts-missing", "link-broken"]
    assert found[0].parameters["count"] == 1


def test_dropped_fact_is_found_after_renumbering(kept, raw):
    """A thief who closes the gap in the numbers still has the bodies and the links against him."""
    gone = kept.facts(type="solution-mixed")[0].sequence
    raw.execute("DELETE FROM facts WHERE sequence = ?", (gone,))
    for (number,) in raw.execute("SELECT sequence FROM facts WHERE sequence > ? ORDER BY sequence", (gone,)).fetchall():
        raw.execute("UPDATE facts SET sequence = ? WHERE sequence = ?", (number - 1, number))
    codes = {one.code for one in ledger.check(kept) if one.sequence == gone}
    assert {"column-differs", "link-broken"} <= codes


def test_first_facts_dropped_are_found(kept, raw):
    raw.execute("DELETE FROM facts WHERE sequence <= 2")
    assert ledger.check(kept)[0].code == "facts-missing"


def test_all_facts_dropped_are_found(kept, raw):
    raw.execute("PRAGMA foreign_keys=OFF")
    raw.execute("DELETE FROM facts")
    assert "no-facts" in [one.code for one in ledger.check(kept)]


def test_swapped_facts_are_found(kept, raw):
    one, two = kept.facts()[2:4]
    for number, fact in ((one.sequence, two), (two.sequence, one)):
        raw.execute("UPDATE facts SET body = ?, hash = ? WHERE sequence = ?", (fact.body, fact.hash, number))
    found = {item.code for item in ledger.check(kept) if item.sequence in (one.sequence, two.sequence)}
    assert {"column-differs", "link-broken"} <= found


def test_repeated_fact_is_found_and_names_the_first(kept, raw):
    fact = kept.facts()[3]
    last = kept.head()
    raw.execute("INSERT INTO facts SELECT organisation_id, ?, 'x', type, visit_id, 'y', 'z', 1, hash, body FROM facts "
                "WHERE sequence = ?", (last.sequence + 1, fact.sequence))
    found = [one for one in ledger.check(kept) if one.sequence == last.sequence + 1]
    assert fact.sequence in [one.parameters["first"] for one in found if one.code == "repeated"]
    assert "link-broken" in [one.code for one in found]


def test_relinked_chain_is_found_where_it_was_opened(kept, raw):
    """A changed fact with its hash made to fit no longer fits the fact after it."""
    fact = kept.facts(type="step-carried-out")[0]
    body = canonical.canonical(with_change(dict(fact.envelope), ("data", "lot")))
    raw.execute("UPDATE facts SET body = ?, hash = ? WHERE sequence = ?", (body, facts.seal(body), fact.sequence))
    found = [one for one in ledger.check(kept) if one.code == "link-broken"]
    assert [one.sequence for one in found] == [fact.sequence + 1]
    assert found[0].parameters["before"] == fact.sequence


def test_cut_off_tail_is_found_against_a_remembered_head(kept, raw):
    remembered = kept.head()
    raw.execute("DELETE FROM facts WHERE sequence > ?", (remembered.sequence - 1,))
    alone = ledger.check(kept)
    assert all(one.code != "tail-cut-off" for one in alone), "the chain alone cannot know its own end"
    found = [one for one in ledger.check(kept, [remembered]) if one.code == "tail-cut-off"]
    assert [one.sequence for one in found] == [remembered.sequence]


def test_history_written_anew_is_found_against_a_remembered_head(kept, raw):
    """A thief with the whole database makes a chain that is right in itself; only a head kept outside speaks up."""
    remembered = kept.head()
    before = facts.FIRST
    for fact in kept.facts():
        envelope = json.loads(fact.body) | {"previous_hash": before}
        if envelope["basis"]:
            envelope["basis"] = {"sequence": fact.sequence - 1, "hash": before}
        if fact.type == "visit-ended":
            envelope["data"]["ending"] = "stopped"
        body = canonical.canonical(envelope)
        before = facts.seal(body)
        raw.execute("UPDATE facts SET body = ?, hash = ? WHERE sequence = ?", (body, before, fact.sequence))
    raw.execute("UPDATE endings SET ending = 'stopped'")
    assert ledger.check(kept) == []
    assert [one.code for one in ledger.check(kept, [remembered])] == ["not-the-remembered-fact"]


def test_batch_row_dropped_added_or_exchanged_is_found(kept, raw):
    fact = kept.facts(type="readings-taken")[0]
    raw.execute("DELETE FROM batch_rows WHERE position = 2")
    assert {"batch-rows-missing", "batch-changed"} <= {one.code for one in named(ledger.check(kept), fact)}
    raw.execute("UPDATE batch_rows SET body = (SELECT body FROM batch_rows WHERE position = 0)")
    raw.execute("INSERT INTO batch_rows SELECT organisation_id, fact_id, 2, leaf_hash, x'7b7d' FROM batch_rows "
                "WHERE position = 0")
    [found] = [one for one in named(ledger.check(kept), fact) if one.code == "batch-changed"]
    assert found.parameters["row"] == 2


def test_batch_rows_of_an_unknown_fact_are_found(kept, raw):
    raw.execute("INSERT INTO batch_rows VALUES (?, 'nobody', 0, '', x'00')", (kept.organisation_id,))
    assert [one.code for one in ledger.check(kept)] == ["batch-rows-of-no-fact"]


def test_edited_table_is_found_and_names_its_first_difference(kept, raw):
    fact = kept.facts(type="visit-ended")[0]
    raw.execute("UPDATE endings SET ending = 'finished', reason = 'made-up'")
    [found] = ledger.check(kept)
    assert (found.code, found.sequence, found.fact_id) == ("table-differs", fact.sequence, fact.fact_id)
    assert found.parameters["table"] == "endings" and found.parameters["position"] == 0
    assert found.parameters["column"] in ("ending", "reason")


def test_table_rows_added_or_taken_are_found(kept, raw):
    raw.execute("INSERT INTO readings SELECT organisation_id, 'nobody', position, visit_id, at_utc, point, stage, "
                "low_rlu, high_rlu, raw, round, swab FROM readings WHERE position = 0")
    assert [one.code for one in ledger.check(kept)] == ["table-row-of-no-fact"]
    raw.execute("DELETE FROM readings WHERE position = 2 OR fact_id = 'nobody'")
    [found] = ledger.check(kept)
    assert found.code == "table-differs" and found.parameters["table_says"] == "no row"


def test_rebuild_mends_the_tables_and_only_them(tmp_path):
    with filled(tmp_path / "home") as store:
        raw = sqlite3.connect(store.database.path, isolation_level=None)
        raw.execute("UPDATE decisions SET verdict = 'done'")
        raw.execute("DELETE FROM visits")
        before = raw.execute("SELECT * FROM facts").fetchall()
        assert len(ledger.check(store)) >= 1
        assert store.rebuild() > 0
        assert ledger.check(store) == []
        assert raw.execute("SELECT * FROM facts").fetchall() == before
        raw.close()


def test_changed_personal_value_is_found(kept, raw):
    raw.execute("UPDATE personal_rows SET value = 'Somebody Else'")
    found = ledger.check(kept)
    assert found and {one.code for one in found} == {"personal-value-differs"}


def test_personal_value_that_is_gone_without_an_erasure_is_found(kept, raw):
    raw.execute("DELETE FROM personal_rows")
    assert {one.code for one in ledger.check(kept)} == {"personal-value-gone"}


def test_erased_subject_that_came_back_is_found(kept, raw):
    erased = kept.facts(type="subject-erased")[0].data["subject_id"]
    raw.execute("INSERT INTO subjects VALUES (?, ?, 'person', zeroblob(32))", (kept.organisation_id, erased))
    assert [one.code for one in ledger.check(kept)] == ["erased-but-there"]


def test_facts_of_another_organisation_do_not_pass(tmp_path):
    """Replay from another ledger: the other chain's fact is not linked to this one."""
    home = tmp_path / "home"
    with open_store(home, "one", create=True) as one, open_store(home, "two", create=True) as two:
        visit = one.new_id()
        one.append(step(one, visit))
        stolen = two.append(step(two, visit))
        raw = sqlite3.connect(database_path(home, one.organisation_id), isolation_level=None)
        raw.execute("UPDATE facts SET body = ?, hash = ? WHERE sequence = 2", (stolen.body, stolen.hash))
        raw.close()
        found = [item for item in ledger.check(one) if item.sequence == 2]
        assert {"column-differs", "link-broken"} <= {item.code for item in found}


def test_changed_last_fact_is_not_built_upon(tmp_path):
    with open_store(tmp_path / "home", "one", create=True) as store:
        fact = store.append(step(store, store.new_id()))
        raw = sqlite3.connect(store.database.path, isolation_level=None)
        rewrite(raw, fact, with_change(dict(fact.envelope), ("data", "step")))
        raw.close()
        with pytest.raises(Exception, match="ledger check"):
            store.append(step(store, store.new_id()))

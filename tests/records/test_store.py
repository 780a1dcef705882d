"""The store: what is acknowledged is there, once, in its own folder, in its own organisation."""

import hashlib
import os
import sqlite3
import stat
import subprocess
import sys
import threading

import pytest
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from records.samples import filled, sample, step
from tersum.errors import Faults, OutOfRange, RecordLocked, TersumError
from tersum.records import database, fact_types, home, ledger, tables
from tersum.records.facts import Corrects, Entry
from tersum.records.store import open_store
from tersum.records.trouble import Conflict, NewerStore, NoStore, StorageStopped


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def store(folder):
    with open_store(folder, "example", create=True) as opened:
        yield opened


def snapshot(folder):
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.rglob("*"))
            if path.is_file()}


def test_what_was_appended_is_there_after_opening_again(folder, store):
    fact = store.append(step(store, store.new_id()))
    store.close()
    with open_store(folder, "example") as again:
        assert again.head() == fact.head
        assert again.fact(fact.fact_id) == fact
        assert again.organisation_id == store.organisation_id and again.device_id == store.device_id


def test_same_operation_sent_again_has_no_second_effect(store):
    entry = step(store, store.new_id())
    first = store.append(entry)
    assert store.append(entry) == first
    assert store.append_all([entry, entry]) == [first, first]
    assert store.head() == first.head
    assert len(store.table("steps")) == 1


def test_same_operation_with_other_content_is_a_conflict(store):
    entry = step(store, store.new_id())
    first = store.append(entry)
    with pytest.raises(Conflict, match="other content") as caught:
        store.append(Entry(entry.type, {**entry.data, "step": "rinse"}, actor_id=entry.actor_id,
                           operation_id=entry.operation_id))
    assert (caught.value.code, caught.value.exit_code) == ("conflict", 6)
    assert store.head() == first.head


def test_same_batch_sent_again_is_known_and_a_changed_row_is_a_conflict(store):
    row = {name: value for name, value in sample(fact_types.READING).items() if name != "note"}
    operation = store.new_id()

    def batch(rows):
        return Entry("readings-taken", {"visit_id": operation}, actor_id=store.device_id, operation_id=operation,
                     rows=rows)

    first = store.append(batch([row, row]))
    again = store.append(batch([row, row]))
    assert again == first and len(again.rows) == 2
    with pytest.raises(Conflict):
        store.append(batch([row, {**row, "raw": "43"}]))


def test_fact_id_taken_by_another_fact_is_a_conflict(store):
    fact = store.append(step(store, store.new_id()))
    entry = step(store, store.new_id())
    with pytest.raises(Conflict, match="already taken"):
        store.append(Entry(entry.type, entry.data, actor_id=entry.actor_id, operation_id=entry.operation_id,
                           fact_id=fact.fact_id))
    assert store.head() == fact.head


def test_several_entries_are_kept_together_or_not_at_all(store):
    good, bad = step(store, store.new_id()), Entry("visit-ended", {}, actor_id=store.device_id,
                                                   operation_id=store.new_id())
    with pytest.raises(Faults):
        store.append_all([good, bad])
    assert store.head().sequence == 1
    assert store.table("steps") == []


def test_a_batch_row_is_provable_by_itself(store):
    from tersum.records import merkle

    row = {name: value for name, value in sample(fact_types.READING).items() if name != "note"}
    fact = store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                              operation_id=store.new_id(), rows=[{**row, "swab": n + 1} for n in range(7)]))
    proof = merkle.inclusion_proof(fact.rows, 4)
    assert fact.row(4)["swab"] == 5
    assert merkle.proves(proof, fact.rows[4], 4, fact.data["count"], bytes.fromhex(fact.data["merkle_root"]))


def test_correction_changes_what_counts_and_keeps_what_was(store):
    fact = store.append(step(store, store.new_id()))

    def correct(was, now, **data):
        return Entry("correction", {"changes": [{"path": "/data/step", "was": was, "is": now}], "withdrawn": False,
                                    **data},
                     actor_id=store.device_id, operation_id=store.new_id(), corrects=Corrects(fact.fact_id, "mis-tap"))

    correction = store.append(correct("wipe", "rinse"))
    assert store.fact(fact.fact_id).data["step"] == "wipe"
    assert store.effective()[fact.fact_id].data["step"] == "rinse"
    assert [row["step"] for row in store.table("steps")] == ["rinse"]
    assert correction.data["visit_id"] == fact.data["visit_id"]
    with pytest.raises(Conflict, match="no longer"):
        store.append(correct("wipe", "steam"))
    store.append(correct("rinse", "steam"))
    with pytest.raises(Faults):
        store.append(correct("steam", ""))
    with pytest.raises(OutOfRange):
        store.append(Entry("correction", {"changes": [{"path": "/data/lots", "was": 1, "is": 2}], "withdrawn": False},
                           actor_id=store.device_id, operation_id=store.new_id(),
                           corrects=Corrects(fact.fact_id, "mis-tap")))
    assert ledger.check(store) == []


def test_withdrawn_fact_leaves_the_tables_and_stays_a_fact(store):
    fact = store.append(step(store, store.new_id()))
    store.append(Entry("correction", {"changes": [], "withdrawn": True}, actor_id=store.device_id,
                       operation_id=store.new_id(), corrects=Corrects(fact.fact_id, "mis-tap")))
    assert store.table("steps") == []
    assert store.fact(fact.fact_id) == fact
    assert ledger.check(store) == []


def test_corrections_and_unknown_facts_are_not_corrected(store):
    opened = store.facts()[0]
    for named, error in ((opened.fact_id, Conflict), (store.new_id(), NoStore)):
        with pytest.raises(error):
            store.append(Entry("correction", {"changes": [], "withdrawn": True}, actor_id=store.device_id,
                               operation_id=store.new_id(), corrects=Corrects(named, "mis-tap")))


def test_corrected_batch_row_counts_in_the_tables(store):
    row = {name: value for name, value in sample(fact_types.READING).items() if name != "note"}
    fact = store.append(Entry("readings-taken", {"visit_id": store.new_id()}, actor_id=store.device_id,
                              operation_id=store.new_id(), rows=[row, row]))
    store.append(Entry("correction", {"changes": [{"path": "/rows/1/low_rlu", "was": row["low_rlu"], "is": "7"}],
                                      "withdrawn": False}, actor_id=store.device_id, operation_id=store.new_id(),
                       corrects=Corrects(fact.fact_id, "typing-error")))
    assert [one["low_rlu"] for one in store.table("readings")] == [row["low_rlu"], "7"]
    assert ledger.check(store) == []
    store.rebuild()
    assert [one["low_rlu"] for one in store.table("readings")] == [row["low_rlu"], "7"]


def test_files_and_folders_are_their_owners_alone(folder, store):
    store.append(step(store, store.new_id()))
    for path in [folder, *folder.rglob("*")]:
        mode = stat.S_IMODE(path.stat().st_mode)
        assert mode == (0o700 if path.is_dir() else 0o600), f"{path.name}: {mode:o}"


def test_every_connection_syncs_each_commit(store):
    with store.database.writing() as writer, store.database.reading() as reader:
        for connection in (writer, reader):
            told = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                    for name in ("synchronous", "journal_mode", "secure_delete", "foreign_keys")}
            assert told == {"synchronous": 2, "journal_mode": "wal", "secure_delete": 1, "foreign_keys": 1}


def test_unknown_organisation_is_named_with_those_that_are_known(folder, store):
    with pytest.raises(NoStore, match="Known: example") as caught:
        open_store(folder, "exmaple")
    assert caught.value.exit_code == 4
    for name in ("../example", "Example", "", "a b", "é", "a" * 61):
        with pytest.raises(OutOfRange):
            open_store(folder, name, create=True)


def test_known_organisation_without_its_file_is_said_and_not_made_anew(folder, store):
    store.close()
    store.database.path.unlink()
    for create in (False, True):
        with pytest.raises(NoStore, match="missing"):
            open_store(folder, "example", create=create)


def test_two_organisations_have_two_files(folder, store):
    with open_store(folder, "other", create=True) as other:
        assert other.database.path != store.database.path
        assert other.device_id == store.device_id
    assert set(home.organisations(folder)) == {"example", "other"}


def test_newer_data_are_refused_without_changing_a_byte(folder, store):
    store.append(step(store, store.new_id()))
    store.close()
    raw = sqlite3.connect(store.database.path)
    raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.commit()
    raw.execute("PRAGMA user_version = 9999")
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()
    before = snapshot(folder)
    with pytest.raises(NewerStore, match="newer version"):
        open_store(folder, "example")
    assert snapshot(folder) == before


def test_newer_data_still_in_the_log_are_refused_too(folder, store):
    store.close()
    raw = sqlite3.connect(store.database.path)
    raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.commit()  # and the connection stays open: the change is in the log alone
    before = hashlib.sha256(store.database.path.read_bytes()).hexdigest()
    with pytest.raises(NewerStore):
        open_store(folder, "example")
    assert hashlib.sha256(store.database.path.read_bytes()).hexdigest() == before
    raw.close()


def test_opening_current_data_does_not_load_the_migrations(folder, store):
    store.close()
    code = ("import sys; from pathlib import Path; from tersum.records.store import open_store\n"
            f"open_store(Path({str(folder)!r}), 'example').close(); print('alembic' in sys.modules)")
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "False\n"


def test_migrations_make_the_tables_that_the_program_uses(store):
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with store.database.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.METADATA) == []
        assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() == database.REVISIONS[-1]
    assert database.header_version(store.database.path) == len(database.REVISIONS)


def test_migration_that_breaks_off_leaves_the_data_as_they_were(tmp_path, monkeypatch):
    path = tmp_path / "half.sqlite"
    path.touch(0o600)
    half = database.Database(path)
    half.maintain("PRAGMA journal_mode=WAL")
    from alembic import op

    honest = op.create_index

    def broken(name, *rest, **more):
        if name == "ix_endings_visit_id":
            raise OSError(5, "pulled out")
        return honest(name, *rest, **more)

    monkeypatch.setattr(op, "create_index", broken)
    with pytest.raises(TersumError):
        database.upgrade(half)
    half.close()
    raw = sqlite3.connect(path)
    assert raw.execute("SELECT name FROM sqlite_master").fetchall() == []
    raw.close()
    monkeypatch.undo()
    with pytest.raises(StorageStopped, match="no tables"):
        database.open_database(path)
    again = database.Database(path)
    database.upgrade(again)
    with again.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM facts").scalar() == 0
    again.close()


@pytest.mark.parametrize("table", tables.METADATA.sorted_tables, ids=lambda table: table.name)
def test_tables_are_portable_and_carry_their_organisation(table):
    """The same tables compile for PostgreSQL, every constraint is named, every key begins with the organisation."""
    ddl = str(CreateTable(table).compile(dialect=postgresql.dialect()))
    assert "CREATE TABLE" in ddl
    for index in table.indexes:
        assert str(CreateIndex(index).compile(dialect=postgresql.dialect())) and index.name
    assert list(table.primary_key.columns)[0].name == "organisation_id"
    assert all(constraint.name for constraint in table.constraints)


def test_threads_append_one_after_the_other(store):
    visit, failures = store.new_id(), []

    def work():
        try:
            for _ in range(25):
                store.append(step(store, visit))
        except TersumError as failure:
            failures.append(failure)

    threads = [threading.Thread(target=work) for _ in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert failures == []
    assert store.head().sequence == 101
    assert ledger.check(store) == []


def test_processes_append_one_after_the_other(folder, store):
    store.close()
    visit = store.new_id()

    def work():
        with open_store(folder, "example") as mine:
            for _ in range(40):
                mine.append(step(mine, visit))

    assert wait_all([start(work) for _ in range(3)]) == [0, 0, 0]
    with open_store(folder, "example") as again:
        assert again.head().sequence == 121
        assert ledger.check(again) == []


def start(work):
    """Run something in a child process; the parent keeps no database open across the fork."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        finally:
            os._exit(code)
    return child


def wait_all(children):
    return [os.waitstatus_to_exitcode(os.waitpid(one, 0)[1]) for one in children]


def test_processes_that_make_the_same_organisation_share_one(folder):
    def work():
        with open_store(folder, "example", create=True) as mine:
            mine.append(step(mine, mine.new_id()))

    assert wait_all([start(work) for _ in range(4)]) == [0] * 4
    with open_store(folder, "example") as store:
        assert store.head().sequence == 5
        assert ledger.check(store) == []
    assert len(list((folder / "organisations").glob("*.sqlite"))) == 1


def test_busy_store_says_so_and_goes_on(folder, store):
    other = sqlite3.connect(store.database.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with open_store(folder, "example", busy_ms=50) as waiting:
        with pytest.raises(RecordLocked, match="another program is writing") as caught:
            waiting.append(step(waiting, waiting.new_id()))
        assert caught.value.exit_code == 6
        other.execute("ROLLBACK")
        assert waiting.append(step(waiting, waiting.new_id())).sequence == 2
    other.close()


def test_after_a_storage_error_nothing_more_is_written(store, monkeypatch):
    good = store.append(step(store, store.new_id()))
    from tersum.records import writing

    honest = writing._INSERT.rows

    def failing(*_args):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(writing._INSERT, "rows", failing)
    with pytest.raises(StorageStopped, match="acknowledged before is kept") as caught:
        store.append(step(store, store.new_id()))
    assert caught.value.exit_code == 7
    monkeypatch.setattr(writing._INSERT, "rows", honest)
    with pytest.raises(StorageStopped):
        store.append(step(store, store.new_id()))
    assert store.head() == good.head


def test_what_comes_back_changed_is_not_acknowledged(store, monkeypatch):
    from tersum.records import writing

    honest = writing._BY_SEQUENCE.rows
    monkeypatch.setattr(writing._BY_SEQUENCE, "rows", lambda *args: [
        (body[:-2] + b"x}", kept) for body, kept in honest(*args)])
    with pytest.raises(StorageStopped, match="came back changed"):
        store.append(step(store, store.new_id()))
    monkeypatch.undo()
    assert store.head().sequence == 1


def test_damaged_file_is_said_in_words(folder, store):
    store.close()
    with store.database.path.open("r+b") as file:
        file.write(b"not a database at all" * 10)
    with pytest.raises(StorageStopped, match="not a database"):
        open_store(folder, "example")


def test_tables_show_a_filled_store(tmp_path):
    with filled(tmp_path / "home") as store:
        assert [row["place_kind"] for row in store.table("visits")] == ["vehicle"]
        assert len(store.table("readings")) == 3
        assert store.table("endings", ending="stopped") == []
        assert all(store.table(table.name) for table in tables.PROJECTIONS)

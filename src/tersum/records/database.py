"""The database under a store: one file, every commit synced, one writer at a time, brought up to date when opened."""

from __future__ import annotations

import os
import sqlite3
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import IntegrityError

from tersum.errors import N_
from tersum.records import home
from tersum.records.revisions import REVISIONS
from tersum.records.trouble import NewerStore, NoStore, StorageStopped, is_storage_trouble, told

BUSY_MS = 10_000
MIGRATIONS = Path(__file__).resolve().parent / "migrations"
_LOCKS: dict[str, threading.Lock] = {}
_LOCKS_GUARD = threading.Lock()


class Database:
    """A database file: ``reading()`` and ``writing()`` give connections inside a transaction."""

    def __init__(self, path: Path, *, busy_ms: int = BUSY_MS):
        self.path = path
        self.engine = engine(path, busy_ms=busy_ms)
        self._writer: Connection | None = None
        self._lock = _lock_of(path)
        self.stopped: StorageStopped | None = None
        # Statements run by SQLAlchemy and those run on the driver itself report a taken key differently.
        self.clashes: tuple[type[Exception], ...] = (IntegrityError, self.engine.dialect.loaded_dbapi.IntegrityError)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the data throughout."""
        with self._plainly(), self.engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the one writing connection; what was written is durable when this is left without an error.

        After a storage error nothing more is written through this object: it is never simply tried again.
        """
        if self.stopped is not None:
            raise self.stopped
        with self._lock:
            try:
                with self._plainly():
                    yield from self._transaction()
            except StorageStopped as trouble:
                self.stopped = trouble
                self.close()  # whatever the failed connection still holds in memory is not to be trusted
                raise

    def maintain(self, *statements: str) -> list[Any]:
        """Run statements that must stand outside a transaction; return the first row of each."""
        with self._lock, self._plainly(), self.engine.connect() as connection:
            raw = connection.connection.dbapi_connection
            assert raw is not None
            return [raw.cursor().execute(one).fetchone() for one in statements]

    def close(self) -> None:
        """Let go of the file."""
        if self._writer is not None:
            self._writer.invalidate()
            self._writer.close()
            self._writer = None
        self.engine.dispose()

    def _transaction(self) -> Iterator[Connection]:
        """Begin, hand out the connection, and commit; on any error nothing is kept.

        Said to the driver itself: SQLAlchemy's own bookkeeping of a transaction takes as long as the commit. It is
        told afterwards that its transaction, if a statement began one, is over.
        """
        connection = self._writing_connection()
        driver: Any = connection.connection.dbapi_connection
        # IMMEDIATE takes the writer's place before anything is read, so that the head that is read stays the head.
        driver.execute("BEGIN IMMEDIATE")
        try:
            yield connection
            driver.commit()
        finally:
            driver.rollback()  # after a commit there is nothing left to roll back
            if connection.in_transaction():
                connection.rollback()

    def _writing_connection(self) -> Connection:
        """Return the one writing connection, which stays open: taking it from the pool anew costs half a commit."""
        if self._writer is None:
            self._writer = self.engine.connect().execution_options(tersum_writes=True)
        return self._writer

    @contextmanager
    def _plainly(self) -> Iterator[None]:
        try:
            yield
        except Exception as trouble:
            if is_storage_trouble(trouble):
                raise told(trouble, self.path) from trouble
            raise


def engine(path: Path, *, busy_ms: int = BUSY_MS) -> Engine:
    """Return the engine of a file with the settings every connection must have."""
    made = create_engine(f"sqlite:///{path}", pool_size=4, max_overflow=16,
                         connect_args={"isolation_level": None, "check_same_thread": False, "timeout": busy_ms / 1000})
    event.listen(made, "connect", _settings)
    event.listen(made, "begin", _begin)
    return made


def open_database(path: Path, *, busy_ms: int = BUSY_MS) -> Database:
    """Open a database that is there and bring it up to date.

    Raises
    ------
    NewerStore
        If a newer program has written it; no byte is changed then.
    """
    if not path.is_file():
        raise NoStore(N_("The file {value} is missing, though its organisation is known. Restore a backup."),
                      field="store", value=str(path))
    if header_version(path) > len(REVISIONS):
        raise newer(path)
    database = Database(path, busy_ms=busy_ms)
    try:
        found = _revision(database)
        if found is None:
            raise StorageStopped(N_("The file {value} holds no tables, though its organisation is known. Restore a "
                                    "backup."), field="store", value=str(path))
        if found not in REVISIONS:
            raise newer(path)
        if found != REVISIONS[-1]:
            upgrade(database)
    except BaseException:
        database.close()
        raise
    return database


def create_database(path: Path) -> Database:
    """Make a new file, readable by its owner only, with all tables."""
    home.folder(path.parent)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, home.FILE_MODE))
    home.sync_folder(path.parent)
    database = Database(path)
    database.maintain("PRAGMA journal_mode=WAL")
    upgrade(database)
    return database


def upgrade(database: Database) -> None:
    """Run the migrations that are missing, all of them in one transaction."""
    # Alembic takes 0.3 s to import and is wanted only here.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    with database.writing() as connection:
        connection.exec_driver_sql("SELECT 1")  # now Alembic sees a transaction about it, and leaves the commit alone
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        connection.execute(text(f"PRAGMA user_version={len(REVISIONS)}"))
    database.maintain("PRAGMA wal_checkpoint(TRUNCATE)")


def header_version(path: Path) -> int:
    """Return the number of migrations that the file's own header tells, read without opening the database.

    Source
    ------
    SQLite database file format, section 1.3: "user version", 4 bytes big-endian at offset 60.
    """
    with path.open("rb") as file:
        head = file.read(64)
    if head and not head.startswith(b"SQLite format 3\0"):
        raise StorageStopped(N_("The file {value} is not a database any more. Restore a backup."), field="store",
                             value=str(path))
    return int(struct.unpack(">I", head[60:64])[0]) if len(head) == 64 else 0


def newer(path: Path) -> NewerStore:
    """Return the refusal of data that a newer program wrote."""
    return NewerStore(N_("{value} was written by a newer version of Tersum. Nothing was changed. Install that "
                         "version."), field="store", value=path.name)


def _revision(database: Database) -> str | None:
    with database.reading() as connection:
        there = connection.exec_driver_sql(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name = 'alembic_version'").first()
        row = connection.execute(text("SELECT version_num FROM alembic_version")).first() if there else None
    return str(row[0]) if row else None


def _settings(connection: sqlite3.Connection, _record: object) -> None:
    for pragma in ("synchronous=FULL", "secure_delete=ON", "foreign_keys=ON", "temp_store=MEMORY",
                   "trusted_schema=OFF"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    if not connection.get_execution_options().get("tersum_writes"):  # the writer's transaction has begun already
        driver: Any = connection.connection.dbapi_connection
        driver.execute("BEGIN")


def _lock_of(path: Path) -> threading.Lock:
    with _LOCKS_GUARD:
        return _LOCKS.setdefault(str(path.resolve()), threading.Lock())

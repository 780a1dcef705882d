"""Sealing one fact, durably, against inserting a row of the same size and committing it in the same settings.

The reference goes the same way to its file, through SQLAlchemy Core. The driver alone, without it, inserts a row in
less time than it takes to check an entry: where a sync costs a tenth of a millisecond, a sealed fact takes about three
times that; where it costs some milliseconds, the same. So much is the price of schema, canonical form, hash, reading
back and the table that pages read.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from measuring import Result, compare
from sqlalchemy import Engine, create_engine, event, insert
from sqlalchemy.schema import Column, MetaData, Table
from sqlalchemy.types import LargeBinary, String

from tersum.records.facts import Entry
from tersum.records.store import Store, open_store

NAME = "one sealed fact"
GOAL = "within 1.5 times a bare insert and commit in the same settings"
GOAL_RATIO = 1.5
RUNS = 400
SIZE = 760  # bytes of the fact's body
PRAGMAS = ("journal_mode=WAL", "synchronous=FULL", "secure_delete=ON", "foreign_keys=ON")
ROWS = Table("rows", MetaData(), Column("id", String(36), primary_key=True),
             Column("visit_id", String(36), index=True), Column("body", LargeBinary))


def measure() -> list[Result]:
    """Append facts to one file and rows to another beside it, in turns."""
    with tempfile.TemporaryDirectory() as folder, open_store(Path(folder), "example", create=True) as store:
        visit = store.new_id()
        with _engine(Path(folder) / "bare.sqlite") as engine:
            return [compare("one sealed fact, acknowledged", lambda: _sealed(store, visit),
                            lambda: _bare(engine, store.new_id(), visit), runs=RUNS, goal_ratio=GOAL_RATIO,
                            reference_name="insert and commit through SQLAlchemy Core, WAL, FULL")]


def _sealed(store: Store, visit: str) -> None:
    store.append(Entry("step-carried-out", {"visit_id": visit, "step": "wipe", "finished_utc": None,
                                            "started_utc": "2026-03-02T09:14:00.000000Z"},
                       actor_id=store.device_id, operation_id=store.new_id()))


def _bare(engine: Engine, name: str, visit: str) -> None:
    with engine.begin() as connection:
        connection.execute(insert(ROWS), {"id": name, "visit_id": visit, "body": b"x" * SIZE})


@contextmanager
def _engine(path: Path) -> Iterator[Engine]:
    engine = create_engine(f"sqlite:///{path}", connect_args={"isolation_level": None})
    event.listen(engine, "connect", _set)
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    ROWS.metadata.create_all(engine)
    yield engine
    engine.dispose()


def _set(connection: Any, _record: object) -> None:
    for pragma in PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")

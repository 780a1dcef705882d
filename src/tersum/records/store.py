"""The store of one organisation: entries go in, facts come out, and nothing is acknowledged before it is durable."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, select

from tersum import __version__
from tersum.errors import N_
from tersum.records import facts, home, personal, projections, tables
from tersum.records.database import BUSY_MS, Database, create_database, open_database
from tersum.records.effective import Effective, effective
from tersum.records.facts import Entry, Fact, Head
from tersum.records.tables import BATCH_ROWS, FACTS
from tersum.records.trouble import Conflict, NoStore
from tersum.records.when import Clock, local_zone, now
from tersum.records.writing import Chain, Writing


@dataclass(frozen=True)
class Erasure:
    """What an erasure did: the fact that says so, and whether every old copy in the file is overwritten already."""

    fact: Fact
    wiped: bool


class Store:
    """One organisation's facts. Use it as a context manager, or close it."""

    def __init__(self, database: Database, chain: Chain):
        self.database = database
        self.chain = chain

    @property
    def organisation_id(self) -> str:
        return self.chain.organisation_id

    @property
    def device_id(self) -> str:
        return self.chain.device_id

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_trouble: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self.database.close()

    @staticmethod
    def new_id() -> str:
        """Return a UUIDv7 for a fact, an operation, a visit."""
        return home.new_id()

    def append(self, entry: Entry) -> Fact:
        """Put one entry on record; when this returns, the fact is durable.

        Raises
        ------
        Faults
            With everything in the entry that is not as its type's schema says.
        Conflict
            If the operation or the fact id is known with other content.
        RecordLocked
            If another program was writing for too long.
        StorageStopped
            If the disk or the database failed: nothing more is written through this store.
        """
        return self.append_all([entry])[0]

    def append_all(self, entries: Sequence[Entry]) -> list[Fact]:
        """Put several entries on record, all of them or none, in this order."""
        with self.writing() as writing:
            return [writing.append(entry) for entry in entries]

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """Give the end of the chain, to append facts and keep personal values in one transaction."""
        try:
            with self.database.writing() as connection:
                yield Writing(connection, self.chain)
        except self.database.clashes as clash:
            raise Conflict(N_("Not written: {value} is already taken by another record."), field="id",
                           value=str(getattr(clash, "orig", clash)).rpartition(": ")[2]) from clash

    def head(self) -> Head | None:
        """Return the last fact's number, hash and time; None if there is no fact."""
        with self.database.reading() as connection:
            row = connection.execute(
                select(FACTS.c.sequence, FACTS.c.hash, FACTS.c.body)
                .where(FACTS.c.organisation_id == self.organisation_id)
                .order_by(FACTS.c.sequence.desc()).limit(1)).first()
        return Head(row.sequence, row.hash, facts.moment_of(row.body)) if row else None

    def facts(self, *, type: str | None = None, visit_id: str | None = None, after: int = 0) -> list[Fact]:
        """Return facts in their order, batches with their rows; corrections of a visit's facts come with the visit."""
        query = select(FACTS.c.body).where(FACTS.c.organisation_id == self.organisation_id, FACTS.c.sequence > after)
        if type is not None:
            query = query.where(FACTS.c.type == type)
        if visit_id is not None:
            query = query.where(FACTS.c.visit_id == visit_id)
        with self.database.reading() as connection:
            bodies = [row.body for row in connection.execute(query.order_by(FACTS.c.sequence))]
            return [self._with_rows(connection, facts.read(body)) for body in bodies]

    def fact(self, fact_id: str) -> Fact:
        """Return one fact by its id."""
        with self.database.reading() as connection:
            row = connection.execute(select(FACTS.c.body).where(
                FACTS.c.organisation_id == self.organisation_id, FACTS.c.fact_id == fact_id)).first()
            if row is None:
                raise NoStore(N_("There is no fact {value}."), field="fact_id", value=fact_id)
            return self._with_rows(connection, facts.read(row.body))

    def effective(self, *, visit_id: str | None = None) -> dict[str, Effective]:
        """Return facts as they count now, corrections applied, by fact id and in their order."""
        return effective(self.facts(visit_id=visit_id))

    def table(self, name: str, **where: object) -> list[dict[str, Any]]:
        """Return rows of a table that pages read, in the order in which they were recorded."""
        table = _projection(name)
        query = (select(table).join(FACTS, (FACTS.c.organisation_id == table.c.organisation_id)
                                    & (FACTS.c.fact_id == table.c.fact_id))
                 .where(table.c.organisation_id == self.organisation_id,
                        *(table.c[column] == value for column, value in where.items()))
                 .order_by(FACTS.c.sequence, table.c.position))
        with self.database.reading() as connection:
            return [dict(row) for row in connection.execute(query).mappings()]

    def rebuild(self) -> int:
        """Make the tables that pages read again from the facts; return the number of rows made."""
        with self.database.writing() as connection:
            kept = effective(self._all_facts(connection)).values()
            return projections.rebuild(connection, self.organisation_id, kept)

    def remember_subject(self, kind: str, values: Mapping[str, str], *, erasable: bool = True) -> str:
        """Keep personal values outside the facts; return the random id that stands for them."""
        with self.writing() as writing:
            return writing.remember_subject(kind, values, erasable=erasable)

    def person(self, name: str) -> str:
        """Return the random id of the person with this name, a new one if nobody has it yet."""
        with self.writing() as writing:
            return writing.person(name)

    def personal_value(self, subject_id: str, field: str) -> str | None:
        """Return the newest version of a personal value, or None once it is erased."""
        with self.database.reading() as connection:
            row = personal.latest(connection, self.organisation_id, subject_id, field)
        return row.value if row else None

    def commitment(self, subject_id: str, field: str) -> dict[str, Any]:
        """Return what a fact may hold of a personal value."""
        with self.database.reading() as connection:
            return personal.commitment(connection, self.organisation_id, subject_id, field)

    def erase_subject(self, subject_id: str, *, basis: str, actor_id: str, operation_id: str) -> Erasure:
        """Delete a subject's values and key, say so in a fact, and overwrite what the file still held of them.

        Every seal and every head stays as it is. Sent again with the same operation, only the overwriting is done
        again. What was printed or handed over cannot be recalled.
        """
        done = [one for one in self.facts(type="subject-erased") if one.envelope["operation_id"] == operation_id]
        if done:
            return Erasure(done[0], self._wiped())
        with self.writing() as writing:
            fields = writing.forget(subject_id)
            fact = writing.append(Entry("subject-erased", {"subject_id": subject_id, "basis": basis, "fields": fields},
                                        actor_id=actor_id, operation_id=operation_id))
        return Erasure(fact, self._wiped())

    def _wiped(self) -> bool:
        # Deleted cells are zeroed already (secure_delete); VACUUM also drops what page splits have left behind, and
        # the checkpoint empties the log. A reader that is still there can hold the log back.
        *_, checkpoint = self.database.maintain("VACUUM", "PRAGMA wal_checkpoint(TRUNCATE)")
        return bool(checkpoint is not None and checkpoint[0] == 0)

    def _all_facts(self, connection: Connection) -> Iterator[Fact]:
        rows = connection.execute(select(FACTS.c.body).where(FACTS.c.organisation_id == self.organisation_id)
                                  .order_by(FACTS.c.sequence)).all()
        for row in rows:
            yield self._with_rows(connection, facts.read(row.body))

    def _with_rows(self, connection: Connection, fact: Fact) -> Fact:
        if "merkle_root" not in fact.data:
            return fact
        rows = connection.execute(select(BATCH_ROWS.c.body).where(
            BATCH_ROWS.c.organisation_id == self.organisation_id, BATCH_ROWS.c.fact_id == fact.fact_id)
            .order_by(BATCH_ROWS.c.position))
        return Fact(fact.body, fact.hash, fact.envelope, tuple(row.body for row in rows))


def open_store(folder: Path, organisation: str, *, create: bool = False, clock: Clock = now,
               zone: str | None = None, busy_ms: int = BUSY_MS) -> Store:
    """Open the store of an organisation.

    Parameters
    ----------
    folder : Path
        The data folder, as :func:`tersum.records.home.data_home` gives it.
    organisation : str
        Short name: small letters, digits and hyphens.
    create : bool
        Make the organisation if it is not there.
    clock : callable
        Returns the present moment with its time zone.
    zone : str, optional
        IANA name of the zone entries are made in; this machine's if left out.

    Raises
    ------
    NoStore
        If there is no such organisation and it is not to be made.
    NewerStore
        If a newer program has written the data; no byte is changed.
    """
    home.checked_slug(organisation)
    if create and not (folder / "organisations" / f"{organisation}.id").exists():
        return _made(folder, organisation, clock, zone or local_zone())
    known = home.organisation_id(folder, organisation)
    database = open_database(home.database_path(folder, known), busy_ms=busy_ms)
    return Store(database, Chain(known, home.device_id(folder), zone or local_zone(), clock))


def _made(folder: Path, slug: str, clock: Clock, zone: str) -> Store:
    """Make an organisation: the file and its first fact come first and its name last, so that a name never leads to
    half an organisation."""
    chain = Chain(home.new_id(), home.device_id(folder), zone, clock)
    path = home.database_path(folder, chain.organisation_id)
    store = Store(create_database(path), chain)
    store.append(Entry("organisation-opened", {"slug": slug, "program_version": __version__},
                       actor_id=chain.device_id, operation_id=home.new_id()))
    if home.keep_once(folder / "organisations" / f"{slug}.id", chain.organisation_id):
        return store
    store.close()  # another process was first: its organisation is the one
    for leftover in path.parent.glob(f"{path.name}*"):
        os.unlink(leftover)
    return open_store(folder, slug, clock=clock, zone=zone)


def _projection(name: str) -> Table:
    return next(table for table in tables.PROJECTIONS if table.name == name)

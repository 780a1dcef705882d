"""People and notes in a store: finding them, giving out all that is kept of one, and erasing one everywhere here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select

from tersum.errors import N_
from tersum.records.facts import Fact
from tersum.records.issued_file import issued_file
from tersum.records.personal import commitments
from tersum.records.store import Erasure, Store
from tersum.records.tables import PERSONAL_ROWS, SUBJECTS
from tersum.records.trouble import Conflict, NoStore

DRAW = "draw"  # a seed kept back until the draw is revealed: nobody's data


@dataclass(frozen=True)
class KeptValue:
    """One version of a personal value."""

    field: str
    version: int
    value: str
    erasable: bool


@dataclass(frozen=True)
class Subject:
    """Who or what a random id stands for, with every version of every value, oldest first."""

    subject_id: str
    kind: str
    values: tuple[KeptValue, ...]

    @property
    def shown(self) -> str:
        """The newest version of each value, for a list."""
        newest = {one.field: one.value for one in self.values}
        return "; ".join(newest.values())


@dataclass(frozen=True)
class Mention:
    """Where a fact names a subject: the fact, what it is to it, and for a batch the rows that name it."""

    fact: Fact
    role: str
    rows: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True)
class ErasedEverywhere:
    """What an erasure did: in the store, and the kept copies of issued records that showed the words."""

    erasure: Erasure
    records_removed: tuple[str, ...]


def subjects(store: Store, *, containing: str = "") -> list[Subject]:
    """Return the subjects of a store, or those with a value that holds some text, letters of either case alike."""
    with store.database.reading() as connection:
        kinds = {row.subject_id: row.kind for row in connection.execute(
            select(SUBJECTS.c.subject_id, SUBJECTS.c.kind).where(SUBJECTS.c.organisation_id == store.organisation_id))}
        rows = connection.execute(
            select(PERSONAL_ROWS).where(PERSONAL_ROWS.c.organisation_id == store.organisation_id)
            .order_by(PERSONAL_ROWS.c.subject_id, PERSONAL_ROWS.c.field, PERSONAL_ROWS.c.version)).all()
    values: dict[str, list[KeptValue]] = {subject: [] for subject in kinds}
    for row in rows:
        values.setdefault(row.subject_id, []).append(KeptValue(row.field, row.version, row.value, bool(row.erasable)))
    wanted = containing.casefold()
    return [Subject(subject, kind, tuple(values[subject])) for subject, kind in sorted(kinds.items())
            if kind != DRAW and any(wanted in one.value.casefold() for one in values[subject])]


def subject_meant(store: Store, named: str) -> Subject:
    """Return the one subject with this id, or whose newest name or note is exactly this.

    Raises
    ------
    NoStore
        If there is none.
    Conflict
        If there are several: then the id says which.
    """
    known = subjects(store)
    found = [one for one in known if one.subject_id == named] or [one for one in known if one.shown == named]
    if not found:
        raise NoStore(N_("There is nobody and nothing kept under {value}. Search: tersum person list --containing "
                         "TEXT"), field="person", value=named)
    if len(found) > 1:
        raise Conflict(N_("{value} stands for several: say which by its id, one of {known}."), field="person",
                       value=named, known=", ".join(one.subject_id for one in found))
    return found[0]


def mentions(store: Store, subject_id: str) -> list[Mention]:
    """Return every fact that names a subject, with only those rows of a batch that do."""
    return [found for fact in store.facts() if (found := _mention(fact, subject_id)) is not None]


def erase(store: Store, home: Path, subject_id: str, *, basis: str, actor_id: str,
          operation_id: str) -> ErasedEverywhere:
    """Erase a subject from the store and from the kept copies of issued records that may show its words.

    A record prints notes, and people as numbers only: so copies of records go with a note, not with a person. What was
    handed over cannot be recalled; it still verifies, since the fact of its issue stays.
    """
    named = mentions(store, subject_id)
    visits = {str(one.fact.data["visit_id"]) for one in named if one.role == "words" and "visit_id" in one.fact.data}
    done = store.erase_subject(subject_id, basis=basis, actor_id=actor_id, operation_id=operation_id)
    return ErasedEverywhere(done, tuple(_removed(store, home, visits)))


def erasure_of(store: Store, subject_id: str) -> Fact | None:
    """Return the fact that says that a subject was erased, None if there is none."""
    return next((one for one in store.facts(type="subject-erased") if one.data["subject_id"] == subject_id), None)


def _removed(store: Store, home: Path, visits: set[str]) -> Iterator[str]:
    for fact in store.facts(type="record-issued"):
        path = issued_file(home, store.organisation_id, fact.data["number"])
        if fact.data["visit_id"] in visits and path.exists():
            path.unlink()
            yield fact.data["number"]


def _mention(fact: Fact, subject_id: str) -> Mention | None:
    rows = tuple(row for row in map(fact.row, range(len(fact.rows))) if _names(row, subject_id))
    if any(one["subject_id"] == subject_id for value in (fact.data, *rows) for one in commitments(value)):
        return Mention(fact, "words", rows)
    if rows or _names(fact.data, subject_id):
        return Mention(fact, "took-part", rows)
    return Mention(fact, "entered", ()) if fact.envelope["actor_id"] == subject_id else None


def _names(value: object, subject_id: str) -> bool:
    if isinstance(value, Mapping):
        return any(_names(one, subject_id) for one in value.values())
    if isinstance(value, list | tuple):
        return any(_names(one, subject_id) for one in value)
    return value == subject_id

"""Personal values, kept beside the facts in rows that can be erased, and bound to the facts by keyed hashes."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from tersum.errors import N_, OutOfRange, RecordLocked
from tersum.records import canonical
from tersum.records.home import new_id
from tersum.records.schema import CODE
from tersum.records.tables import PERSONAL_ROWS, SUBJECTS
from tersum.records.trouble import NoStore

PREFIX = b"tersum/commitment/1\n"
KEY_BYTES = 32
COMMITMENT_KEYS = frozenset({"subject_id", "field", "version", "hmac"})


@dataclass(frozen=True)
class PersonalRow:
    """One personal value as it is kept."""

    subject_id: str
    field: str
    version: int
    value: str


def keyed_hash(key: bytes, field: str, version: int, value: str) -> str:
    """Return what a fact may hold of a personal value: HMAC-SHA-256 under the subject's key, hexadecimal.

    A plain hash of a number plate could be searched through; without the key this cannot.

    Source
    ------
    RFC 2104 (1997) with SHA-256; the message is a versioned prefix and the canonical form of field, version, value.

    Examples
    --------
    >>> keyed_hash(bytes(32), "plate", 1, "EX 123 MP")[:16]
    '794fe78ffa95682a'
    """
    message = PREFIX + canonical.canonical([field, version, value])
    return hmac.new(key, message, hashlib.sha256).hexdigest()


def remember(connection: Connection, organisation_id: str, kind: str, values: Mapping[str, str], *,
             erasable: bool = True) -> str:
    """Keep a new subject with a key of its own and its values; return its random id."""
    subject_id = new_id()
    connection.execute(insert(SUBJECTS), {"organisation_id": organisation_id, "subject_id": subject_id,
                                          "kind": _code("kind", kind), "key": secrets.token_bytes(KEY_BYTES)})
    for field, value in values.items():
        add(connection, organisation_id, PersonalRow(subject_id, field, 1, value), erasable=erasable)
    return subject_id


def add(connection: Connection, organisation_id: str, row: PersonalRow, *, erasable: bool = True) -> None:
    """Keep one more value of a subject; an older version of it stays until the subject is erased."""
    value = canonical.normalised(row.value)
    if not isinstance(value, str) or not value:
        raise OutOfRange(row.field, row.value, N_("text"))
    connection.execute(insert(PERSONAL_ROWS), {
        "organisation_id": organisation_id, "subject_id": row.subject_id, "field": _code("field", row.field),
        "version": row.version, "value": value, "erasable": erasable})


def latest(connection: Connection, organisation_id: str, subject_id: str, field: str) -> PersonalRow | None:
    """Return the newest version of a value, or None."""
    found = connection.execute(
        select(PERSONAL_ROWS.c.version, PERSONAL_ROWS.c.value)
        .where(PERSONAL_ROWS.c.organisation_id == organisation_id, PERSONAL_ROWS.c.subject_id == subject_id,
               PERSONAL_ROWS.c.field == field)
        .order_by(PERSONAL_ROWS.c.version.desc()).limit(1)).first()
    return PersonalRow(subject_id, field, found.version, found.value) if found else None


def commitment(connection: Connection, organisation_id: str, subject_id: str, field: str) -> dict[str, Any]:
    """Return what a fact may hold of the newest version of a value.

    Raises
    ------
    NoStore
        If there is no such subject or value.
    """
    key = key_of(connection, organisation_id, subject_id)
    row = latest(connection, organisation_id, subject_id, field)
    if key is None or row is None:
        raise NoStore(N_("There is no {field} kept for subject {value}."), field=field, value=subject_id)
    return {"subject_id": subject_id, "field": field, "version": row.version,
            "hmac": keyed_hash(key, field, row.version, row.value)}


def at_version(connection: Connection, organisation_id: str, held: Mapping[str, Any]) -> str | None:
    """Return the keyed hash of the value that a commitment in a fact names, or None if it or its key is gone."""
    key = key_of(connection, organisation_id, held["subject_id"])
    row = connection.execute(select(PERSONAL_ROWS.c.value).where(
        PERSONAL_ROWS.c.organisation_id == organisation_id, PERSONAL_ROWS.c.subject_id == held["subject_id"],
        PERSONAL_ROWS.c.field == held["field"], PERSONAL_ROWS.c.version == held["version"])).first()
    if key is None or row is None:
        return None
    return keyed_hash(key, held["field"], held["version"], str(row.value))


def key_of(connection: Connection, organisation_id: str, subject_id: str) -> bytes | None:
    """Return the key of a subject, or None once it is erased."""
    found = connection.execute(select(SUBJECTS.c.key).where(
        SUBJECTS.c.organisation_id == organisation_id, SUBJECTS.c.subject_id == subject_id)).first()
    return bytes(found.key) if found else None


def subject_named(connection: Connection, organisation_id: str, kind: str, field: str, value: str) -> str | None:
    """Return the subject of a kind whose newest ``field`` is ``value``, or None."""
    rows = connection.execute(
        select(PERSONAL_ROWS.c.subject_id, func.max(PERSONAL_ROWS.c.version).label("version"))
        .join(SUBJECTS, (SUBJECTS.c.organisation_id == PERSONAL_ROWS.c.organisation_id)
              & (SUBJECTS.c.subject_id == PERSONAL_ROWS.c.subject_id))
        .where(PERSONAL_ROWS.c.organisation_id == organisation_id, SUBJECTS.c.kind == kind,
               PERSONAL_ROWS.c.field == field)
        .group_by(PERSONAL_ROWS.c.subject_id)).all()
    for row in rows:
        newest = latest(connection, organisation_id, row.subject_id, field)
        if newest is not None and newest.value == value:
            return str(row.subject_id)
    return None


def forget(connection: Connection, organisation_id: str, subject_id: str) -> list[str]:
    """Delete the values and the key of a subject; return the names of the fields that were there.

    Raises
    ------
    NoStore
        If there is no such subject.
    RecordLocked
        If a value must be kept; nothing is deleted then.
    """
    where = (PERSONAL_ROWS.c.organisation_id == organisation_id, PERSONAL_ROWS.c.subject_id == subject_id)
    rows = connection.execute(select(PERSONAL_ROWS.c.field, PERSONAL_ROWS.c.erasable).where(*where)).all()
    if key_of(connection, organisation_id, subject_id) is None:
        raise NoStore(N_("There is no subject {value}."), field="subject_id", value=subject_id)
    kept = sorted({row.field for row in rows if not row.erasable})
    if kept:
        raise RecordLocked(N_("Not erased: {fields} of subject {value} must be kept."), field="subject_id",
                           value=subject_id, fields=", ".join(kept))
    connection.execute(delete(PERSONAL_ROWS).where(*where))
    connection.execute(delete(SUBJECTS).where(SUBJECTS.c.organisation_id == organisation_id,
                                              SUBJECTS.c.subject_id == subject_id))
    return sorted({row.field for row in rows})


def commitments(value: object) -> Iterator[Mapping[str, Any]]:
    """Yield every commitment that a value holds, at any depth."""
    if isinstance(value, Mapping):
        if frozenset(value) == COMMITMENT_KEYS:
            yield value
        else:
            for one in value.values():
                yield from commitments(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from commitments(one)


def _code(field: str, value: str) -> str:
    faults = CODE.faults(field, value)
    if faults:
        raise faults[0]
    return value

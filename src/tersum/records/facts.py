"""The fact: something that happened, sealed as the bytes that were hashed, chained to the fact before it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName
from tersum.records import canonical, merkle
from tersum.records.fact_types import ENVELOPE, NAMES, TYPES, FactType
from tersum.records.when import When

PREFIX = b"tersum/fact/1\n"  # what is hashed before the body; a new way of hashing gets a new prefix
FIRST = "0" * 64  # the previous hash of the first fact


@dataclass(frozen=True)
class Head:
    """How far a chain had come: number and hash of its last fact, and when that fact says it was."""

    sequence: int
    hash: str
    utc: str = ""

    def __str__(self) -> str:
        return f"{self.sequence}:{self.hash}"


@dataclass(frozen=True)
class Corrects:
    """The fact that a correction names, and why, as a code; words go into a personal row with its commitment."""

    fact_id: str
    reason: str


@dataclass(frozen=True)
class Device:
    """The device an entry was made on, and its number there."""

    id: str
    sequence: int


@dataclass(frozen=True)
class Entry:
    """What somebody wants to put on record.

    Parameters
    ----------
    type : str
        One of :data:`tersum.records.fact_types.NAMES`.
    data : mapping
        As the type's schema says: numbers as decimal text, whole numbers, text, lists, mappings.
    actor_id : str
        UUID of who did it: a subject of the store, or the device for what the program does by itself.
    operation_id : str
        UUID made where the entry is made. The same operation sent again has no second effect.
    when : When, optional
        The moment; by the store's clock if left out.
    rows : sequence of mappings
        The rows of a batch; count and Merkle root are put into ``data`` by the store.
    corrects : Corrects, optional
        Required by corrections, refused elsewhere.
    basis : Head, optional
        The last fact that was seen when the entry was made; the store's own last fact if left out.
    fact_id : str, optional
        UUIDv7 made where the entry is made; by the store if left out.
    device : Device, optional
        The device the entry was made on; the store's own if left out.
    """

    type: str
    data: Mapping[str, Any]
    actor_id: str
    operation_id: str
    when: When | None = None
    rows: Sequence[Mapping[str, Any]] = ()
    corrects: Corrects | None = None
    basis: Head | None = None
    fact_id: str | None = None
    device: Device | None = None
    type_version: int = 1


@dataclass(frozen=True)
class Fact:
    """A sealed fact: the bytes hashed, their hash, and what they say."""

    body: bytes
    hash: str
    envelope: Mapping[str, Any]
    rows: tuple[bytes, ...] = field(default=(), repr=False)

    @property
    def sequence(self) -> int:
        return int(self.envelope["sequence"])

    @property
    def fact_id(self) -> str:
        return str(self.envelope["fact_id"])

    @property
    def type(self) -> str:
        return str(self.envelope["type"])

    @property
    def data(self) -> Mapping[str, Any]:
        data: Mapping[str, Any] = self.envelope["data"]
        return data

    @property
    def when(self) -> When:
        return When(**self.envelope["when"])

    @property
    def corrects(self) -> Corrects | None:
        named = self.envelope["corrects"]
        return Corrects(**named) if named else None

    @property
    def head(self) -> Head:
        return Head(self.sequence, self.hash, self.envelope["when"]["utc"])

    def row(self, position: int) -> Any:
        """Return what the row at ``position`` of a batch says."""
        return canonical.parsed(self.rows[position])


def seal(body: bytes) -> str:
    """Return the hash of a body: SHA-256 over the versioned prefix and the bytes, as hexadecimal.

    Examples
    --------
    >>> seal(b"{}")[:16]
    'fa5b75dc3bfaffae'
    """
    return hashlib.sha256(PREFIX + body).hexdigest()


def read(body: bytes, rows: Sequence[bytes] = ()) -> Fact:
    """Return the fact that a body holds; its form and its schema are checked.

    Raises
    ------
    OutOfRange
        If the bytes are not in canonical form.
    Faults
        With everything that is not as the schema says.
    """
    envelope = canonical.parsed(body)
    faults = envelope_faults(envelope)
    if faults:
        raise Faults(faults)
    assert isinstance(envelope, dict)
    return Fact(body, seal(body), envelope, tuple(rows))


def moment_of(body: bytes) -> str:
    """Return when a fact says it was, in UTC; nothing if the body cannot be read."""
    try:
        return str(json.loads(body)["when"]["utc"])
    except (ValueError, LookupError, TypeError):
        return ""


def envelope_faults(envelope: object) -> list[TersumError]:
    """Return everything that is wrong with an envelope and with the data of its type."""
    faults = ENVELOPE.faults("", envelope)
    if faults or not isinstance(envelope, dict):
        return faults
    kind = TYPES.get((envelope["type"], envelope["type_version"]))
    if kind is None:
        return [UnknownName("/type", f"{envelope['type']} {envelope['type_version']}", NAMES)]
    if kind.corrects != (envelope["corrects"] is not None):
        faults.append(OutOfRange("/corrects", envelope["corrects"],
                                 N_("a fact and a reason in a correction, nothing in any other fact")))
    return faults + kind.data.faults("/data", envelope["data"])


def batch(entry: Entry) -> tuple[dict[str, Any], list[bytes]]:
    """Return the data of an entry with its rows sealed in, and the rows as canonical bytes.

    Raises
    ------
    Faults
        With every fault of every row.
    """
    data = dict(entry.data)
    kind = _kind(entry)
    if kind.row is None:
        if entry.rows:
            raise OutOfRange("rows", len(entry.rows), N_("no rows; {type} seals none"), type=entry.type)
        return data, []
    faults: list[TersumError] = []
    bodies: list[bytes] = []
    for place, row in enumerate(entry.rows):
        value = canonical.normalised(dict(row))
        faults.extend(kind.row.faults(f"/rows/{place}", value))
        bodies.append(canonical.written(value))
    if faults:
        raise Faults(faults)
    data |= {"count": len(bodies), "merkle_root": merkle.root(bodies).hex()}
    return data, bodies


def row_faults(fact: Fact) -> list[TersumError]:
    """Return everything that is wrong with the rows of a batch."""
    kind = TYPES[fact.type, int(fact.envelope["type_version"])].row
    faults: list[TersumError] = []
    for place, body in enumerate(fact.rows):
        try:
            faults += kind.faults(f"/rows/{place}", canonical.parsed(body)) if kind is not None else []
        except OutOfRange as fault:
            faults.append(fault)
    return faults


def _kind(entry: Entry) -> FactType:
    kind = TYPES.get((entry.type, entry.type_version))
    if kind is None:
        raise UnknownName("type", f"{entry.type} {entry.type_version}", NAMES)
    return kind

"""One write: entries become facts at the end of the chain, all of them or none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, bindparam, func, insert, select

from tersum.errors import N_, Faults, OutOfRange, RecordLocked, TersumError
from tersum.records import canonical, facts, merkle, personal, projections
from tersum.records.effective import UNCORRECTABLE, Effective, as_sealed, corrected
from tersum.records.facts import Corrects, Device, Entry, Fact, Head
from tersum.records.home import new_id
from tersum.records.kept_bytes import as_bytes
from tersum.records.prepared import Prepared
from tersum.records.tables import BATCH_ROWS, FACTS
from tersum.records.trouble import Conflict, NoStore, StorageStopped
from tersum.records.when import Clock, When, when

_MINE = FACTS.c.organisation_id == bindparam("organisation")
_LAST = select(func.max(FACTS.c.sequence)).where(_MINE).scalar_subquery()
_LAST_OF_DEVICE = select(func.max(FACTS.c.device_sequence)).where(
    _MINE, FACTS.c.device_id == bindparam("device")).scalar_subquery()
_END = Prepared(select(FACTS.c.sequence, FACTS.c.body, FACTS.c.hash, _LAST_OF_DEVICE.label("device_sequence"))
                .where(_MINE, FACTS.c.sequence == _LAST))
_BY_OPERATION = Prepared(select(FACTS.c.body).where(_MINE, FACTS.c.operation_id == bindparam("operation")))
_BY_ID = Prepared(select(FACTS.c.body).where(_MINE, FACTS.c.fact_id == bindparam("fact")))
_BY_SEQUENCE = Prepared(select(FACTS.c.body, FACTS.c.hash).where(_MINE, FACTS.c.sequence == bindparam("sequence")))
_CORRECTIONS = Prepared(select(FACTS.c.body).where(_MINE, FACTS.c.type == bindparam("type")).order_by(FACTS.c.sequence))
_ROWS = Prepared(select(BATCH_ROWS.c.body).where(
    BATCH_ROWS.c.organisation_id == bindparam("organisation"), BATCH_ROWS.c.fact_id == bindparam("fact"),
).order_by(BATCH_ROWS.c.position))
_INSERT = Prepared(insert(FACTS))
_INSERT_ROWS = Prepared(insert(BATCH_ROWS))
_COMMITMENT = b'"hmac":'  # every commitment has it, so that what has none need not be walked through


@dataclass(frozen=True)
class Chain:
    """Whose chain it is, and what the store itself puts into a fact."""

    organisation_id: str
    device_id: str
    zone: str
    clock: Clock


class Writing:
    """The open end of a chain inside one transaction."""

    def __init__(self, connection: Connection, chain: Chain):
        self.connection = connection
        self.chain = chain
        self.head: Head | None = None
        self._device_sequence = 0
        for sequence, body, kept, device_sequence in _END.rows(connection, self._named(device=chain.device_id)):
            self.head, self._device_sequence = _head(sequence, as_bytes(body), kept), device_sequence or 0

    def append(self, entry: Entry) -> Fact:
        """Seal an entry as the next fact; sent again with the same operation, return the fact it became.

        Raises
        ------
        Faults
            With everything in the entry that is not as its type's schema says; nothing is written.
        Conflict
            If the operation is known with other content, or a correction is out of date.
        """
        data, rows = facts.batch(entry)
        target = self._target(entry.corrects) if entry.corrects is not None else None
        if target is not None:
            data = {"visit_id": target.data.get("visit_id"), **data}
        for known in _BY_OPERATION.rows(self.connection, self._named(operation=entry.operation_id)):
            return _repeated(facts.read(as_bytes(known[0]), rows), entry, data)
        fact = self._sealed(entry, data, rows)
        self._check_commitments(fact)
        self._write(fact)
        if target is not None:
            projections.replace(self.connection, corrected(target, fact.data))
        else:
            projections.put(self.connection, as_sealed(fact))
        self.head = fact.head
        if fact.envelope["device_id"] == self.chain.device_id:
            self._device_sequence = max(self._device_sequence, fact.envelope["device_sequence"])
        return fact

    def known(self, operation_id: str) -> Fact | None:
        """Return the fact that an operation has become already, with its rows, or None."""
        for (body,) in _BY_OPERATION.rows(self.connection, self._named(operation=operation_id)):
            fact = facts.read(as_bytes(body))
            return replace(fact, rows=self._rows(fact.fact_id))
        return None

    def remember_subject(self, kind: str, values: Mapping[str, str], *, erasable: bool = True) -> str:
        """Keep personal (or not yet public) values outside the facts; return the random id that stands for them."""
        return personal.remember(self.connection, self.chain.organisation_id, kind, values, erasable=erasable)

    def change_subject(self, subject_id: str, field: str, value: str) -> None:
        """Keep a newer version of a personal value; the facts bound to the older one stay true to it."""
        older = personal.latest(self.connection, self.chain.organisation_id, subject_id, field)
        row = personal.PersonalRow(subject_id, field, (older.version if older else 0) + 1, value)
        personal.add(self.connection, self.chain.organisation_id, row)

    def person(self, name: str) -> str:
        """Return the random id of the person with this name, a new one if nobody has it yet."""
        known = personal.subject_named(self.connection, self.chain.organisation_id, "person", "name", name)
        return known or self.remember_subject("person", {"name": name})

    def commitment(self, subject_id: str, field: str) -> dict[str, Any]:
        """Return what a fact may hold of a personal value."""
        return personal.commitment(self.connection, self.chain.organisation_id, subject_id, field)

    def forget(self, subject_id: str) -> list[str]:
        """Delete the values and the key of a subject; return the names of the fields that were there."""
        return personal.forget(self.connection, self.chain.organisation_id, subject_id)

    def _named(self, **names: object) -> dict[str, object]:
        return {"organisation": self.chain.organisation_id, **names}

    def _sealed(self, entry: Entry, data: dict[str, Any], rows: list[bytes]) -> Fact:
        device = entry.device or Device(self.chain.device_id, self._device_sequence + 1)
        moment = entry.when or when(self.chain.clock(), self.chain.zone)
        basis = entry.basis or self.head
        envelope = canonical.normalised({
            "organisation_id": self.chain.organisation_id, "fact_id": entry.fact_id or new_id(),
            "sequence": self.head.sequence + 1 if self.head else 1,
            "previous_hash": self.head.hash if self.head else facts.FIRST,
            "type": entry.type, "type_version": entry.type_version, "actor_id": entry.actor_id,
            "device_id": device.id, "device_sequence": device.sequence, "operation_id": entry.operation_id,
            "basis": {"sequence": basis.sequence, "hash": basis.hash} if basis else None,
            "when": {"utc": moment.utc, "zone": moment.zone, "offset": moment.offset},
            "corrects": asdict(entry.corrects) if entry.corrects else None, "data": data})
        faults = facts.envelope_faults(envelope) + (_moment_faults(moment) if entry.when else [])
        if faults:
            raise Faults(faults)
        assert isinstance(envelope, dict)
        body = canonical.written(envelope)
        return Fact(body, facts.seal(body), envelope, tuple(rows))

    def _write(self, fact: Fact) -> None:
        """Write a fact and read it back: what is acknowledged is what the database gives out again."""
        _INSERT.rows(self.connection, columns(fact))
        if fact.rows:
            _INSERT_ROWS.many(self.connection, [
                {"organisation_id": self.chain.organisation_id, "fact_id": fact.fact_id, "position": position,
                 "leaf_hash": merkle.leaf_hash(row).hex(), "body": row} for position, row in enumerate(fact.rows)])
        [(body, kept)] = _BY_SEQUENCE.rows(self.connection, self._named(sequence=fact.sequence))
        rows = self._rows(fact.fact_id) if fact.rows else ()
        if facts.seal(as_bytes(body)) != fact.hash or kept != fact.hash or rows != fact.rows:
            raise StorageStopped(N_("What was written to the {field} came back changed. Nothing was kept of this "
                                    "entry. Check memory and disk, then run: tersum doctor"), field="store")

    def _rows(self, fact_id: str) -> tuple[bytes, ...]:
        return tuple(as_bytes(body) for (body,) in _ROWS.rows(self.connection, self._named(fact=fact_id)))

    def _target(self, corrects: Corrects) -> Effective:
        """Return the fact that a correction names, as it counts until now."""
        found = _BY_ID.rows(self.connection, self._named(fact=corrects.fact_id))
        if not found:
            raise NoStore(N_("There is no fact {value} to correct."), field="corrects", value=corrects.fact_id)
        fact = facts.read(as_bytes(found[0][0]), self._rows(corrects.fact_id))
        if fact.type in UNCORRECTABLE:
            raise Conflict(N_("A fact of type {value} is not corrected; record what is true now as a new fact."),
                           field="corrects", value=fact.type)
        now = as_sealed(fact)
        for (body,) in _CORRECTIONS.rows(self.connection, self._named(type="correction")):
            correction = facts.read(as_bytes(body))
            if correction.corrects is not None and correction.corrects.fact_id == fact.fact_id:
                now = corrected(now, correction.data)
        return now

    def _check_commitments(self, fact: Fact) -> None:
        """Refuse a commitment that no personal row stands behind: it could never be shown to be true."""
        held = [*personal.commitments(fact.data)] if _COMMITMENT in fact.body else []
        for position, row in enumerate(fact.rows):
            held += personal.commitments(fact.row(position)) if _COMMITMENT in row else []
        for one in held:
            if dict(one) != self.commitment(one["subject_id"], one["field"]):
                raise Conflict(N_("{field}: the commitment is not that of the value kept for subject {value}."),
                               field=one["field"], value=one["subject_id"])


def columns(fact: Fact) -> dict[str, Any]:
    """Return the row of a fact: its bytes, and what is repeated beside them for looking up."""
    envelope = fact.envelope
    return {"organisation_id": envelope["organisation_id"], "sequence": fact.sequence, "fact_id": fact.fact_id,
            "type": fact.type, "visit_id": fact.data.get("visit_id"), "operation_id": envelope["operation_id"],
            "device_id": envelope["device_id"], "device_sequence": envelope["device_sequence"],
            "hash": fact.hash, "body": fact.body}


def _head(sequence: int, body: bytes, kept: str) -> Head:
    """Return the head that a new fact is chained to; a changed last fact is not built upon."""
    if facts.seal(body) != kept:
        raise RecordLocked(N_("Not written: the last fact of the {field} has been changed since it was sealed. Run: "
                              "tersum ledger check"), field="store")
    return Head(sequence, kept)


def _repeated(fact: Fact, entry: Entry, data: dict[str, Any]) -> Fact:
    """Return the fact of an operation that is sent again, if it is the same entry."""
    envelope = fact.envelope
    wanted: dict[str, Any] = {"type": entry.type, "type_version": entry.type_version, "actor_id": entry.actor_id,
                              "corrects": asdict(entry.corrects) if entry.corrects else None, "data": data}
    if entry.when is not None:
        wanted["when"] = asdict(entry.when)
    if entry.fact_id is not None:
        wanted["fact_id"] = entry.fact_id
    if entry.device is not None:
        wanted |= {"device_id": entry.device.id, "device_sequence": entry.device.sequence}
    if entry.basis is not None:
        wanted["basis"] = {"sequence": entry.basis.sequence, "hash": entry.basis.hash}
    if canonical.canonical(wanted) != canonical.canonical({name: envelope[name] for name in wanted}):
        raise Conflict(N_("Operation {value} is already recorded as fact {sequence} with other content. Nothing was "
                          "changed."), field="operation_id", value=entry.operation_id, sequence=fact.sequence)
    return fact


def _moment_faults(moment: When) -> list[TersumError]:
    """Return what is wrong with a moment: its offset must be that of its zone then."""
    try:
        right = when(datetime.fromisoformat(moment.utc).astimezone(UTC), moment.zone)
    except TersumError as fault:
        return [fault]
    except ValueError:
        return []  # the schema has named it already
    if right == replace(moment, utc=right.utc):
        return []
    return [OutOfRange("/when/offset", moment.offset, N_("{offset} in {zone} then"), offset=right.offset,
                             zone=moment.zone)]

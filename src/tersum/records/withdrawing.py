"""Which issued records still count, and taking one back: a fact of its own, never a change."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.errors import N_, OutOfRange
from tersum.records.facts import Entry, Fact
from tersum.records.store import Store
from tersum.records.trouble import Conflict, NoStore


@dataclass(frozen=True)
class RecordState:
    """An issued record and whether it still counts: ``in-force``, ``replaced`` or ``withdrawn``."""

    number: str
    visit_id: str
    issued_utc: str
    pdf_sha256: str
    key_id: str
    state: str
    replaced_by: str | None = None


def states(store: Store) -> list[RecordState]:
    """Return every issued record of a store, oldest first, by the rules of the evidence bundle."""
    issues = store.facts(type="record-issued")
    taken = {one.data["number"]: one for one in reversed(store.facts(type="record-withdrawn"))}
    newest = {one.data["visit_id"]: one for one in issues}
    return [_state(one, taken.get(one.data["number"]), newest[one.data["visit_id"]]) for one in issues]


def withdrawn(store: Store, number: str, *, reason: str, replaced_by: str | None = None) -> Fact:
    """Withdraw a record, and return the fact that says so.

    Parameters
    ----------
    store : Store
    number : str
        Of the record.
    reason : str
        A code.
    replaced_by : str, optional
        Number of the record that counts instead; it must be one of the same visit and not withdrawn itself.

    Raises
    ------
    NoStore
        If there is no such record.
    Conflict
        If it is withdrawn already.
    OutOfRange
        If what is to replace it cannot.
    """
    known = {one.number: one for one in states(store)}
    if number not in known:
        raise NoStore(N_("There is no record {value}. Known: {known}."), field="number", value=number,
                      known=", ".join(known) or "-")
    if known[number].state == "withdrawn":
        raise Conflict(N_("Record {value} is withdrawn already; nothing was changed."), field="number", value=number)
    _may_replace(known, number, replaced_by)
    return store.append(Entry("record-withdrawn", {
        "visit_id": known[number].visit_id, "number": number, "reason": reason, "replaced_by": replaced_by},
        actor_id=store.device_id, operation_id=store.new_id()))


def _may_replace(known: dict[str, RecordState], number: str, replaced_by: str | None) -> None:
    if replaced_by is None:
        return
    other = known.get(replaced_by)
    if (other is None or replaced_by == number or other.visit_id != known[number].visit_id
            or other.state == "withdrawn"):
        raise OutOfRange("replaced-by", replaced_by, N_("another record of the same visit that is not withdrawn"))


def _state(issued: Fact, taken: Fact | None, newest: Fact) -> RecordState:
    state, by = "in-force", None
    if taken is not None:
        state, by = "withdrawn", taken.data.get("replaced_by")
    elif newest.sequence > issued.sequence:
        state, by = "replaced", newest.data["number"]
    return RecordState(issued.data["number"], issued.data["visit_id"], issued.data["issued_utc"],
                       issued.data["pdf_sha256"], issued.data["key_id"], state, by)

"""What is put on record at the visit itself, one entry at a time, each with the operation id of its form."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import bindparam, select

from tersum.errors import N_
from tersum.records import personal
from tersum.records.canonical import canonical
from tersum.records.facts import Corrects, Entry, Fact
from tersum.records.prepared import Prepared
from tersum.records.tables import ENDINGS, READINGS
from tersum.records.trouble import Conflict
from tersum.records.visit_facts import reading_row
from tersum.records.visit_reader import VisitReader, last_by_hand
from tersum.records.visits import SealedPlan, decided, decision_data, ending_data, entry
from tersum.records.when import utc_text
from tersum.records.writing import Writing
from tersum.visit.outcome import Ending, ended
from tersum.visit.readings import Reading

_OUTSIDE = ("at", "person_id", "note", "row", "details")  # what a repeated form may differ in without being another
_ENDED = Prepared(select(ENDINGS.c.fact_id).where(
    ENDINGS.c.organisation_id == bindparam("organisation"), ENDINGS.c.visit_id == bindparam("visit")))
_TAKEN = Prepared(select(READINGS.c.raw).where(
    READINGS.c.organisation_id == bindparam("organisation"), READINGS.c.visit_id == bindparam("visit"),
    READINGS.c.point == bindparam("point"), READINGS.c.stage == bindparam("stage"),
    READINGS.c.round == bindparam("round"), READINGS.c.swab == bindparam("swab")))


class VisitHasEnded(Conflict):
    """The visit has ended; what is on record of it stays as it is."""

    code = "visit-ended"


class VisitMovedOn(Conflict):
    """Something was recorded of the visit since whoever asks looked at it."""

    code = "visit-moved-on"


class SwabAlreadyRead(Conflict):
    """The swab was read by somebody else since the form was opened."""

    code = "already-read"


def take_reading(visit: VisitReader, reading: Reading, *, operation_id: str, typed: str = "",
                 seen: int | None = None) -> Fact:
    """Put one reading on record; the same operation sent again is the fact that it became.

    Parameters
    ----------
    visit : VisitReader
        The visit.
    reading : Reading
        With stage, round and swab; its time is that of the store's clock.
    operation_id : str
        UUID made with the form.
    typed : str
        What was typed, where it could be read two ways and one was chosen.
    seen : int, optional
        The newest fact of the visit that whoever asks has looked at: with it, what was found then still holds when the
        reading is put on record, or it is not put there.

    Raises
    ------
    Conflict
        If the operation is known with another reading; :class:`SwabAlreadyRead` if this swab of the point is on record
        already, :class:`VisitHasEnded` if the visit has ended, :class:`VisitMovedOn` if it has moved on since
        it was seen.
    """
    store, sealed = visit.store, visit.sealed
    with store.writing() as writing:
        earlier = writing.known(operation_id)
        if earlier is not None:
            return _same_reading(writing, earlier, sealed, reading)
        before = visit.newest(writing.connection)
        if seen not in (None, before):
            raise VisitMovedOn(N_("Not recorded: something else was recorded of visit {value} at the same moment. Look "
                                  "at the point again."), field="visit", value=sealed.plan.visit)
        _check_open(writing, sealed)
        _check_not_read(writing, sealed, reading)
        note = reading.note and writing.commitment(writing.remember_subject("note", {"note": reading.note}), "note")
        people = {name: writing.person(name) for name in (reading.person, reading.void_approved_by) if name}
        moment = utc_text(store.chain.clock())
        row = reading_row(replace(reading, at=moment), people, note or None)
        if typed:
            row["details"] = {"typed": typed}
        data = {"visit_id": sealed.visit_id, "origin": "form", "instrument": sealed.plan.instrument.type}
        fact = writing.append(entry(store, "readings-taken", data, [row], operation_id=operation_id))
    visit.add(fact, after=before)
    return fact


def withdraw_reading(visit: VisitReader, fact_id: str, *, operation_id: str) -> Fact:
    """Take the last reading of a point back: it stays on record, and the swab is asked for again.

    Raises
    ------
    Conflict
        If it is not the last reading of its point, came from a file, or was taken back before;
        :class:`VisitHasEnded` if the visit has ended.
    """
    store, sealed = visit.store, visit.sealed
    with store.writing() as writing:
        earlier = writing.known(operation_id)
        if earlier is not None:
            return _same(earlier, sealed, earlier.corrects is not None and earlier.corrects.fact_id == fact_id)
        _check_open(writing, sealed)
        visit.refresh()
        points = {one.reading.point for one in visit.taken() if one.fact_id == fact_id}
        last = last_by_hand(visit.taken(points.pop())) if len(points) == 1 else None
        if last is None or last.fact_id != fact_id:
            raise Conflict(N_("Not taken back: only the last reading of a point can be, if it was typed here and is "
                              "still counted. Look at the point again."), field="reading", value=fact_id)
        fact = writing.append(Entry("correction", {"changes": [], "withdrawn": True}, actor_id=store.device_id,
                                    operation_id=operation_id, corrects=Corrects(fact_id, "typing-error")))
    visit.refresh()
    return fact


def end_visit(visit: VisitReader, kind: str, reason: str, *, operation_id: str) -> Fact:
    """Put both answers and the ending of a visit on record, in one transaction.

    Raises
    ------
    Faults
        If the visit is said to be finished and points are open, or the other way round.
    VisitHasEnded
        If it has ended already.
    """
    store, sealed = visit.store, visit.sealed
    with store.writing() as writing:
        earlier = writing.known(operation_id)
        if earlier is not None:
            visit.refresh()
            was = visit.ended() if earlier.type == "visit-ended" else None
            return _same(earlier, sealed, was is not None and (was.ending.kind, was.ending.reason) == (kind, reason))
        _check_open(writing, sealed)
        visit.refresh()
        now = visit.kept()
        answers = decided(now)
        ending = ended(answers[0].decisions, Ending(kind, reason))
        decision = _decision(visit, writing, decision_data(now, answers))
        data = ending_data(now, decision, ending)
        if ending.reason:
            data["note"] = writing.commitment(writing.remember_subject("note", {"reason": ending.reason}), "reason")
        fact = writing.append(entry(store, "visit-ended", data, operation_id=operation_id))
    visit.refresh()
    return fact


def _decision(visit: VisitReader, writing: Writing, data: Mapping[str, Any]) -> Fact:
    last = visit.last_decision()
    if last is not None and last.data == data:
        return last
    return writing.append(entry(visit.store, "visit-decided", data))


def _check_open(writing: Writing, sealed: SealedPlan) -> None:
    if _ENDED.rows(writing.connection, _named(writing, sealed)):
        raise VisitHasEnded(N_("Not recorded: visit {value} has ended. What is true now goes into a new visit."),
                            field="visit", value=sealed.plan.visit)


def _check_not_read(writing: Writing, sealed: SealedPlan, reading: Reading) -> None:
    values = {**_named(writing, sealed), "point": reading.point, "stage": reading.stage, "round": reading.round,
              "swab": reading.swab}
    for (raw,) in _TAKEN.rows(writing.connection, values):
        raise SwabAlreadyRead(N_("Not recorded: this swab of {field} was recorded in the meantime with {value}. Look "
                                 "at the point again."), field=reading.point, value=raw)


def _same_reading(writing: Writing, earlier: Fact, sealed: SealedPlan, reading: Reading) -> Fact:
    """Return the fact of a form that was sent again, if it says the same."""
    if earlier.type != "readings-taken":
        return _same(earlier, sealed, False)
    was, now = earlier.row(0), reading_row(reading, defaultdict(str), None)
    same = canonical(_said(was)) == canonical(_said(now))
    same = same and _kept_words(writing, was.get("note"), "note") == (reading.note or None)
    person = was["person_id"] and {"subject_id": was["person_id"]}
    return _same(earlier, sealed, same and _kept_words(writing, person, "name") == (reading.person or None))


def _same(earlier: Fact, sealed: SealedPlan, same: bool) -> Fact:
    if not same or earlier.data.get("visit_id") != sealed.visit_id:
        raise Conflict(N_("Not recorded: this form was sent before with other content, and that is on record. Open the "
                          "page again to record something else."), field="operation_id",
                       value=earlier.envelope["operation_id"])
    return earlier


def _said(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in _OUTSIDE}


def _kept_words(writing: Writing, held: Mapping[str, Any] | None, field: str) -> str | None:
    if not held:
        return None
    row = personal.latest(writing.connection, writing.chain.organisation_id, held["subject_id"], field)
    return row.value if row else None


def _named(writing: Writing, sealed: SealedPlan) -> dict[str, object]:
    return {"organisation": writing.chain.organisation_id, "visit": sealed.visit_id}

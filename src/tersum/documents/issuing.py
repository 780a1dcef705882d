"""Issuing a visit record: what is on record becomes one signed PDF, kept whole and named by a fact of its own."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from tersum.documents.signing import signed
from tersum.documents.visit_record import VisitRecord, record_pdf
from tersum.errors import N_
from tersum.records.facts import Entry, Fact
from tersum.records.home import folder
from tersum.records.issued_file import issued_file
from tersum.records.keys import signing_key
from tersum.records.store import Store
from tersum.records.trouble import Conflict
from tersum.records.visits import Kept
from tersum.records.when import utc_text
from tersum.records.whole_file import write_whole
from tersum.visit.carried_out import CarriedOut
from tersum.visit.mixing import MixingCard
from tersum.visit.outcome import Ending
from tersum.visit.plan import drawn
from tersum.visit.readings import Reading
from tersum.visit.verdicts import Verdicts


@dataclass(frozen=True)
class Answered:
    """A visit with its answers and the facts that hold them; ``ended`` is None while the visit is open."""

    visit: Kept
    made: Verdicts
    done: CarriedOut
    ending: Ending
    decision: Fact
    ended: Fact | None
    cards: tuple[MixingCard, ...] = ()


@dataclass(frozen=True)
class Issued:
    """A record as issued: its number, its bytes, and the fact that names it."""

    number: str
    pdf: bytes
    fact: Fact


def issue(store: Store, home: Path, answered: Answered, *, paper: str = "a4", lang: str = "en") -> Issued:
    """Return the signed record of a visit; the one already issued for the same answers, if it is still there.

    Parameters
    ----------
    store : Store
        Of the visit's organisation.
    home : Path
        The data folder: it holds the signing key and keeps every record that was issued.
    answered : Answered
        What the record says. A visit may be open: then the record says so.
    paper : {"a4", "letter"}
    lang : str
        Language tag of the record.

    Raises
    ------
    MissingKey
        If the signing key is gone or can be read by others.
    OutOfRange
        If a text has letters that no font here can print.
    """
    earlier = find_issued(store, home, answered)
    if earlier is not None:
        return earlier
    now = store.chain.clock()
    key = signing_key(home, now=now)
    record = _record(store, answered, key.key_id, now)
    pdf = signed(record_pdf(record, paper=paper, lang=lang), key, at=now)
    write_whole(_kept_at(store, home, record.number), pdf)
    fact = store.append(Entry("record-issued", {
        "visit_id": answered.visit.sealed.visit_id, "number": record.number, "key_id": key.key_id,
        "decision": answered.decision.fact_id, "ended": answered.ended.fact_id if answered.ended else None,
        "issued_utc": utc_text(now), "pdf_sha256": hashlib.sha256(pdf).hexdigest(), "pdf_bytes": len(pdf),
        "language": lang.casefold()}, actor_id=store.device_id, operation_id=store.new_id()))
    return Issued(record.number, pdf, fact)


def find_issued(store: Store, home: Path, answered: Answered) -> Issued | None:
    """Return the record last issued for the same answers, if it was not withdrawn and its file is still there."""
    taken = {one.data["number"] for one in store.facts(type="record-withdrawn",
                                                       visit_id=answered.visit.sealed.visit_id)}
    wanted = (answered.decision.fact_id, answered.ended.fact_id if answered.ended else None)
    for fact in reversed(store.facts(type="record-issued", visit_id=answered.visit.sealed.visit_id)):
        if (fact.data["decision"], fact.data["ended"]) == wanted and fact.data["number"] not in taken:
            path = _kept_at(store, home, fact.data["number"])
            if not path.is_file():
                return None  # a new one is issued under a new number; the old fact stays
            pdf = path.read_bytes()
            if hashlib.sha256(pdf).hexdigest() != fact.data["pdf_sha256"]:
                raise Conflict(N_("The kept record {value} is not as it was issued: restore {path} from a backup, or "
                                  "remove it to have a new one issued."), field="number",
                               value=fact.data["number"], path=str(path))
            return Issued(fact.data["number"], pdf, fact)
    return None


def _record(store: Store, answered: Answered, key_id: str, now: datetime) -> VisitRecord:
    head = store.head()
    assert head is not None  # there is a decision
    visit = answered.visit
    plan = visit.sealed.plan
    draw = visit.sealed.fact.data["draw"]
    numbers = _numbers(visit.readings)
    return VisitRecord(
        number=f"{plan.visit}-{head.sequence:05d}", issued_at=now.astimezone(ZoneInfo(plan.zone)), key_id=key_id,
        plan=plan, readings=tuple(_without_names(one, numbers) for one in visit.readings),
        decisions=answered.made.decisions, statement=answered.made.statement, ending=answered.ending,
        carried_out=answered.done, work=visit.work, head=head, needs=visit.needs, cards=answered.cards,
        drawn=drawn(plan, visit.seed) if visit.seed is not None else (),
        draw_commitment=draw["commitment"] if draw else "", people=tuple(numbers.values()))


def _numbers(readings: Sequence[Reading]) -> Mapping[str, str]:
    """Return a number for each person, in the order in which they first swabbed: a record names nobody."""
    met = dict.fromkeys(name for one in readings for name in (one.person, one.void_approved_by) if name)
    return {person: f"P-{number}" for number, person in enumerate(met, start=1)}


def _without_names(reading: Reading, numbers: Mapping[str, str]) -> Reading:
    return replace(reading, person=numbers.get(reading.person or ""),
                   void_approved_by=numbers.get(reading.void_approved_by or ""))


def _kept_at(store: Store, home: Path, number: str) -> Path:
    path = issued_file(home, store.organisation_id, number)
    folder(path.parent)
    return path

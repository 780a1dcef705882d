"""The visit record: what was done and measured, for the customer, as a page that is the same each time it is made."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tersum import __version__
from tersum.documents import blocks, printable, record_parts, typesetting, visit_text
from tersum.documents.isolating import all_isolated
from tersum.documents.text import _, speaking
from tersum.documents.verdict_marks import mark_svg
from tersum.errors import N_, OutOfRange
from tersum.records.canonical import canonical
from tersum.records.facts import Head
from tersum.visit.carried_out import CarriedOut, SolutionNeeds, Work
from tersum.visit.decision import DONE, NOT_READ, Decision
from tersum.visit.mixing import MixingCard
from tersum.visit.outcome import FINISHED, Ending, Statement, work_list
from tersum.visit.plan import Plan
from tersum.visit.readings import Reading

_CODE_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford's base 32: no I, L, O, U


@dataclass(frozen=True)
class VisitRecord:
    """Everything a record shows. Numbers of people, never names; ``key_id`` is of the key that will sign it.

    ``needs`` is what the solution of each step must be, by step id; ``cards`` bring strengths and cautions of the
    products; ``drawn`` are the points that the sealed draw chose.
    """

    number: str
    issued_at: datetime
    key_id: str
    plan: Plan
    readings: tuple[Reading, ...]
    decisions: tuple[Decision, ...]
    statement: Statement
    ending: Ending
    carried_out: CarriedOut
    work: tuple[Work, ...]
    head: Head
    needs: Mapping[str, SolutionNeeds] = dataclasses.field(default_factory=dict)
    cards: tuple[MixingCard, ...] = ()
    drawn: tuple[str, ...] = ()
    draw_commitment: str = ""
    people: tuple[str, ...] = ()
    program: str = __version__


def record_pdf(record: VisitRecord, *, paper: str = "a4", lang: str = "en") -> bytes:
    """Return the unsigned PDF of a record; the same record gives the same bytes.

    Parameters
    ----------
    record : VisitRecord
        What it shows.
    paper : {"a4", "letter"}
    lang : str
        Language tag; English where there is no translation.

    Raises
    ------
    Faults
        Texts that cannot be printed or are longer than 2000 characters, all at once.
    """
    return typesetting.typeset("visit_record", record_page(record, paper=paper, lang=lang), at=record.issued_at)


def record_page(record: VisitRecord, *, paper: str = "a4", lang: str = "en") -> dict[str, Any]:
    """Return the data that the template of a record takes."""
    if record.issued_at.utcoffset() is None:
        raise OutOfRange("issued_at", record.issued_at.isoformat(), N_("a moment with its time zone"))
    printable.check(record)
    record = all_isolated(record)
    with speaking(lang):
        page: dict[str, Any] = {
            "lang": lang.split("-")[0], "author": "Tersum", "kind": _("Visit record"), "number": record.number,
            "title": _("Visit record {number}: {place}").format(number=record.number, place=record.plan.place),
            "invented": blocks.invented() if record.plan.invented else "",
            "sentence": headline(record), "under": _under(record), "facts": record_parts.about(record)}
        code = check_code({**page, "parts": record_parts.parts(record, code="")})
        page |= {"check_code": code, "parts": record_parts.parts(record, code=code), "mark": _mark(record),
                 "paper": paper, "keywords": [f"record {record.number}", f"check {code}", f"key {record.key_id}"],
                 "foot": _("Record {number}   check code {code}").format(number=record.number, code=code),
                 "page": _("page {page} of {pages}")}
        page["parts"] = record_parts.with_ladder(record, page["parts"], lang=lang)
        return page


def headline(record: VisitRecord) -> str:
    """Return the one sentence that stands on top."""
    place = record.plan.place
    if not record.readings:
        return _("{place}: nothing was measured.").format(place=place)
    return f"{place}: {visit_text.statement_lines(record.statement)[0]}"


def check_code(page: Mapping[str, Any]) -> str:
    """Return the check code of a page: 80 bits of the SHA-256 of all its texts, for telling over the phone.

    Examples
    --------
    >>> check_code({"sentence": "6 of 6"})
    '4TGA-0SEN-35EW-VQM1'
    """
    digest = hashlib.sha256(b"tersum/check/1\n" + canonical(dict(page))).digest()
    number = int.from_bytes(digest[:10], "big")
    letters = "".join(_CODE_LETTERS[(number >> shift) & 31] for shift in range(75, -5, -5))
    return "-".join(letters[place:place + 4] for place in range(0, 16, 4))


def _under(record: VisitRecord) -> list[str]:
    """Return the lines below the sentence: how it ended, and whether disinfection was carried out as planned."""
    lines = [*visit_text.statement_lines(record.statement)[1:]] if record.readings else []
    lines += visit_text.ending_lines(dataclasses.replace(record.ending, open_points=()))  # they have their own table
    return [*lines, visit_text.carried_out_lines(record.carried_out)[0]]


def _mark(record: VisitRecord) -> str:
    """Return the mark of the whole visit: the block of *done*, else the mark of the worst point."""
    if record.ending.kind == FINISHED:
        return mark_svg(DONE, size=17.0)
    left = work_list(record.decisions)
    return mark_svg(left[0].verdict if left and record.readings else NOT_READ, size=17.0)

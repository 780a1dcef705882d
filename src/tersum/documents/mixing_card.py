"""The mixing card: one working solution on one page, to hang beside the bucket."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from tersum.documents import blocks, mixing_text, printable, solution_text, typesetting
from tersum.documents.isolating import all_isolated
from tersum.documents.moments_text import moment
from tersum.documents.text import _, speaking
from tersum.errors import N_, OutOfRange
from tersum.visit.mixing import MixingCard
from tersum.visit.plan import Plan


def cards_pdf(plan: Plan, cards: Sequence[MixingCard], *, at: datetime, paper: str = "a4", lang: str = "en") -> bytes:
    """Return the PDF of all working solutions of a plan, a page each; the same plan and time give the same bytes.

    Parameters
    ----------
    plan : Plan
        Where they are used.
    cards : sequence of MixingCard
        At least one.
    at : datetime
        When they were computed, with an offset; never the clock's.
    paper : {"a4", "letter"}
    lang : str
        Language tag; English where there is no translation.

    Raises
    ------
    OutOfRange
        If there is no solution to mix.
    Faults
        Texts that cannot be printed, all at once.
    """
    if not cards:
        raise OutOfRange("cards", 0, N_("at least one step with a product"))
    for part in (plan, *cards):
        printable.check(part)
    plan, cards = all_isolated(plan), all_isolated(tuple(cards))
    with speaking(lang):
        data: dict[str, Any] = {
            "lang": lang.split("-")[0], "paper": paper, "author": "Tersum", "keywords": [],
            "title": _("Mixing card: {place}").format(place=plan.place), "kind": _("Mixing card"),
            "invented": blocks.invented() if plan.invented else "", "cards": [_card(plan, card) for card in cards],
            "foot": _("{place}, visit {visit}   computed {time}").format(
                place=plan.place, visit=plan.visit, time=moment(at, plan.zone)),
            "page": _("page {page} of {pages}")}
        return typesetting.typeset("mixing_card", data, at=at)


def _card(plan: Plan, card: MixingCard) -> dict[str, Any]:
    """Return what stands on one card."""
    rows = mixing_text.amounts(card)
    poured = rows[:2] if solution_text.pour_order(card.product) == solution_text.WATER_FIRST else rows[1::-1]
    lines = mixing_text.instructions(card)
    strengths = blocks.table([(_("active"), "1fr"), (_("strength in the bucket"), "auto")],
                             [[name, strength] for name, strength in mixing_text.strengths(card)], right=(1,))
    return {
        "place": plan.place, "title": mixing_text.heading(card), "what": card.step.what,
        "pour": [[str(place), label, *_parted(amount)] for place, (label, amount) in enumerate(poured, 1)],
        "rest": [list(row) for row in rows[2:]],
        "strengths": strengths if strengths["rows"] else None, "lines": lines, "hazard": _hazard(card),
        "initials": [_("mixed at"), _("use before"), _("lot of the concentrate"), _("mixed by (initials)")]}


def _hazard(card: MixingCard) -> dict[str, Any]:
    said = mixing_text.hazards(card)
    *classes, protect = said.parts
    return {"heading": _("Hazard class, computed"), "parts": [[part.title, list(part.lines)] for part in classes],
            "protect": [protect.title, list(protect.lines)],
            "not_known": list(said.not_known), "wins": said.wins}


def _parted(amount: str) -> tuple[str, str]:
    """Return a volume and the mass that stands behind it in brackets, if any."""
    volume, _blank, mass = amount.partition(" (")
    return volume, f"({mass}" if mass else ""

"""What ``tersum titrate`` prints: a strength, what was made of the replicates, and the cautions of the work."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tersum.chemistry.strips import StripReading
from tersum.chemistry.titration import ActiveOxygen, TitrationResult
from tersum.cli.output import remark, table
from tersum.documents.bench_text import caution_text, flag_text, flag_texts, word
from tersum.documents.numbers import number_text
from tersum.documents.solution_text import with_spread
from tersum.documents.text import _


def show(found: TitrationResult) -> None:
    """Print one titration."""
    _strengths([found])
    print()
    _said([found])


def show_both(found: ActiveOxygen) -> None:
    """Print both oxidisers of one flask."""
    _strengths([found.peroxide, found.peracid])
    value, spread = with_spread(found.active_oxygen_g_l.value, 2.0 * found.active_oxygen_g_l.standard_uncertainty)
    print()
    print(_("active oxygen {value} ± {spread} g/L").format(value=value, spread=spread))
    _said([found.peroxide, found.peracid])


def body(found: TitrationResult) -> dict[str, Any]:
    """Return one titration as the keys of one JSON object."""
    return {**asdict(found), "interval_g_l": found.interval_g_l, "flags": flag_texts(found.flags),
            "cautions": [{"code": code, "sentence": caution_text(code)} for code in found.cautions]}


def both_body(found: ActiveOxygen) -> dict[str, Any]:
    """Return both oxidisers as the keys of one JSON object."""
    return {"peroxide": body(found.peroxide), "peracid": body(found.peracid),
            "active_oxygen_g_l": asdict(found.active_oxygen_g_l)}


def show_strip(found: StripReading, floor: float | None, answer: str | None) -> None:
    """Print what a strip says."""
    print(_("{low} to {high} mg/L").format(low=number_text(found.low_mg_l), high=number_text(found.high_mg_l)))
    if floor is not None and answer is not None:
        print(_("at least {floor} mg/L: {answer}").format(floor=number_text(floor), answer=word(answer)))
    if len(found.answers_to) > 1:
        remark(_("It answers to {names} together.").format(names=", ".join(found.answers_to)))


def _strengths(results: list[TitrationResult]) -> None:
    rows = []
    for one in results:
        value, spread = with_spread(one.strength_g_l, 2.0 * one.standard_uncertainty_g_l)
        rows.append([one.analyte, value, spread, word(one.answer)])
    table([_("analyte"), _("g/L"), _("± g/L"), _("replicates")], rows, right=(1, 2))


def _said(results: list[TitrationResult]) -> None:
    for flag in dict.fromkeys(flag for one in results for flag in one.flags):
        print(flag_text(flag))
    for code in dict.fromkeys(code for one in results for code in one.cautions):
        remark(caution_text(code))
    remark(_("± is the half-width that holds about 95 of 100 titrations."))

"""Plate counts, most probable numbers and titres in words: the number with its operator, interval and doubts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tersum.documents.contact_text import known_word
from tersum.documents.numbers import decimal_mark, number_text
from tersum.documents.text import _
from tersum.documents.wet_text import label_first
from tersum.errors import N_
from tersum.lethality.log_reduction import LogReduction
from tersum.lethality.mpn import Mpn
from tersum.lethality.mpn_interval import MpnInterval
from tersum.lethality.mpn_table import TabulatedMpn
from tersum.lethality.plaques import PlaqueCount
from tersum.lethality.plate_counts import PlateCount
from tersum.lethality.surface_counts import SurfaceCount
from tersum.lethality.titre import Titre
from tersum.lethality.virus_reduction import VirusReduction

_FLAGS = {
    "estimated": N_("Estimated: no dilution lies within the range of the convention."),
    "present": N_("Something grew, too little for a number: present, below what can be counted."),
    "plates-differ": N_("Parallel plates differ by more than chance allows in 1 of 100: look for clumps or a slip."),
    "dilutions-do-not-agree": N_("The two dilutions do not agree, more than chance allows in 1 of 100: look for a slip "
                                 "in diluting, or something that inhibits."),
    "plate-too-crowded": N_("A contact plate with more than 200 colonies cannot be read: what was read is the least."),
    "recovery-not-known": N_("The recovery is not known: this is what came off, not what is there."),
    "next-stronger-dilution-assumed-all-positive": N_("Not every well of the strongest dilution shows an effect: the "
                                                      "next stronger one is taken as all positive."),
    "next-weaker-dilution-assumed-all-negative": N_("Some wells of the weakest dilution show an effect: the next "
                                                    "weaker one is taken as all negative."),
    "shares-do-not-fall": N_("The shares do not fall from dilution to dilution: look for a swapped well."),
    "no-half-way-point": N_("The share of wells never passes a half: there is no end point, only a bound."),
    "assay-wider-than-half-a-log": N_("The 95 % limits of a titration are wider than ± 0.5 log10: too wide to rely "
                                      "on."),
    "lower-limit-below-the-requirement": N_("Met by the number, but its lower limit lies below the requirement; in "
                                            "standard tests laboratories differ by 0.3 to 1.5 log10 (standard "
                                            "deviation)."),
}
_TRUST = {
    "usual": N_("The pattern is a usual one for that number (rarity {rarity})."),
    "suspicious": N_("The pattern is rare for that number (rarity {rarity}): look at the tubes again."),
    "questionable": N_("The pattern is very rare for that number (rarity {rarity}): the number is in question."),
    "not-to-be-trusted": N_("The pattern all but cannot come from one density (rarity {rarity}): do not use the "
                            "number."),
}
_METHODS = {"likelihood-ratio": N_("likelihood ratio"), "two-standard-errors": N_("two standard errors of ln MPN"),
            "standard-error": N_("standard error of log MPN")}
_ANSWERS = {
    "met": N_("Reduction {reduction} log10: at least the {required} that is required."),
    "not-met": N_("Reduction {reduction} log10: less than the {required} that is required."),
    "cannot-tell": N_("Reduction {reduction} log10: whether that is the {required} required cannot be told."),
    "not-assessable": N_("Reduction {reduction} log10: this test could show {most} at most, so it cannot be judged "
                         "against {required}. Use a higher control, or a lower detection limit."),
}


def plate_lines(found: PlateCount) -> list[str]:
    """Return a plate count as reported, its interval, and its doubts."""
    lines = [_("{number} per mL or g ({convention})").format(number=found.text, convention=found.convention.name)]
    if found.operator == "=":
        lines.append(_("from {colonies} colonies: {number} unrounded, 95 % interval of the counting alone {low} to "
                       "{high}").format(colonies=number_text(found.colonies), low=number_text(found.low),
                                        number=number_text(found.unrounded, digits=5), high=number_text(found.high)))
    return lines + flag_lines(found.flags) + [_("Convention {name}: {low} to {high} colonies a plate ({known}); "
                                                "another convention reports low counts otherwise.").format(
        name=found.convention.name, low=number_text(found.convention.lower),
        high=number_text(found.convention.upper), known=known_word(found.convention.known))]


def surface_lines(found: SurfaceCount) -> list[str]:
    """Return a count per cm2: recovered and corrected, with interval and detection limit."""
    lines = [_("{sign}{number} CFU/cm2 recovered").format(sign=_sign(found.operator),
                                                          number=number_text(found.recovered))]
    if not math.isnan(found.corrected):
        lines.append(_("{sign}{number} CFU/cm2 corrected for recovery").format(
            sign=_sign(found.operator), number=number_text(found.corrected)))
    if found.operator == "=":
        lines.append(_("95 % interval of the counting alone: {low} to {high}").format(low=number_text(found.low),
                                                                                  high=number_text(found.high)))
    elif found.operator == "<":
        lines.append(_("none grew: with 95 % below {high}").format(high=number_text(found.high)))
    lines.append(_("detection limit {limit} CFU/cm2 (one colony)").format(limit=number_text(found.detection_limit)))
    return lines + flag_lines(found.flags)


def mpn_lines(found: Mpn, ends: MpnInterval, row: TabulatedMpn | None) -> list[str]:
    """Return a most probable number with the interval of a named method, and how far the pattern can be believed."""
    low, high = float(ends.low), float(ends.high)
    operator = str(found.operator)
    if operator == "<":
        lines = [_("MPN < {high} with 95 %: no tube is positive").format(high=number_text(high))]
    elif operator == ">":
        lines = [_("MPN > {low} with 95 %: every tube is positive, so there is no number").format(low=number_text(low))]
    else:
        lines = [_("MPN {number}, 95 % interval {low} to {high}").format(
            number=number_text(float(found.mpn)), low=number_text(low), high=number_text(high))]
    lines.append(_("per unit of the amounts; interval by: {method}").format(method=_(_METHODS[ends.method])))
    if operator == "=":
        lines.append(_(_TRUST[str(found.trust)]).format(rarity=_rarity(float(found.rarity))))
    if row is not None:
        shown = number_text(row.number)
        lines.append(_("published table: {sign}{number}, limits {low} to {high} ({where}; {known}); never mixed with "
                       "the interval above").format(sign=_sign(row.operator), number=shown, low=number_text(row.low),
                                                high=number_text(row.high), where=row.where,
                                                known=known_word(row.known)))
    return lines


def titre_lines(found: Titre, *, other: Titre | None = None, units: float | None = None) -> list[str]:
    """Return a titre with its interval, what was assumed, and Reed-Muench beside it."""
    number = f"{found.log10_per_ml:.2f}"
    lines = [_("log10 TCID50/mL {sign} {number} ({per_ml} per mL), Spearman-Kaerber").format(
        sign=found.operator, number=number, per_ml=_scientific(found.per_ml))]
    if found.operator == "=":
        lines.append(_("95 % interval {low} to {high}; standard error {se} log10").format(
            low=f"{found.low_log10:.2f}", high=f"{found.high_log10:.2f}", se=f"{found.se_log10:.3f}"))
    if other is not None:
        lines.append(_("Reed-Muench, for comparison only: {number}").format(number=f"{other.log10_per_ml:.2f}"))
    if units is not None:
        lines.append(_("about {units} infectious units per mL").format(units=_scientific(units)))
    return lines + flag_lines(found.flags)


def plaque_lines(found: PlaqueCount) -> list[str]:
    """Return plaques per mL with their interval."""
    if found.operator == "<":
        return [_("PFU/mL < {number}: no plaque; with 95 % below {high}").format(
            number=_scientific(found.per_ml), high=_scientific(found.high))]
    return [_("PFU/mL {number}, 95 % interval of the counting alone {low} to {high}").format(
        number=_scientific(found.per_ml), low=_scientific(found.low), high=_scientific(found.high))]


def reduction_lines(found: VirusReduction) -> list[str]:
    """Return a reduction with its operator against a requirement."""
    lines = [_(_ANSWERS[found.answer]).format(reduction=reduction_text(found.reduction),
                                              most=f"{found.most_showable:.2f}",
                                              required=number_text(found.required_log10))]
    if not math.isnan(found.half_width_log10):
        ends = LogReduction(found.reduction.low - found.half_width_log10, found.reduction.low + found.half_width_log10)
        lines.append(_("95 % interval {ends} log10").format(ends=reduction_text(ends)))
    return lines + flag_lines(found.flags)


def reduction_text(found: LogReduction) -> str:
    """Return a reduction with its operator, in the reader's language and with the reader's decimal mark."""
    if found.operator == "between":
        low, high = (f"{one:.2f}" for one in (found.low, found.high))
        return _("{low} to {high}").format(low=low, high=high).replace(".", decimal_mark())
    return found.text().replace(".", decimal_mark())


def flag_lines(flags: Sequence[str]) -> list[str]:
    """Return each flag as a sentence."""
    return [_(_FLAGS[flag]) for flag in flags]


def count_cautions(*, after_disinfection: bool = True) -> list[str]:
    """Return what goes with every count from a surface or a product test."""
    lines = [_("A count says what grew under these conditions, not all that was there.")]
    if after_disinfection:
        lines.append(_("After a disinfection it reads low unless a neutraliser was in it."))
    return [*lines, label_first()]


def _sign(operator: str) -> str:
    return "" if operator == "=" else f"{operator} "


def _rarity(value: float) -> str:
    return number_text(value, digits=2) if value >= 1e-4 else f"{value:.0e}"


def _scientific(value: float) -> str:
    """Return a large number as it is read in a laboratory.

    >>> _scientific(2.1e7), _scientific(37.4)
    ('2.1e+07', '37.4')
    """
    return number_text(value) if value < 1e5 else f"{value:.3g}"

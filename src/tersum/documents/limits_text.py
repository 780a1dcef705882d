"""Limits from one's own readings, in plain sentences: what was found, what a baseline lacks, what it cannot say."""

from __future__ import annotations

import math

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.evidence import baseline, culture_cut
from tersum.evidence.baseline import Lack, OwnLimit
from tersum.evidence.culture_cut import CultureCut
from tersum.records.limits_review import Review

_OTHER_EQUIPMENT = "other-equipment"

_LACKS = {
    baseline.ONLY_PASSED: N_("These readings are of visits or points that had passed. They are cut off at the limit "
                             "they passed, and would give an ever lower one: take all visits of a period."),
    baseline.FEW_POINTS: N_("Points after a clean: {have}; the method needs {need} or more."),
    baseline.FEW_VEHICLES: N_("Vehicles or rooms: {have}; needed are {need} or more, since they differ."),
    baseline.FEW_PEOPLE: N_("People named: {have}; needed are {need} or more (column person)."),
    baseline.FEW_DAYS: N_("Days: {have}; needed are {need} or more (column at)."),
    baseline.NOT_MEASURED: N_("{have} of {need} readings lie outside the meter's range: this method needs numbers; "
                              "take the percentile."),
    baseline.NO_SCATTER: N_("The readings show no scatter at all: check the meter."),
}

_LACKS |= {
    culture_cut.FEW_ABOVE: N_("Plates at or above the count: {have}; needed are {need} or more."),
    culture_cut.FEW_BELOW: N_("Plates below the count: {have}; needed are {need} or more."),
    culture_cut.NOT_TOLD: N_("On these plates light tells dirty from clean no better than a coin may: no cut comes "
                             "from them."),
}

_REVIEWS = {
    baseline.NOT_DUE: N_("{surface}: {rlu} RLU, frozen {day}, stays in force. Since then: {points}, {days}; a review "
                         "is due at 30 points or a year."),
    baseline.KEEP: N_("{surface}: {rlu} RLU, frozen {day}, stays. The {points} since give {fresh} RLU ({low} to "
                      "{high}), which holds it."),
    baseline.CHANGE: N_("{surface}: {rlu} RLU, frozen {day}, no longer fits. The {points} since give {fresh} RLU "
                        "({low} to {high}), which leaves it out."),
    baseline.CANNOT_TELL: N_("{surface}: {rlu} RLU, frozen {day}, is due for review, and the {points} since are not "
                             "enough to tell. It stays in force until they are."),
    _OTHER_EQUIPMENT: N_("{surface}: {rlu} RLU, frozen {day}, belongs to another instrument, swab or area. It does not "
                        "hold for these readings."),
}


def lack_line(lack: Lack) -> str:
    """Return what a baseline lacks."""
    return _(_LACKS[lack.code]).format(have=lack.have, need=lack.need)


def limit_line(surface: str, found: OwnLimit) -> str:
    """Return a limit as a sentence."""
    words = {"surface": surface, "rlu": number_text(found.rlu), "share": number_text(100.0 * found.coverage),
             "sure": number_text(100.0 * found.confidence), "n": found.n, "vehicles": found.vehicles,
             "rank": found.rank}
    if found.method == baseline.PERCENTILE:
        return _("{surface}: {rlu} RLU. Of all such points after this clean at least {share} in 100 lie at or below "
                 "it, {sure} % sure (reading {rank} of {n} in order, {vehicles} vehicles).").format(**words)
    return _("{surface}: {rlu} RLU. Of all such points after this clean at least {share} in 100 lie at or below it, "
             "{sure} % sure, if readings are log-normal ({n} points of {vehicles} vehicles).").format(**words)


def beside_lines() -> list[str]:
    """Return what a limit of one's own does not say."""
    return [_("Such a limit says what this procedure reaches with this instrument and swab. It says nothing of health, "
              "and nothing of what lives."),
            _("Frozen: visits it has judged stay as they were judged. Look again after 30 more points or a year; "
              "change it only if the new interval leaves it out.")]


def basis_text(found: OwnLimit, frozen_on: str) -> str:
    """Return the words of the key ``basis``: who set the limit, when, and how."""
    return _("own baseline, frozen {day}: {method}, {share} % below, {sure} % sure").format(
        day=frozen_on, method=found.method, share=number_text(100.0 * found.coverage),
        sure=number_text(100.0 * found.confidence))


def note_text(found: OwnLimit) -> str:
    """Return the words of the key ``note``: where the limit lies among the readings, and how sure that is."""
    high = _("over range") if math.isinf(found.high_rlu) else number_text(found.high_rlu)
    words = {"n": found.n, "vehicles": found.vehicles, "rank": found.rank, "low": number_text(found.low_rlu),
             "high": high}
    if found.method == baseline.PERCENTILE:
        return _("reading {rank} of {n} in order, {vehicles} vehicles; interval 90 %: {low} to {high} RLU").format(
            **words)
    return _("log-normal level of {n} points, {vehicles} vehicles; interval 90 %: {low} to {high} RLU").format(**words)


def review_lines(review: Review) -> list[str]:
    """Return what a review of one limit comes to."""
    fresh, words = review.fresh, {
        "surface": review.surface, "rlu": number_text(review.rlu), "day": review.frozen_on,
        "points": ngettext("{count} point", "{count} points", review.points_since).format(count=review.points_since),
        "days": ngettext("{count} day", "{count} days", review.days_since).format(count=review.days_since)}
    if fresh is not None:
        high = _("over range") if math.isinf(fresh.high_rlu) else number_text(fresh.high_rlu)
        words |= {"fresh": number_text(fresh.rlu), "low": number_text(fresh.low_rlu), "high": high}
    lines = [_(_REVIEWS[review.verdict if review.same_equipment else _OTHER_EQUIPMENT]).format(**words)]
    lines += [f"  {lack_line(one)}" for one in review.lacks if review.verdict == baseline.CANNOT_TELL]
    if review.verdict == baseline.CHANGE:
        lines += [f"  {line}" for line in _change_lines(review)]
    return lines


def _change_lines(review: Review) -> list[str]:
    lines = []
    if review.fresh is not None and review.fresh.rlu > review.anchor_rlu:
        lines.append(_("That lies {factor} times above the first limit, {anchor} RLU: a clean that slowly gets worse "
                       "draws its limit up. Look for the cause before raising it.").format(
                           factor=number_text(review.fresh.rlu / review.anchor_rlu, digits=2),
                           anchor=number_text(review.anchor_rlu)))
    return [*lines, _("Learn it anew into a new file and keep the old one: visits judged under it stay as they were "
                      "judged.")]


def culture_lines(surface: str, found: CultureCut) -> list[str]:
    """Return a cut from plates as sentences, or everything that is lacking."""
    lines = [_("{surface}: no limit yet.").format(surface=surface), *(f"  {lack_line(one)}" for one in found.lacks)]
    if found.cut is not None:
        cut, plates = found.cut, {"above": found.above, "below": found.below, "cfu": number_text(found.limit_cfu)}
        words = {name: number_text(100.0 * share, digits=2) for name, share in (
            ("found", cut.sensitivity), ("passed", cut.specificity), ("found_low", cut.sensitivity_interval[0]),
            ("found_high", cut.sensitivity_interval[1]), ("passed_low", cut.specificity_interval[0]),
            ("passed_high", cut.specificity_interval[1]))}
        low, high = (number_text(end, digits=2) for end in cut.cut_interval)
        lines = [_("{surface}: {rlu} RLU separates best; from other plates it could lie anywhere from {low} to {high} "
                   "RLU.").format(surface=surface, rlu=number_text(cut.cut), low=low, high=high),
                 "  " + _("Of {above} plates with {cfu} CFU or more, {found} % read above it ({found_low} to "
                          "{found_high} %); of {below} with fewer, {passed} % do not ({passed_low} to "
                          "{passed_high} %).").format(**words, **plates)]
    if found.area is not None:
        lines.append("  " + _("A plate at or above the count reads higher than one below it in {area} % of pairs "
                              "({low} to {high} %); 50 % is a coin.").format(
            area=number_text(100.0 * found.area.area, digits=2), low=number_text(100.0 * found.area.lower, digits=2),
            high=number_text(100.0 * found.area.upper, digits=2)))
    return lines


def culture_beside_lines() -> list[str]:
    """Return what a cut from plates does not say."""
    return [_("The shares are those on the very plates the cut was chosen from: on new ones both are lower together."),
            _("A cut turns no reading into a count. It says nothing of viruses and spores, nor of what does not grow "
              "on that plate.")]


def culture_basis(found: CultureCut, frozen_on: str) -> str:
    """Return the words of the key ``basis`` of a cut from plates."""
    return _("own plates, frozen {day}: separates best at {cfu} CFU").format(
        day=frozen_on, cfu=number_text(found.limit_cfu))


def culture_note(found: CultureCut, sha256: str) -> str:
    """Return the words of the key ``note`` of a cut from plates, with the hash of the tables."""
    low, high = found.cut.cut_interval if found.cut is not None else (math.nan, math.nan)
    return _("{above} plates above, {below} below; interval 95 %: {low} to {high} RLU; tables {sha256}").format(
        above=found.above, below=found.below, low=number_text(low), high=number_text(high), sha256=sha256)

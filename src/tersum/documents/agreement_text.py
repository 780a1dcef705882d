"""Two instruments, and a rapid reading against a plate count, in sentences."""

from __future__ import annotations

import math

from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_
from tersum.evidence import rapid_plate, two_instruments
from tersum.evidence.agreement import PAIRS_FOR_CONVERSION
from tersum.evidence.rapid_plate import RapidAgainstPlate
from tersum.evidence.two_instruments import LEAST_PAIRS, TwoInstruments

NO_CONVERSION = N_("RLU is never converted into CFU: light comes from any residue with ATP, colonies from what grows. "
                   "In the field the two hang together weakly (rank correlation 0.2 to 0.3). Compare each with its own "
                   "limit.")
_REMARKS = {
    two_instruments.RATIO_ASSUMED: N_("The ratio of the two reading errors is not known; lines for a quarter, 1 and 4 "
                                      "are given. Read each twice on some surfaces (first_again, second_again)."),
    two_instruments.NARROW_RANGE: N_("The pairs span less than a factor of 10: a line through them says little."),
    two_instruments.THIN: N_("With fewer than 12 pairs these intervals cover less than they say."),
    two_instruments.GROWS: N_("The ratio changes with the level: the limits as factors are wrong at the ends."),
    rapid_plate.FEW_OF_A_KIND: N_("Fewer than 30 of a kind: the cut below is no limit to use."),
    rapid_plate.ZERO_COUNTS: N_("Plates without a colony are in the table and the curve, and not in the line."),
}


def two_lines(found: TwoInstruments) -> list[str]:
    """Return what pairs show of two instruments."""
    if found.limits is None:
        if found.verdict == two_instruments.CONSTANT:
            return [_("Cannot tell: one instrument shows one number throughout. Needed: surfaces from clean to dirty.")]
        return [_("Cannot tell: {have} pairs of numbers; {need} at least, {many} before any conversion.").format(
            have=found.pairs, need=LEAST_PAIRS, many=PAIRS_FOR_CONVERSION), *_left_out(found.left_out)]
    mean, low, high = (number_text(value) for value in found.limits.as_factors)
    lines = [_("The first shows {mean} times what the second shows; single pairs mostly between {low} and {high} "
               "times.").format(mean=mean, low=low, high=high),
             _("The ends of that span are themselves known within {a} to {b} and {c} to {d}.").format(**{
                 key: number_text(10.0**value) for key, value in zip(
                     "abcd", (*found.lower_interval, *found.upper_interval), strict=True)})]
    for ratio, line in found.lines:
        a, b = line.slope_interval
        lines.append(_("Line of logs, error ratio {ratio}: second = {factor} × first^{slope} (power {low} to "
                       "{high}).").format(ratio=number_text(ratio), factor=number_text(10.0**line.intercept),
                                          slope=number_text(line.slope), low=number_text(a), high=number_text(b)))
    lines += [_(_REMARKS[code]) for code in found.remarks]
    if found.verdict == two_instruments.CONVERTIBLE:
        lines.append(_("{pairs} pairs: a reading may be converted with --convert, with its factor. A limit is not "
                       "carried over without it.").format(pairs=found.pairs))
    elif found.pairs < PAIRS_FOR_CONVERSION:
        lines.append(_("No conversion: {have} pairs, {need} needed. A limit of one is no limit of the other.").format(
            have=found.pairs, need=PAIRS_FOR_CONVERSION))
    else:
        lines.append(_("No conversion: the error ratio is not known."))
    return lines + _left_out(found.left_out)


def rapid_lines(found: RapidAgainstPlate, *, limit_rlu: float, limit_cfu: float) -> list[str]:
    """Return what pairs show of a rapid reading and a plate count."""
    lines = [_("Above {rlu} RLU and above {cfu} CFU: {a}; above by light alone: {b}; by plate alone: {c}; neither: "
               "{d}.").format(rlu=number_text(limit_rlu), cfu=number_text(limit_cfu), a=found.table[0][0],
                              b=found.table[0][1], c=found.table[1][0], d=found.table[1][1])]
    if found.area is None or found.verdict == rapid_plate.CANNOT_TELL:
        return [*lines, _("Cannot tell: the plates call all of them {kind}. Needed: 30 plates of either kind.").format(
            kind=_("dirty") if found.dirty else _("clean")), _(NO_CONVERSION)]
    for text, (share, low, high) in ((_("Of plates above their limit light finds {share} % ({low} to {high})."),
                                      found.sensitivity),
                                     (_("Of plates not above it light passes {share} % ({low} to {high})."),
                                      found.specificity)):
        lines.append(text.format(share=_percent(share), low=_percent(low), high=_percent(high)))
    lines.append(_("A dirty plate's reading is the higher one in {area} % of pairs ({low} to {high}); 50 % is a "
                   "coin.").format(area=_percent(found.area.area), low=_percent(found.area.lower),
                                   high=_percent(found.area.upper)))
    if found.kappa is not None:
        lines.append(_("Agreement beyond chance (kappa) {kappa} ({low} to {high}); it depends on how many are dirty: "
                       "read it with the table.").format(**{key: number_text(value, digits=2).replace("-", "−") for
                                                            key, value in (("kappa", found.kappa.kappa),
                                                                           ("low", found.kappa.lower),
                                                                           ("high", found.kappa.upper))}))
    if not math.isnan(found.spearman):
        lines.append(_("Rank correlation {r}.").format(r=number_text(found.spearman, digits=2).replace("-", "−")))
    if found.cut is not None:
        low, high = found.cut.cut_interval
        lines.append(_("The cut that separates these best: {cut} RLU, anywhere from {low} to {high} in other "
                       "samples.").format(cut=number_text(found.cut.cut), low=number_text(low), high=number_text(high)))
    return [*lines, *(_(_REMARKS[code]) for code in found.remarks), _(NO_CONVERSION)]


def _percent(share: float) -> str:
    return number_text(100.0 * share, digits=2)


def _left_out(pairs: int) -> list[str]:
    return [_("Left out, below detection or over range: {pairs}.").format(pairs=pairs)] if pairs else []

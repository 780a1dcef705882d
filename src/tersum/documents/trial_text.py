"""What a trial shows, in plain sentences: a ratio in words, what has to be said first, and when it cannot be told."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tersum.documents.numbers import apart, number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.evidence import comparison, trial_remarks
from tersum.evidence.comparison import Comparison, Contrast
from tersum.evidence.rerandomisation import smallest_p
from tersum.evidence.trial import VEHICLE
from tersum.evidence.trial_remarks import Remark

_SHARES = ((0.01, N_("a hundredth")), (0.02, N_("a fiftieth")), (0.05, N_("a twentieth")), (0.1, N_("a tenth")),
           (0.2, N_("a fifth")), (0.25, N_("a quarter")), (1 / 3, N_("a third")), (0.5, N_("half")),
           (2 / 3, N_("two thirds")), (0.75, N_("three quarters")), (0.9, N_("nine tenths")))

_WHY = {
    comparison.TOO_FEW: N_("Cannot tell {arm} from {other}: {pairs} of both gives no measure of how much panels differ "
                           "by themselves."),
    comparison.NOTHING_MEASURED: N_("Cannot tell {arm} from {other}: too few readings lie inside the meter's range. "
                                    "More pairs help only where they read inside it."),
    comparison.FLAT: N_("Cannot tell {arm} from {other} by a ratio: too many readings lie outside the meter's range, "
                        "and those inside do not hold one. More pairs help only where they read inside it."),
    comparison.CONSTANT: N_("Cannot tell {arm} from {other}: the readings show no scatter at all; check the meter."),
}

_THIN = {
    comparison.FEW_AND_CENSORED: N_("This interval covers less than it says, with so few pairs and readings outside "
                                    "the range: go by the re-randomisation."),
    comparison.STARTS_APART: N_("The two started unequally. Where parts were drawn at random, that is adjusted for; "
                                "where they were not, this interval covers less than it says, and nothing mends it."),
}

_REMARKS = {
    trial_remarks.RECOVERY_UNKNOWN: N_("Not tested whether what {names} left on the surface upsets the reading: if it "
                                       "does, the comparison shows that and not dirt. Spike a swab of each "
                                       "(--recovery)."),
    trial_remarks.PICKED_DIRTY: N_("The panels were picked by their readings. Such panels read lower the next time by "
                                   "themselves: what any treatment took away is overstated. The comparison between "
                                   "treatments is not, if panels were picked by all their parts alike and before it "
                                   "was drawn which part gets what. Picked by the parts of one treatment, they flatter "
                                   "that treatment, and adjusting does not mend it."),
    trial_remarks.STARTS_DIFFER: N_("{names[0]} started on parts with {number} times the dirt of {names[1]}'s."),
    trial_remarks.UNTREATED_FELL: N_("{names[0]}, which was not treated, fell by a factor of {number}: so much of "
                                     "every other fall is no treatment's."),
    trial_remarks.NO_UNTREATED: N_("No arm was left untreated: what drying, time and the first swab do is not known."),
    trial_remarks.NO_WATER_ONLY: N_("No arm was wiped with water only: what wiping alone does is not known."),
    trial_remarks.ONE_VEHICLE: N_("All panels are in {names[0]}: nothing is shown of other vehicles."),
    trial_remarks.UNBALANCED: N_("{number} of {second} panels lack one of the treatments."),
    trial_remarks.BEFORE_MISSING: N_("{number} of {second} parts have no usable before reading: none is adjusted for."),
    trial_remarks.INEQUALITIES: N_("{number} of {second} after readings lie outside the meter's range; they enter as "
                                   "what they are, below or above, and not as a number."),
    trial_remarks.SWABS_AVERAGED: N_("{number} swabs on {second} parts: averaged, since parts were treated, not "
                                      "swabs."),
    trial_remarks.VEHICLES_COUNT: N_("Each vehicle had one treatment: {number} vehicles are what counts, not their "
                                     "panels."),
}


def share_words(ratio: float) -> str:
    """Return a ratio in words: "half of what", "2.3 times what", "as much as".

    Examples
    --------
    >>> share_words(0.48), share_words(2.31), share_words(0.98)
    ('half of what', '2.3 times what', 'as much as')
    """
    if 0.95 <= ratio <= 1.05:
        return _("as much as")
    if ratio > 1.0:
        return _("{number} times what").format(number=number_text(ratio, digits=2))
    return _("{share} of what").format(share=_share(ratio))


def contrast_lines(contrast: Contrast, compared: Comparison) -> list[str]:
    """Return what one comparison shows, the plain sentence first."""
    if contrast.verdict == comparison.CANNOT_TELL:
        return _untold_lines(contrast, compared)
    lines = [_told_line(contrast)]
    if contrast.verdict == comparison.NOT_SHOWN:
        lines.append(_("That is no evidence that the two are alike, nor that they differ."))
    lines += list(_margin_lines(contrast))
    if contrast.thin:
        lines.append(_(_THIN[contrast.thin]))
    lines += list(_shuffled_lines(contrast))
    if contrast.verdict == comparison.NOT_SHOWN and contrast.pairs < contrast.pairs_needed:
        lines.append(needed_line(contrast.pairs_needed, compared.asked.factor))
    return lines


def needed_line(pairs: int, factor: float) -> str:
    """Return how many pairs would find a factor."""
    return ngettext("{pairs} pair would find a factor of {factor} four times in five.",
                    "{pairs} pairs would find a factor of {factor} four times in five.", pairs).format(
                        pairs=pairs, factor=number_text(factor))


def remark_line(remark: Remark) -> str:
    """Return what has to be said before a result."""
    if remark.code == trial_remarks.FEW_FOR_SHUFFLING:
        pairs = int(remark.numbers[0])
        return ngettext("With {pairs} pair re-randomisation can reach no p-value below {p}.",
                        "With {pairs} pairs re-randomisation can reach no p-value below {p}.", pairs).format(
                            pairs=pairs, p=number_text(float(smallest_p(pairs))))
    texts = [number_text(number, digits=2) for number in remark.numbers] + ["", ""]
    names: object = remark.names if "[" in _REMARKS[remark.code] else ", ".join(remark.names)
    return _(_REMARKS[remark.code]).format(names=names, number=texts[0], second=texts[1])


def comparison_blocks(compared: Comparison) -> list[list[str]]:
    """Return everything a trial shows, what weighs most first: one block a comparison, its plain sentence at the head.

    Before them stands what would make them all void, after them what is to be known of the trial as a whole.
    """
    first = [remark_line(one) for one in compared.remarks if one.code == trial_remarks.RECOVERY_UNKNOWN]
    last = [remark_line(one) for one in compared.remarks if one.code != trial_remarks.RECOVERY_UNKNOWN]
    blocks = [first, *(contrast_lines(contrast, compared) for contrast in compared.contrasts),
              *([line] for line in last)]
    return [block for block in blocks if block]


def comparison_lines(compared: Comparison) -> list[str]:
    """Return :func:`comparison_blocks` line by line."""
    return [line for block in comparison_blocks(compared) for line in block]


def _told_line(contrast: Contrast) -> str:
    low, high = contrast.ratio_interval
    words = {"arm": contrast.arm, "other": contrast.other, "ratio": share_words(contrast.ratio),
             "low": _end(low), "high": _end(high), "number": number_text(contrast.ratio, digits=2),
             "from_": apart(low, (1.0,)), "to": apart(high, (1.0,))}
    if contrast.verdict == comparison.NOT_SHOWN:
        return _("No difference between {arm} and {other} is shown: {arm} leaves between {low} and {high} what {other} "
                 "leaves ({number}; {from_} to {to}).").format(**words)
    return _("{arm} leaves about {ratio} {other} leaves; likely between {low} and {high} ({number}; {from_} to "
             "{to}).").format(**words)


def _end(ratio: float) -> str:
    if 0.95 <= ratio <= 1.05:
        return _("all")
    return _share(ratio) if ratio < 1.0 else _("{number} times").format(number=number_text(ratio, digits=2))


def _share(ratio: float) -> str:
    if ratio < 0.007:
        return _("next to nothing")
    return _(min(_SHARES, key=lambda one: abs(math.log(one[0] / ratio)))[1])


def _untold_lines(contrast: Contrast, compared: Comparison) -> list[str]:
    form = ngettext("{count} pair", "{count} pairs", contrast.pairs)
    if compared.units.level == VEHICLE:
        form = ngettext("{count} vehicle", "{count} vehicles", contrast.pairs)
    lines = [_(_WHY[contrast.why]).format(arm=contrast.arm, other=contrast.other,
                                          pairs=form.format(count=contrast.pairs))]
    if math.isfinite(contrast.low_log10):
        low, high = contrast.ratio_interval
        lines.append(_("By the error of reading alone the ratio would lie between {low} and {high}; how much panels "
                       "differ comes on top.").format(low=number_text(low, digits=2), high=number_text(high, digits=2)))
    lines += _shuffled_lines(contrast)
    if contrast.why != comparison.TOO_FEW:
        return lines  # more pairs of the same kind would tell no more
    return [*lines, _("At least: {line}").format(line=needed_line(contrast.pairs_needed, compared.asked.factor))]


def _margin_lines(contrast: Contrast) -> Iterator[str]:
    found = contrast.equivalence
    if found is None:
        return
    words = {"arm": contrast.arm, "other": contrast.other, "margin": number_text(10.0**found.margin_log10),
             "low": number_text(10.0**found.low, digits=2), "high": number_text(10.0**found.high, digits=2)}
    if found.equivalent:
        yield _("Within the margin set beforehand (a factor of {margin}) the two are alike ({low} to {high}).").format(
            **words)
    elif found.not_worse:
        yield _("{arm} is not worse than {other} by the margin set beforehand, a factor of {margin} ({low} to "
                "{high}).").format(**words)
    else:
        yield _("Not shown to be alike within the margin set beforehand, a factor of {margin} ({low} to "
                "{high}).").format(**words)


def _shuffled_lines(contrast: Contrast) -> Iterator[str]:
    found = contrast.rerandomised
    if found is None:
        return
    p = number_text(found.p_two_sided, digits=2)
    if found.exact:
        yield _("Re-randomisation: {count} of {total} assignments of this design show as much or more (p {p}).").format(
            count=found.count_two_sided, total=found.total, p=p)
    else:
        yield _("Re-randomisation: {count} of {total} assignments drawn show as much or more (p {p}).").format(
            count=found.count_two_sided, total=found.total, p=p)
    if contrast.rerandomised_log10 is not None:
        low, high = (number_text(10.0**end, digits=2) for end in contrast.rerandomised_log10)
        yield _("By re-randomisation of the pairs alone the ratio lies between {low} and {high}.").format(
            low=low, high=high)


def beside_lines(unread: int, moved: tuple[tuple[str, str, str, str], ...], *, planned: bool,
                 margin: float | None) -> list[str]:
    """Return what is to be said beside a result: rows left open, departures from the draw, a margin without a plan."""
    lines = []
    if unread:
        lines.append(ngettext("{count} row has no after reading and is left out.",
                              "{count} rows have no after reading and are left out.", unread).format(count=unread))
    if moved:
        places = "; ".join(f"{vehicle} / {panel} / {part}: {arm}" for vehicle, panel, part, arm in moved)
        lines.append(_("Not treated as drawn: {places}. What was not drawn at random shows less.").format(
            places=places))
    if not planned:
        lines.append(_("There is no plan beside the readings: the result counts as far as the treatments were drawn at "
                       "random before any reading."))
        if margin is not None:
            lines.append(_("The margin is given with the readings; it counts only if it was set before them."))
    return lines

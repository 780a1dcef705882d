"""Chemical left on the surface: what spikes show and what to do, in sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_
from tersum.evidence import residue
from tersum.evidence.recovery import AS_READ, CORRECT, NOT_COUNTED, REPEATS
from tersum.evidence.residue import ResidueGroup

_VERDICTS = {
    residue.UNKNOWN: N_("unknown"), AS_READ: N_("use as read"), CORRECT: N_("rinse, or correct"),
    NOT_COUNTED: N_("do not count"),
}
_REMARKS = {
    residue.SPIKE_SMALL: N_("{name}: the spike is less than three times the reading without it; it is lost in the "
                            "difference."),
    residue.SPIKE_LARGE: N_("{name}: the spike is more than ten times the reading without it; check the meter's "
                            "range."),
    residue.BOUNDS_DIFFER: N_("{name}: the interval reaches past a bound of the policy; more repeats would settle it."),
    residue.NOTHING_READ: N_("{name}: of some spikes nothing was read."),
    residue.NO_MATRIX: N_("{name}: no blank of a treated, truly clean panel; whether the chemical itself gives light "
                          "is not known."),
}


def name_of(group: ResidueGroup) -> str:
    """Return the name of a group."""
    return " / ".join((group.chemistry, group.surface, group.instrument, group.stage, group.kind))


def verdict_words(group: ResidueGroup) -> str:
    """Return what the policy says."""
    return _(_VERDICTS[group.verdict])


def share_words(group: ResidueGroup) -> str:
    """Return the share read, with its interval."""
    if math.isnan(group.share):
        return "?"
    low, high = group.interval
    share = number_text(100.0 * group.share, digits=2)
    if math.isnan(low) or math.isnan(high):
        return f"{share} %"
    return _("{share} % ({low} to {high})").format(share=share, low=number_text(100.0 * low, digits=2),
                                                   high=number_text(100.0 * high, digits=2))


def residue_lines(groups: Sequence[ResidueGroup]) -> list[str]:
    """Return everything spikes show; what is unknown stands first."""
    lines = [_("Not known how much {name} upsets the reading: {have} spikes, {need} needed. A comparison of treatments "
               "that rests on it says nothing yet.").format(name=name_of(one), have=one.repeats, need=REPEATS)
             for one in groups if one.verdict == residue.UNKNOWN]
    for one in groups:
        if one.verdict in (CORRECT, NOT_COUNTED) and math.isfinite(one.bias_log10):
            factor = number_text(10.0 ** abs(one.bias_log10), digits=2)
            lines.append((_("{name}: uncorrected readings are {factor} times too low (too clean).") if
                          one.bias_log10 < 0.0 else _("{name}: uncorrected readings are {factor} times too high.")
                          ).format(name=name_of(one), factor=factor))
        lines += [_(_REMARKS[code]).format(name=name_of(one)) for code in one.remarks]
    if any(one.verdict != AS_READ for one in groups):
        lines.append(_("Chemical left on the surface upsets the reading: rinse with water, dry, swab a fresh area. "
                       "That is better than any correction."))
    return [*lines, _("Spikes go on the swab after use or on a test panel, never on a customer's surface. Label and "
                      "safety data sheet come first.")]


def faked_lines(groups: Sequence[ResidueGroup]) -> list[str]:
    """Return what two stages of one chemistry would show as a reduction though nothing was removed."""
    lines = []
    for before in groups:
        for after in groups:
            alike = (before.chemistry, before.surface, before.instrument, before.kind) == (
                after.chemistry, after.surface, after.instrument, after.kind)
            known = residue.UNKNOWN not in (before.verdict, after.verdict)
            if alike and known and before.stage == "as_found" != after.stage and math.isfinite(after.bias_log10):
                lines.append(_("{name}: uncorrected, {log} log10 of any reduction from as_found to {stage} are made by "
                               "the chemical.").format(name=after.chemistry, stage=after.stage, log=number_text(
                                   residue.faked_reduction_log10(before, after), digits=2).replace("-", "−")))
    return lines

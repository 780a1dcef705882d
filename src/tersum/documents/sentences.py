"""Verdicts, their reasons and what to do next, as plain sentences in the reader's language."""

from __future__ import annotations

from collections.abc import Sequence

from tersum.documents.numbers import apart, bounded_text, number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.visit.decision import (
    CLEAN_AGAIN,
    COULD_NOT,
    DONE,
    NO_LIMIT_YET,
    NOT_COUNTED,
    NOT_READ,
    SWAB_AGAIN,
    Decision,
    Reason,
    ReductionStatement,
)

_VERDICTS = {
    DONE: N_("done"),
    SWAB_AGAIN: N_("swab again"),
    CLEAN_AGAIN: N_("clean again"),
    NOT_COUNTED: N_("not counted"),
    NOT_READ: N_("not read"),
    NO_LIMIT_YET: N_("no limit yet"),
    COULD_NOT: N_("could not be brought below the limit"),
}
_REASONS = {
    "at-or-below-release-level": N_("{mean} is at or below the release level of {release} RLU."),
    "above-limit": N_("{mean} is above the limit of {limit} RLU."),
    "was-above-limit-in-this-round": N_("After swab {look} of this round the mean was above the limit of {limit} RLU; "
                                        "swabs taken after that do not undo it."),
    "not-shown-within-the-planned-looks": N_("The release level was not reached within the planned swabs ({looks}); "
                                             "swabs beyond the plan do not release a point."),
    "between-release-level-and-limit": N_("{mean} lies between the release level of {release} RLU and the limit of "
                                          "{limit} RLU: too close to tell."),
    "bounds-on-both-sides": N_("A reading below or over the meter's range leaves open whether the point is at or below "
                               "the release level of {release} RLU."),
    "not-shown-on-the-last-look": N_("The planned swabs did not show it to be at or below the release level."),
    "no-fresh-area-left": N_("It was not shown to be at or below the release level, and no fresh area is left."),
    "reduction-not-met": N_("It came down by {percent} %; at least {target} % was agreed."),
    "reduction-not-yet-shown": N_("Whether it came down by the agreed {target} % cannot be told yet."),
    "as-found-not-read": N_("The agreed rule needs a reading as found, and there is none."),
    "no-reading": N_("There is no reading at the stage that decides."),
    "rows-left-out": N_("Whether it is done cannot be told while rows of this point have a fault ({rows})."),
    "no-swab-counts": N_("No swab of this round counts: {faults}."),
    "looks-used-up": N_("No swab of this round counts, and no planned swab is left: {faults}."),
    "no-limit-for-this-point": N_("There is no limit yet for this surface ({surface}) under this meter and swab."),
    "still-not-shown-after-clean-agains": N_("It was cleaned again as often as agreed ({clean_agains}) and is still "
                                             "not shown to be at or below the release level."),
}
# What ran out, told after the reason for which another swab was wanted.
_RAN_OUT = {
    "not-shown-on-the-last-look": N_("No planned swab is left."),
    "no-fresh-area-left": N_("No fresh area is left for another swab."),
    "still-not-shown-after-clean-agains": N_("It was cleaned again as often as agreed ({clean_agains})."),
}
_FAULTS = {
    "wet-surface": N_("the surface was wet"),
    "chemical-left": N_("chemical left on the surface upsets the reading"),
    "not-a-fresh-area": N_("the spot had been swabbed before"),
    "swab-out-of-date": N_("the swab was past its date"),
    "instrument-not-checked": N_("the instrument had not been checked"),
    "instrument-fault": N_("fault of the instrument"),
    "lot-fault": N_("fault of the swab lot"),
}
_MENDED = {
    "wet-surface": N_("Let the surface dry, then swab."),
    "chemical-left": N_("Rinse with water, dry, swab."),
    "not-a-fresh-area": N_("Swab a fresh area beside it."),
    "swab-out-of-date": N_("Take a swab that is in date, and swab a fresh area."),
    "instrument-not-checked": N_("Check the instrument, then swab a fresh area."),
    "instrument-fault": N_("Use an instrument that passes its check, and swab a fresh area."),
    "lot-fault": N_("Take swabs of another lot, and swab a fresh area."),
}
_NEXT = {
    DONE: N_("Nothing more to do here."),
    SWAB_AGAIN: N_("Swab a fresh area beside the last one."),
    CLEAN_AGAIN: N_("Clean again, then swab."),
    NOT_READ: N_("Swab it."),
    NO_LIMIT_YET: N_("Keep the reading: it builds the baseline. A limit comes from the instrument's own documents, an "
                     "agreement with the customer, or the baseline."),
    COULD_NOT: N_("Leave it as it is, record it as an open point, and look for another method."),
}
_REMARKS = {
    "not-counted": N_("Swab {swab} is not counted: {fault}."),
    "got-dirtier": N_("Got dirtier, by a factor of {factor}: check cloth and bucket, and swab the cloth."),
    "swabs-disagree": N_("The swabs of this round differ by a factor of {factor}, more than two swabs of one surface "
                         "usually do."),
    "more-swabs-than-planned-looks": N_("Swabs taken: {n}; planned: {looks}. Swabs beyond the plan do not release a "
                                        "point."),
    "rows-left-out": N_("Rows of this point with a fault, which are not in this decision: {rows}."),
}
_STAGES = {"as_found": N_("as found"), "cleaned": N_("when cleaned"), "treated": N_("when treated")}
_MET = {
    "met": N_("the agreed reduction is met"),
    "not-met": N_("the agreed reduction is not met"),
    "too-clean-at-the-start": N_("too clean at the start to show the agreed reduction"),
    "cannot-tell": N_("whether the agreed reduction is met cannot be told"),
}
_ROSE = N_("It did not come down; at least {target} % was agreed.")
# A rise in the terms of a rise: nothing is ever "down by -800 %".
_RISES = {
    "=": N_("Up by a factor of {factor} (log10 reduction {log10}, 95 % interval {low} to {high})"),
    ">=": N_("Up by a factor of {factor} at most (log10 reduction {log10}, with 95 % {low} or more)"),
    "<=": N_("Up by a factor of {factor} at least (log10 reduction {log10}, with 95 % {high} or less)"),
}
_REDUCTIONS = {
    "=": N_("Down by {percent} % (a factor of {factor}; log10 {log10}, 95 % interval {low} to {high})"),
    ">=": N_("Down by at least {percent} % (a factor of {factor}; log10 {log10}, with 95 % {low} or more)"),
    "<=": N_("Down by at most {percent} % (a factor of {factor}; log10 {log10}, with 95 % {high} or less)"),
    "?": N_("How far it came down cannot be told"),
}


def verdict_word(verdict: str) -> str:
    """Return the words for a verdict."""
    return _(_VERDICTS[verdict])


def stage_word(stage: str) -> str:
    """Return the words for a stage."""
    return _(_STAGES[stage])


def numbers(decision: Decision) -> tuple[str, str, str]:
    """Return mean, release level and limit as texts that differ wherever the numbers do; ``-`` for one there is not.

    Examples
    --------
    >>> from tersum.visit.decision import DONE, Decision, Reason
    >>> numbers(Decision("seat", "cleaned", DONE, Reason("at-or-below-release-level"), 1, 1, 103.31, "=", 0.95, 250.0,
    ...                  103.365, 1, None))
    ('103.3', '103.4', '250')
    """
    values = (decision.geometric_mean_rlu, decision.release_level_rlu, decision.limit_rlu)
    there = tuple(value for value in values if value is not None)
    mean = bounded_text(values[0], decision.mean_operator, others=there) if decision.n else "-"
    release, limit = ("-" if value is None else apart(value, there) for value in values[1:])
    return mean, release, limit


def why(decision: Decision) -> str:
    """Return why a point has its verdict, in a sentence or two with its numbers.

    Examples
    --------
    >>> from tersum.visit.decision import DONE, Decision, Reason
    >>> numbers = {"limit_rlu": 250.0, "release_level_rlu": 103.4, "n": 1}
    >>> why(Decision("seat", "cleaned", DONE, Reason("at-or-below-release-level", numbers), 1, 1, 41.0, "=", 0.999,
    ...              250.0, 103.4, 1, None))
    '41 RLU is at or below the release level of 103 RLU.'
    """
    code, because = decision.reason.code, str(decision.reason.parameters.get("because", ""))
    shown = _shown(decision)
    reasons = _REASONS
    if decision.reduction is not None and (decision.reduction.log10 or 0.0) < 0.0:
        reasons = {**_REASONS, "reduction-not-met": _ROSE}
    if code in _RAN_OUT and because:
        return f"{_(reasons[because]).format(**shown)} {_(_RAN_OUT[code]).format(**shown)}"
    return _(reasons[code]).format(**shown)


def what_next(decision: Decision) -> str:
    """Return what to do at a point now."""
    if decision.verdict == NOT_COUNTED:
        return " ".join(_(_MENDED[code]) for code in _fault_codes(decision.reason))
    if decision.verdict == SWAB_AGAIN:
        return _(_NEXT[SWAB_AGAIN]) + " " + ngettext(
            "{n} planned swab is left.", "{n} planned swabs are left.", decision.looks_left).format(
                n=decision.looks_left)
    if decision.reason.code == "rows-left-out":
        return _("Mend these rows, then decide again.")
    if decision.reason.code == "as-found-not-read":
        return _("It cannot be read as found any more: hand the point over as open, or agree on the limit alone.")
    return _(_NEXT[decision.verdict])


def remark_sentence(remark: Reason) -> str:
    """Return a remark beside a verdict."""
    shown: dict[str, object] = {name: number_text(value) if isinstance(value, float) else value
                                for name, value in remark.parameters.items()}
    if "fault" in shown:
        shown["fault"] = fault_phrase(str(shown["fault"]))
    return _(_REMARKS[remark.code]).format(**shown)


def fault_phrase(code: str) -> str:
    """Return why a reading does not count, as part of a sentence."""
    return _(_FAULTS[code])


def reduction_sentence(reduction: ReductionStatement) -> str:
    """Return how far a point came down, and whether that is what was agreed."""
    numbers = {name: "?" if value is None else number_text(value) for name, value in (
        ("factor", reduction.factor), ("log10", reduction.log10), ("low", reduction.low), ("high", reduction.high))}
    numbers["percent"] = _percent(reduction.percent)
    rose = reduction.log10 is not None and reduction.log10 < 0.0
    if rose and reduction.factor:
        numbers["factor"] = number_text(1.0 / reduction.factor)
    told = _((_RISES if rose else _REDUCTIONS)[reduction.operator]).format(**numbers)
    return told + (f"; {_(_MET[reduction.met])}." if reduction.met else ".")


def at_floor_line() -> str:
    """Return that duplicates agree better than a display can show, and what to make of it."""
    return _("The duplicates agree better than the display can show, so its rounding is taken as the spread. Two swabs "
             "of adjacent areas rarely do: check that no pair is one swab read twice or one number written twice. The "
             "release level lies close to the limit here.")


def codes() -> tuple[str, ...]:
    """Return every code of a reason, a remark or a reading's fault that has a sentence."""
    return (*_REASONS, *_REMARKS, *_FAULTS)


def _shown(decision: Decision) -> dict[str, str]:
    parameters = decision.reason.parameters
    mean, release, limit = numbers(decision)
    reduction = decision.reduction
    target = parameters.get("target_log10")
    return {
        "mean": ngettext("{mean} RLU", "{mean} RLU (mean of {n} swabs)", decision.n).format(mean=mean, n=decision.n),
        "release": release,
        "limit": limit,
        "percent": _percent(reduction.percent if reduction else None),
        "target": _percent(100.0 * (1.0 - 10.0**-target) if isinstance(target, float) else None),
        "look": str(parameters.get("look", "")), "looks": str(parameters.get("looks", "")),
        "rows": str(parameters.get("rows", "")), "clean_agains": str(parameters.get("clean_agains", "")),
        "surface": str(parameters.get("surface") or _("surface not recorded")),
        "faults": "; ".join(fault_phrase(code) for code in _fault_codes(decision.reason)),
    }


def _percent(value: float | None) -> str:
    """Return a percent that never reads 100 where something is left."""
    if value is None:
        return "?"
    return apart(value, (100.0,)) if value < 100.0 else ">" + number_text(99.99, digits=4)


def _fault_codes(reason: Reason) -> Sequence[str]:
    codes = reason.parameters.get("faults", ())
    return [str(code) for code in codes] if isinstance(codes, Sequence) else []

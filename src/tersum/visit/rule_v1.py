"""Version 1 of the rules ``limit``, ``limit and reduction`` and ``plain limit``: readings of a point to its verdict.

Released code is never edited: a better rule is a new file with the next number, and golden verdicts hold this one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.evidence.conformity import p_conform, release_level, release_multiplier
from tersum.visit.decision import (
    CLEAN_AGAIN,
    COULD_NOT,
    DONE,
    NO_LIMIT_YET,
    NOT_COUNTED,
    NOT_READ,
    SWAB_AGAIN,
    Decision,
    LimitInForce,
    Reason,
    ReductionStatement,
    Terms,
)
from tersum.visit.readings import Reading, fault, uses_a_look

VERSION = 1
RULES = ("limit", "limit and reduction", "plain limit")
# Below about 5 counts on a whole-number display rounding alone moves a reading by more than a tenth, so that a start
# lower than ten times this cannot show a reduction. Stands in where the instrument's detection level is not known.
DISPLAY_FLOOR_RLU = 5.0
TOO_CLEAN_FACTOR = 10.0
_DISAGREE = 1.959964 * math.sqrt(2.0)  # two swabs of one surface differ by less than this times s in 95 % of pairs


@dataclass(frozen=True)
class _Mean:
    """The mean of net logs, as two bounds that are equal where no reading is an inequality."""

    low: float
    high: float
    n: int


def decide_point(
    point: str,
    readings: Sequence[Reading],
    *,
    terms: Terms,
    limit: LimitInForce | None,
    fresh_area_left: bool | None = None,
    planned_duplicate: bool = False,
    as_found_planned: bool = False,
) -> Decision:
    """Return the decision at one point.

    Parameters
    ----------
    point : str
        The point's name.
    readings : sequence of Reading
        All readings of the point, any stage and round, in any order.
    terms : Terms
        What was agreed before any reading.
    limit : LimitInForce or None
        The limit, RLU above 0; None where there is no limit yet.
    fresh_area_left : bool or None
        False where no fresh adjacent area is left for another swab; None where that is not recorded.
    planned_duplicate : bool
        True where two swabs were planned from the start, so that nothing is decided on the first alone.
    as_found_planned : bool
        True where a reading as found was planned; under ``limit and reduction`` the point then needs it.

    Returns
    -------
    Decision
        Numbers rounded: RLU and factors to 6 significant digits, logs and probabilities to 4 decimals, percent to 2.

    Source
    ------
    JCGM 106:2012 clauses 7 and 8 (conformance probability, guarded acceptance) on the log10 scale; the multiplier for
    several looks is computed in :func:`tersum.evidence.conformity.release_multiplier`.
    """
    deciding = [reading for reading in readings if reading.stage == terms.stage]
    before = _mean([one for one in readings if one.stage == "as_found" and fault(one) is None], terms)
    if not deciding:
        return _without_mean(point, terms, limit, NOT_READ, Reason("no-reading"), 1, terms.looks, ())
    first, last = min(one.round for one in deciding), max(one.round for one in deciding)
    swabs = sorted((one for one in deciding if one.round == last), key=lambda one: (one.swab, one.row))
    counted = [one for one in swabs if fault(one) is None]
    looks_left = max(0, terms.looks - sum(map(uses_a_look, swabs)))
    remarks = [Reason("not-counted", {"swab": one.swab, "fault": fault(one)}) for one in swabs if fault(one)]
    if not counted:
        return _nothing_counted(point, terms, limit, swabs, last, last - first, looks_left, remarks)

    mean = _mean(counted, terms)
    assert mean is not None
    reduction = _reduction(before, mean, terms)
    earlier = _mean([one for one in deciding if one.round < last and fault(one) is None
                     and one.round == max(other.round for other in deciding if other.round < last)], terms)
    remarks += _remarks(counted, mean, earlier or before, terms)
    if limit is None:
        verdict, reason = NO_LIMIT_YET, Reason("no-limit-for-this-point", {"surface": counted[0].surface})
    else:
        used = [one for one in swabs if uses_a_look(one)]
        standing = _Standing(terms, limit, used, looks_left, fresh_area_left, planned_duplicate)
        verdict, reason = standing.verdict(mean)
        verdict, reason = _with_reduction(verdict, reason, reduction, standing, as_found_planned)
        verdict, reason = _at_most_so_many_clean_agains(verdict, reason, last - first, terms)
    return _decision(point, terms, limit, verdict, reason, mean, last, looks_left, reduction, tuple(remarks))


@dataclass(frozen=True)
class _Standing:
    """Where the swabs of one round stand against limit and release level."""

    terms: Terms
    limit: LimitInForce
    used: Sequence[Reading]  # the swabs that took a look: those that count, and those voided after the number was seen
    looks_left: int
    fresh_area_left: bool | None
    planned_duplicate: bool

    def verdict(self, mean: _Mean) -> tuple[str, Reason]:
        """Return the verdict by the limit alone."""
        was_above = self._earlier_look_above()
        numbers: dict[str, object] = {"limit_rlu": _rlu(self.limit.rlu),
                                      "release_level_rlu": _rlu(self._release(mean.n)), "n": mean.n}
        if self._above(mean):
            return CLEAN_AGAIN, Reason("above-limit", numbers)
        if was_above:
            return CLEAN_AGAIN, Reason("was-above-limit-in-this-round", {**numbers, "look": was_above})
        if self._below(mean):
            planned = self._prefix(self.terms.looks)
            if len(self.used) > self.terms.looks and (planned is None or not self._below(planned)):
                return CLEAN_AGAIN, Reason("not-shown-within-the-planned-looks", {**numbers, "looks": self.terms.looks})
            return DONE, Reason("at-or-below-release-level", numbers)
        differ = mean.low != mean.high
        return self.another_look("bounds-on-both-sides" if differ else "between-release-level-and-limit", numbers)

    def another_look(self, code: str, numbers: dict[str, object]) -> tuple[str, Reason]:
        """Return *swab again* while a look and a fresh area are left, else *clean again* with what ran out."""
        if not self.looks_left:
            return CLEAN_AGAIN, Reason("not-shown-on-the-last-look", {**numbers, "because": code})
        if self.fresh_area_left is False:
            return CLEAN_AGAIN, Reason("no-fresh-area-left", {**numbers, "because": code})
        return SWAB_AGAIN, Reason(code, {**numbers, "looks_left": self.looks_left})

    def _prefix(self, looks: int) -> _Mean | None:
        """Return the mean after so many looks; None where every one of them was voided."""
        return _mean([one for one in self.used[:looks] if fault(one) is None], self.terms)

    def _earlier_look_above(self) -> int:
        """Return the first earlier look whose mean was above the limit (the round ended there), or 0."""
        first = 2 if self.planned_duplicate else 1
        for look in range(first, min(len(self.used), self.terms.looks + 1)):
            mean = self._prefix(look)
            if mean is not None and self._above(mean):
                return look
        return 0

    def _release(self, n: int) -> float:
        return _release_rlu(self.terms, self.limit, n)

    def _below(self, mean: _Mean) -> bool:
        return _steady(mean.high) <= _steady(math.log10(self._release(mean.n)))

    def _above(self, mean: _Mean) -> bool:
        return _steady(mean.low) > _steady(math.log10(self.limit.rlu))


def _with_reduction(verdict: str, reason: Reason, reduction: ReductionStatement | None, standing: _Standing,
                    as_found_planned: bool) -> tuple[str, Reason]:
    """Hold a point that the limit would release until the agreed reduction is shown, or cannot be asked for."""
    if verdict != DONE or standing.terms.rule != "limit and reduction":
        return verdict, reason
    if reduction is None:
        return (NOT_READ, Reason("as-found-not-read")) if as_found_planned else (verdict, reason)
    if reduction.met in ("met", "too-clean-at-the-start"):
        return verdict, reason
    target: dict[str, object] = {"target_log10": standing.terms.reduction_target_log10, "log10": reduction.log10}
    if reduction.met == "not-met":
        return CLEAN_AGAIN, Reason("reduction-not-met", target)
    return standing.another_look("reduction-not-yet-shown", target)


def _at_most_so_many_clean_agains(verdict: str, reason: Reason, done_so_far: int, terms: Terms) -> tuple[str, Reason]:
    # A round beyond the agreed ones cannot release either: cleaning until a number is low is testing until it passes.
    if done_so_far > terms.clean_agains or (verdict == CLEAN_AGAIN and done_so_far >= terms.clean_agains):
        return COULD_NOT, Reason("still-not-shown-after-clean-agains",
                                 {**reason.parameters, "clean_agains": done_so_far, "because": reason.code})
    return verdict, reason


def _nothing_counted(point: str, terms: Terms, limit: LimitInForce | None, swabs: Sequence[Reading], last: int,
                     done_so_far: int, looks_left: int, remarks: list[Reason]) -> Decision:
    """Decide a round in which no swab counts: a look lost to a voided number is not given back."""
    faults = tuple(sorted({fault(one) or "" for one in swabs}))
    verdict, reason = NOT_COUNTED, Reason("no-swab-counts", {"faults": faults})
    if not looks_left:
        verdict, reason = CLEAN_AGAIN, Reason("looks-used-up", reason.parameters)
        verdict, reason = _at_most_so_many_clean_agains(verdict, reason, done_so_far, terms)
    return _without_mean(point, terms, limit, verdict, reason, last, looks_left, tuple(remarks))


def _without_mean(point: str, terms: Terms, limit: LimitInForce | None, verdict: str, reason: Reason, round_: int,
                  looks_left: int, remarks: tuple[Reason, ...]) -> Decision:
    level = _release_rlu(terms, limit, 1) if limit else None
    return Decision(point, terms.stage, verdict, reason, 0, round_, None, "=", None, _rlu(limit.rlu) if limit else None,
                    _rlu(level) if level else None, looks_left, None, remarks)


def _decision(point: str, terms: Terms, limit: LimitInForce | None, verdict: str, reason: Reason, mean: _Mean,
              round_: int, looks_left: int, reduction: ReductionStatement | None,
              remarks: tuple[Reason, ...]) -> Decision:
    value, operator = _stated(mean)
    plain = Decision(point, terms.stage, verdict, reason, mean.n, round_, None if value is None else _rlu(value),
                     operator, None, None, None, looks_left, reduction, remarks)
    if limit is None:
        return plain
    probability = float(p_conform(mean.high, mean.n, limit_rlu=limit.rlu, spread_log10=terms.spread_log10,
                                  degrees_of_freedom=terms.degrees_of_freedom))
    return replace(plain, p_conform=round(probability, 4), limit_rlu=_rlu(limit.rlu),
                   release_level_rlu=_rlu(_release_rlu(terms, limit, mean.n)))


def _release_rlu(terms: Terms, limit: LimitInForce, n: int) -> float:
    if terms.rule == "plain limit":
        return limit.rlu
    multiplier = release_multiplier(terms.looks, terms.degrees_of_freedom, risk=terms.risk)
    return float(release_level(n, limit_rlu=limit.rlu, spread_log10=terms.spread_log10, multiplier=multiplier))


def _mean(readings: Sequence[Reading], terms: Terms) -> _Mean | None:
    """Return the mean of net logs; a low bound of nothing is minus infinity, an upper one of "over range" infinity."""
    if not readings:
        return None
    bounds = [_net_bounds(one, terms.detection_rlu) for one in readings]
    low = math.fsum(_log10(low) for low, _ in bounds) if all(low > 0 for low, _ in bounds) else -math.inf
    high = math.fsum(_log10(high) for _, high in bounds)
    return _Mean(low / len(bounds), high / len(bounds), len(bounds))


def _net_bounds(reading: Reading, detection_rlu: float | None) -> tuple[float, float]:
    """Return what the residue's own light lies between, RLU, with the blank taken off.

    A net reading that is not above the detection level becomes "at most" that level. A blank of half the reading or
    more leaves a difference that is mostly its own scatter: then the residue is at most what the meter showed.
    """
    blank, floor = reading.blank_rlu or 0.0, detection_rlu or 0.0
    low, high = max(0.0, reading.low_rlu - blank), reading.high_rlu - blank
    if blank > 0.0 and 2.0 * blank >= reading.high_rlu:
        return (low if low > floor else 0.0), max(floor, reading.high_rlu, 1.0)
    if high <= floor or high <= 0.0:
        return 0.0, floor or max(reading.high_rlu, 1.0)
    return (low if low > floor else 0.0 if low < high else low), high


def _reduction(before: _Mean | None, after: _Mean, terms: Terms) -> ReductionStatement | None:
    """Return how far the logs fell, with bounds and the one-sided answer to the agreed target."""
    if before is None:
        return None
    low, high = before.low - after.high, before.high - after.low
    u = terms.spread_log10 * math.sqrt(1.0 / before.n + 1.0 / after.n)
    met = _target(before, low, high, u, terms)
    if not math.isfinite(low) and not math.isfinite(high):
        return ReductionStatement(None, None, None, None, None, "?", met)
    exact = low == high
    value, operator = (low, "=") if exact else (low, ">=") if math.isfinite(low) else (high, "<=")
    reach = _quantile(0.975, terms.degrees_of_freedom) * u
    return ReductionStatement(
        factor=_significant(10.0**value), percent=round(100.0 * (1.0 - 10.0**-value), 2), log10=round(value, 4),
        low=None if operator == "<=" else round(value - reach, 4),
        high=None if operator == ">=" else round(value + reach, 4), operator=operator, met=met)


def _target(before: _Mean, low: float, high: float, u: float, terms: Terms) -> str | None:
    target = terms.reduction_target_log10
    if target is None:
        return None
    # Decided from the start alone: an answer that looked at the end too would be a second chance.
    if before.high < math.log10(TOO_CLEAN_FACTOR * (terms.detection_rlu or DISPLAY_FLOOR_RLU)):
        return "too-clean-at-the-start"
    if _steady(low) >= _steady(target + _quantile(0.95, terms.degrees_of_freedom) * u):
        return "met"
    return "not-met" if _steady(high) < _steady(target) else "cannot-tell"


def _remarks(counted: Sequence[Reading], mean: _Mean, earlier: _Mean | None, terms: Terms) -> list[Reason]:
    """Return what is worth knowing beside the verdict; none of it changes the verdict."""
    remarks = []
    if earlier is not None:
        noise = _quantile(0.95, terms.degrees_of_freedom) * terms.spread_log10 * math.sqrt(1 / earlier.n + 1 / mean.n)
        if mean.low - earlier.high > noise:
            remarks.append(Reason("got-dirtier", {"factor": _significant(10.0 ** (mean.low - earlier.high))}))
    bounds = [_net_bounds(one, terms.detection_rlu) for one in counted]
    largest_low, smallest_high = max(low for low, _ in bounds), min(high for _, high in bounds)
    if largest_low > smallest_high and math.log10(largest_low / smallest_high) > _DISAGREE * terms.spread_log10:
        remarks.append(Reason("swabs-disagree", {"factor": _significant(largest_low / smallest_high)}))
    if len(counted) > terms.looks:
        remarks.append(Reason("more-swabs-than-planned-looks", {"n": len(counted), "looks": terms.looks}))
    return remarks


def _stated(mean: _Mean) -> tuple[float | None, str]:
    """Return the number that stands for the mean, and what kind of number it is."""
    if mean.low == mean.high:
        return 10.0**mean.high, "="
    if math.isinf(mean.high):
        return (10.0**mean.low, ">=") if math.isfinite(mean.low) else (None, "between")
    return 10.0**mean.high, "<=" if math.isinf(mean.low) else "between"


def _quantile(probability: float, degrees_of_freedom: float) -> float:
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415 - wanted for reductions only

    return float(ndtri(probability) if math.isinf(degrees_of_freedom) else stdtrit(degrees_of_freedom, probability))


def _log10(value: float) -> float:
    return math.log10(value) if value < math.inf else math.inf


def _steady(value: float) -> float:
    """Round away the last bits, so that a verdict on the very line is the same on every machine."""
    return round(value, 12) if math.isfinite(value) else value


def _significant(value: float, digits: int = 6) -> float:
    return float(f"{value:.{digits}g}")


def _rlu(value: float) -> float:
    return _significant(value)

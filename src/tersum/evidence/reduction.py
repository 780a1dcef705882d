"""Reduction: how far a surface came down from as found, as factor, percent and log10 with its interval."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import Array, probability, real, reals, sample, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor

MET = "met"
NOT_MET = "not-met"
TOO_CLEAN = "too-clean-at-the-start"
CANNOT_TELL = "cannot-tell"
# Below about 5 counts on a whole-number display rounding alone moves a reading by a tenth; stands in where the
# instrument's detection level is not known.
DISPLAY_FLOOR_RLU = 5.0
TOO_CLEAN_FACTOR = 10.0


@dataclass(frozen=True)
class Reduction:
    """How far readings came down; every array has the shape of the readings.

    ``operator`` says what kind of number ``log10`` is: ``=``, ``>=`` (at least), ``<=`` (at most) or ``?`` (cannot
    tell; the number is NaN). ``low_log10`` and ``high_log10`` are the ends of the interval, infinite on an open side.
    ``met`` holds ``met``, ``not-met``, ``too-clean-at-the-start`` or ``cannot-tell``, or is None without a target.
    A rise is a negative reduction: factor below 1, percent below 0.
    """

    log10: Array
    low_log10: Array
    high_log10: Array
    operator: NDArray[np.str_]
    met: NDArray[np.str_] | None

    @property
    def factor(self) -> Array:
        """Before over after."""
        return np.asarray(10.0**self.log10)

    @property
    def left_frac(self) -> Array:
        """After over before."""
        return np.asarray(10.0**-self.log10)

    @property
    def percent(self) -> Array:
        """Percent taken away."""
        return percent_from_log10(self.log10)

    @property
    def half_width_log10(self) -> Array:
        """Half the length of the interval; infinite where a side is open."""
        return np.asarray((self.high_log10 - self.low_log10) / 2.0)

    @property
    def percent_interval(self) -> tuple[Array, Array]:
        """The ends of the interval in percent taken away; an open side reads 100 or minus infinity."""
        return percent_from_log10(self.low_log10), percent_from_log10(self.high_log10)


def reduction(
    before_low_rlu: ArrayLike,
    before_high_rlu: ArrayLike,
    after_low_rlu: ArrayLike,
    after_high_rlu: ArrayLike,
    *,
    spread_log10: float,
    degrees_of_freedom: float = math.inf,
    n_before: ArrayLike = 1,
    n_after: ArrayLike = 1,
    coverage: float = 0.95,
    target_log10: float | None = None,
    detection_rlu: float | None = None,
) -> Reduction:
    """Return the reduction of net readings that are known, or only known to lie between two bounds.

    Parameters
    ----------
    before_low_rlu, before_high_rlu, after_low_rlu, after_high_rlu : array_like
        Bounds of the net reading (geometric mean, where several swabs were averaged), RLU: equal for a measured number,
        ``0`` and the level for "below", the top of the range and infinity for "over range". 0 or more, low not above
        high, high above 0.
    spread_log10 : float
        Repeatability of one swab, log10, above 0.
    degrees_of_freedom : float
        Behind the repeatability, above 0; infinity where it is taken as known.
    n_before, n_after : array_like
        Swabs averaged in each, 1 or more.
    coverage : float
        Of the interval, above 0 and below 1. The answer to the target is one-sided at the same coverage.
    target_log10 : float or None
        The agreed reduction, log10 above 0 (1 is 90 %); None where none was agreed.
    detection_rlu : float or None
        The instrument's own detection level, net RLU above 0; None where it is not known, then 5 RLU stands in.

    Returns
    -------
    Reduction
        A bound on either side makes the reduction a bound. The target is ``met`` where the one-sided lower end reaches
        it, ``not-met`` where the reduction itself (its upper bound) stays below it, ``too-clean-at-the-start`` where
        the start, alone, lies below ten times the detection level, and ``cannot-tell`` otherwise.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above; a measured 0 has no logarithm and is refused.

    Source
    ------
    Propagation of independent log errors, JCGM 100:2008 clause 5; t quantile of its Annex G. Holds for log-normal
    reading errors of one size on both sides; where disinfectant left on the surface dims the light of the second
    reading to half, the reduction reads 0.30 too high.

    Examples
    --------
    >>> found = reduction(1000, 1000, 100, 100, spread_log10=0.17, target_log10=1.0)
    >>> found.log10.item(), [round(end.item(), 1) for end in found.percent_interval], found.met.item()
    (1.0, [70.4, 96.6], 'cannot-tell')
    >>> below = reduction(1000, 1000, 0, 10, spread_log10=0.17)  # after: below 10 RLU
    >>> below.operator.item(), below.factor.item()
    ('>=', 100.0)
    """
    before_low, before_high = _log_bounds("before", before_low_rlu, before_high_rlu)
    after_low, after_high = _log_bounds("after", after_low_rlu, after_high_rlu)
    low, high = np.broadcast_arrays(_less(before_low, after_high), _less(before_high, after_low))
    spread = real("spread_log10", spread_log10, above=0.0)
    probability("coverage", coverage)
    u = spread * np.sqrt(1.0 / wholes("n_before", n_before, at_least=1) + 1.0 / wholes("n_after", n_after, at_least=1))
    reach = coverage_factor(coverage, degrees_of_freedom) * u
    open_low, open_high = np.isinf(low), np.isinf(high)
    value = np.where(open_low, np.where(open_high, np.nan, high), low)
    measured = (low == high) & ~open_low
    operator = np.select([measured, ~open_low, ~open_high], ["=", ">=", "<="], "?")
    ends = np.where(open_low, -np.inf, value - reach), np.where(measured | open_low, value + reach, np.inf)
    met = None
    if target_log10 is not None:
        target = real("target_log10", target_log10, above=0.0)
        one_sided = coverage_factor(coverage, degrees_of_freedom, one_sided=True) * u
        met = _met(before_high, low, high, target, one_sided, detection_rlu)
    return Reduction(value, ends[0], np.where(operator == "?", np.inf, ends[1]), operator, met)


def mean_reduction(before_rlu: ArrayLike, after_rlu: ArrayLike, *, coverage: float = 0.95) -> Reduction:
    """Return the geometric mean reduction over several points, with the t interval of the points themselves.

    Parameters
    ----------
    before_rlu, after_rlu : array_like, shape (n,)
        Net readings of the same points in the same order, RLU above 0; two points or more. Average the swabs of a point
        first: swabs of one point are not points.
    coverage : float
        Of the interval, above 0 and below 1.

    Returns
    -------
    Reduction
        One number; its interval holds reading errors and real differences between points together.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above; bounds ("below", "over range") have no place in a mean. Also
        where all points fall by the same factor: the interval is made of their differences.

    Source
    ------
    t interval of paired log differences (Student 1908), turned back into a geometric mean.

    Examples
    --------
    >>> found = mean_reduction([900, 1200, 700], [60, 150, 50])
    >>> found.percent.round(1).item(), found.low_log10.round(2).item(), found.high_log10.round(2).item()
    (91.6, 0.7, 1.45)
    """
    before = sample("before_rlu", before_rlu, count=2, above=0.0)
    after = sample("after_rlu", after_rlu, count=2, above=0.0)
    if before.size != after.size:
        raise OutOfRange("after_rlu", after.size, N_("as many readings as before ({count})"), count=before.size)
    fall = np.log10(before) - np.log10(after)
    mean = fall.mean()
    squares = ((fall - mean) ** 2).sum()
    if squares <= 1e-24:
        raise OutOfRange("after_rlu", float(after[0]), N_("points that do not all fall by the same factor"))
    u = math.sqrt(squares / (fall.size - 1) / fall.size)
    reach = coverage_factor(probability("coverage", coverage), fall.size - 1) * u
    return Reduction(np.asarray(mean), np.asarray(mean - reach), np.asarray(mean + reach), np.asarray("="), None)


def reduction_from_percent(percent: ArrayLike, low_percent: ArrayLike, high_percent: ArrayLike) -> Reduction:
    """Return a reduction that somebody else stated in percent with its interval.

    Parameters
    ----------
    percent, low_percent, high_percent : array_like
        Percent taken away and the ends of its interval, below 100, the middle one between the ends.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Examples
    --------
    >>> stated = reduction_from_percent(32, 16, 44)
    >>> stated.left_frac.round(2).item(), stated.log10.round(4).item()
    (0.68, 0.1675)
    """
    value, low, high = map(log10_from_percent, (percent, low_percent, high_percent))
    if np.any((low > value) | (value > high)):
        raise OutOfRange("percent", percent, N_("a value between the ends of its interval"))
    return Reduction(value, low, high, np.full(value.shape, "="), None)


def percent_from_log10(log10_reduction: ArrayLike) -> Array:
    """Return percent taken away for a log10 reduction.

    Examples
    --------
    >>> percent_from_log10([1.0, 2.0, 0.5]).round(3).tolist()
    [90.0, 99.0, 68.377]
    """
    return np.asarray(100.0 * (1.0 - 10.0 ** -np.asarray(log10_reduction, dtype=np.float64)))


def log10_from_percent(percent: ArrayLike) -> Array:
    """Return the log10 reduction for a percentage taken away, below 100.

    Raises
    ------
    OutOfRange
        At 100 or more: all of it taken away has no logarithm.

    Examples
    --------
    >>> log10_from_percent([32, 90]).round(4).tolist()
    [0.1675, 1.0]
    """
    taken = reals("percent", percent, below=100.0)
    return np.asarray(-np.log10(1.0 - taken / 100.0))


def _log_bounds(side: str, low_rlu: ArrayLike, high_rlu: ArrayLike) -> tuple[Array, Array]:
    """Return the logs of two bounds; a lower bound of 0 is minus infinity."""
    low = reals(f"{side}_low_rlu", low_rlu, at_least=0.0)
    high = reals(f"{side}_high_rlu", high_rlu, above=0.0, infinite=True)
    low, high = np.broadcast_arrays(low, high)
    if np.any(low > high):
        wrong = float(low[low > high].flat[0])
        raise OutOfRange(f"{side}_low_rlu", wrong, N_("not above the upper bound"))
    with np.errstate(divide="ignore"):
        return np.asarray(np.log10(low)), np.asarray(np.log10(high))


def _less(first: Array, second: Array) -> Array:
    """Subtract two logs; two infinities of one sign leave nothing known, on that side."""
    with np.errstate(invalid="ignore"):
        return np.asarray(first - second)


def _met(before_high: Array, low: Array, high: Array, target: float, one_sided: Array,
         detection_rlu: float | None) -> NDArray[np.str_]:
    floor = DISPLAY_FLOOR_RLU if detection_rlu is None else real("detection_rlu", detection_rlu, above=0.0)
    # From the start alone: an answer that looked at the end too would be a second chance.
    too_clean = before_high < math.log10(TOO_CLEAN_FACTOR * floor)
    # Twelve digits: an answer on the very line is the same on every machine.
    met = np.round(low, 12) >= np.round(target + one_sided, 12)
    not_met = np.round(high, 12) < round(target, 12)
    return np.select(np.broadcast_arrays(too_clean, met, not_met), [TOO_CLEAN, MET, NOT_MET], CANNOT_TELL)

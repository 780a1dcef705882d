"""How fast surfaces soil again, and when the next visit is due: where the upper prediction meets the limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, real, sample
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.mixed_model import RandomPart, mixed_fit

OWN, OF_ALL = "own", "of-all"
LEAST_INTERVALS = 3
LEVELS_OFF, NO_GROWTH, FEW_PLACES, ONE_LENGTH = "levels-off", "no-growth", "few-places", "one-length"
_PLACES_FOR_RANDOM_SLOPE = 3
_STEPS = 1000


@dataclass(frozen=True)
class Due:
    """When one place is due, days after a visit.

    ``at_the_longest`` where the upper prediction stays below the limit as far as was ever seen: the longest interval
    seen, or agreed, stands in; 0 days where it lies above the limit from the start.
    """

    place: str
    days: float
    at_the_longest: bool
    basis: str
    intervals: int


@dataclass(frozen=True)
class Resoiling:
    """Level left, growth a day (log10; of log10(1 + days) where ``log_time``), and when each place is due.

    ``upper`` holds days, mean and upper prediction for all places together, up to the longest interval seen.
    """

    level: float
    growth: float
    growth_interval: tuple[float, float]
    longest_days: float
    coverage: float
    log_time: bool
    due: tuple[Due, ...]
    days: tuple[float, ...]
    mean: tuple[float, ...]
    upper: tuple[float, ...]
    remarks: tuple[str, ...]


def resoiling(places: Sequence[str], days: ArrayLike, left_log10: ArrayLike, found_log10: ArrayLike, *,
              limit_log10: float, coverage: float = 0.9, longest_days: float | None = None,
              log_time: bool = False) -> Resoiling:
    """Return the growth between visits and when the next one is due.

    Parameters
    ----------
    places : sequence of str, length n
        Of each interval; three intervals or more.
    days : array_like, shape (n,)
        Length of each interval, above 0.
    left_log10, found_log10 : array_like, shape (n,)
        Level at its beginning, as left, and at its end, as found.
    limit_log10 : float
        The level that must not be reached.
    coverage : float
        One-sided, of the upper prediction of one later visit, above 0 and below 1; 0.8 to 0.95 are usual.
    longest_days : float or None
        Longest interval agreed, above 0; None: the longest seen. Nothing is extrapolated beyond what was seen.
    log_time : bool
        Growth that levels off: along log10(1 + days).

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Linear growth of the log level with place-wise slopes by restricted likelihood; prediction of a single later visit.
    A practice of fleets; no published growth rate of vehicle interiors is known to the project. A place with three
    intervals of its own or more is judged by its own line, any other by the line of all.

    Examples
    --------
    >>> found = resoiling(["a"] * 4, [5, 10, 15, 20], [1.0] * 4, [1.21, 1.38, 1.62, 1.79], limit_log10=1.7)
    >>> round(found.growth, 3), found.due[0].basis, round(found.due[0].days, 1), found.due[0].at_the_longest
    (0.04, 'own', 17.0, False)
    """
    lengths = sample("days", days, count=LEAST_INTERVALS, above=0.0)
    left, seen = (sample(name, values, count=LEAST_INTERVALS)
                  for name, values in (("left_log10", left_log10), ("found_log10", found_log10)))
    if not left.size == seen.size == lengths.size == len(places):
        raise OutOfRange("found_log10", seen.size, N_("one for each interval ({n})"), n=lengths.size)
    limit, covered = real("limit_log10", limit_log10), probability("coverage", coverage)
    reach = float(lengths.max())
    if longest_days is not None:
        reach = min(reach, real("longest_days", longest_days, above=0.0))
    along = _along(log_time)
    names = np.array([*places, *places])
    time, level = np.concatenate([np.zeros(lengths.size), lengths]), np.concatenate([left, seen])
    line = _together(names, along(time), level, covered)
    due = []
    for place in sorted(set(places)):
        own = names == place
        count = int(own.sum()) // 2
        basis = OWN if count >= LEAST_INTERVALS else OF_ALL
        used = _alone(along(time[own]), level[own], covered) if basis == OWN else line
        own_reach = min(reach, float(time[own].max())) if basis == OWN else reach
        met, clipped = _meets(_upper_of(used, along), limit, own_reach)
        due.append(Due(place, met, clipped, basis, count))
    grid = np.linspace(0.0, float(lengths.max()), 61)
    return Resoiling(line.intercept, line.slope, line.slope_interval, float(lengths.max()), covered, log_time,
                     tuple(due), tuple(grid.tolist()), tuple(line.mean(along(grid)).tolist()),
                     tuple(line.upper(along(grid)).tolist()), _remarks(names, time, level, line, log_time))


@dataclass(frozen=True)
class _Line:
    intercept: float
    slope: float
    slope_interval: tuple[float, float]
    covariance: Array
    between: Array
    residual_variance: float
    factor: float

    def mean(self, x: Array) -> Array:
        return np.asarray(self.intercept + self.slope * x)

    def upper(self, x: Array) -> Array:
        terms = self.covariance + self.between
        variance = terms[0, 0] + 2.0 * x * terms[0, 1] + x * x * terms[1, 1] + self.residual_variance
        return np.asarray(self.mean(x) + self.factor * np.sqrt(variance))


def _alone(x: Array, y: Array, coverage: float) -> _Line:
    design = np.column_stack([np.ones(x.size), x])
    inverse = np.linalg.inv(design.T @ design)
    beta = inverse @ design.T @ y
    freedom = x.size - 2
    variance = float(np.sum((y - design @ beta) ** 2)) / freedom
    half = float(coverage_factor(0.95, freedom)) * math.sqrt(variance * inverse[1, 1])
    return _Line(float(beta[0]), float(beta[1]), (float(beta[1]) - half, float(beta[1]) + half), variance * inverse,
                 np.zeros((2, 2)), variance, float(coverage_factor(coverage, freedom, one_sided=True)))


def _together(names: Array, x: Array, y: Array, coverage: float) -> _Line:
    places = len(set(names.tolist()))
    if places < _PLACES_FOR_RANDOM_SLOPE:
        return _alone(x, y, coverage)
    fit = mixed_fit(np.column_stack([np.ones(x.size), x]), y, [RandomPart.level_and_slope(names, x)])
    # Few places know little of how places differ: their number, and not that of the readings, is behind the factor.
    freedom = places - 1
    slope, half = float(fit.coefficients[1]), float(coverage_factor(0.95, freedom)) * float(fit.standard_errors[1])
    return _Line(float(fit.coefficients[0]), slope, (slope - half, slope + half), fit.covariance, fit.parts[0],
                 fit.residual_variance, float(coverage_factor(coverage, freedom, one_sided=True)))


def _upper_of(line: _Line, along: Callable[[Array], Array]) -> Callable[[Array], Array]:
    """Return the upper prediction of a line by days."""
    return lambda days: line.upper(along(days))


def _meets(upper: Callable[[Array], Array], limit: float, reach: float) -> tuple[float, bool]:
    days = np.linspace(0.0, reach, _STEPS + 1)
    above = np.flatnonzero(upper(days) >= limit)
    return (float(days[above[0]]), False) if above.size else (reach, True)


def _along(log_time: bool) -> Callable[[Array], Array]:
    return (lambda t: np.log10(1.0 + np.asarray(t))) if log_time else (lambda t: np.asarray(t, dtype=np.float64))


def _remarks(names: Array, time: Array, level: Array, line: _Line, log_time: bool) -> tuple[str, ...]:
    found = []
    if len(set(names.tolist())) < _PLACES_FOR_RANDOM_SLOPE:
        found.append(FEW_PLACES)
    if line.slope_interval[0] <= 0.0:
        found.append(NO_GROWTH)
    if len(set(time.tolist())) < 3:
        found.append(ONE_LENGTH)
    elif not log_time and _bends_down(time, level):
        found.append(LEVELS_OFF)
    return tuple(found)


def _bends_down(time: Array, level: Array) -> bool:
    design = np.column_stack([np.ones(time.size), time, time * time])
    if time.size < 6 or np.linalg.matrix_rank(design) < 3:
        return False
    inverse = np.linalg.inv(design.T @ design)
    beta = inverse @ design.T @ level
    variance = float(np.sum((level - design @ beta) ** 2)) / (time.size - 3)
    return bool(beta[2] < -2.0 * math.sqrt(variance * inverse[2, 2]))

"""Charts over time: whether a stream of readings, or of points cleaned again, has stayed what it was."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike
from scipy.special import bdtr, gammaincc

from tersum.arguments import Array, probability, real, reals, sample, whole, wholes
from tersum.errors import N_, OutOfRange

_D2 = 1.128  # mean range of two normal values over their standard deviation
_D4 = 3.267  # upper limit of such a range over its mean
ENOUGH_TO_SET_LIMITS = 20
_NORMAL_TAIL = 0.00135  # beyond three standard deviations, one side


@dataclass(frozen=True)
class IndividualsChart:
    """Single values and their moving range, with limits of three standard deviations.

    ``few`` where the limits rest on fewer than 20 values: they then ring wrongly far more often than stated.
    """

    center: float
    moving_range: float
    lower: float
    upper: float
    range_upper: float
    outside: tuple[int, ...]
    few: bool


@dataclass(frozen=True)
class EwmaChart:
    """Exponentially weighted means of streams, their limits at each time, and the first time outside (-1: never)."""

    ewma: Array
    lower: Array
    upper: Array
    first_outside: npt.NDArray[np.intp]


@dataclass(frozen=True)
class CusumChart:
    """Sums of what lies beyond target plus or minus the allowance, and the first time above the limit (-1: never)."""

    high: Array
    low: Array
    first_above: npt.NDArray[np.intp]


@dataclass(frozen=True)
class CountChart:
    """Counts or shares against limits; ``outside`` are places in the series, from 0."""

    center: float
    lower: Array
    upper: Array
    outside: tuple[int, ...]
    exact: bool


def individuals(values: ArrayLike, *, d2: float = _D2, d4: float = _D4) -> IndividualsChart:
    """Return the chart of single values, one a visit.

    Parameters
    ----------
    values : array_like, shape (n,)
        In the order in which they came: log10 means of a visit and class, since readings of one visit are no separate
        news; two or more, neighbours not all alike.
    d2, d4 : float
        Constants of the range of two.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.2.2 (read). False alarm once in 370 with known limits; a shift of one standard
    deviation is found after 44 values.

    Examples
    --------
    >>> chart = individuals([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(chart.upper, 4), chart.outside, chart.few
    (55.8041, (), True)
    """
    series = sample("values", values, count=2)
    spread = float(np.abs(np.diff(series)).mean())
    if spread == 0.0:
        raise OutOfRange("values", float(series[0]), N_("values that are not all equal"))
    half = 3.0 * spread / real("d2", d2, above=0.0)
    center = float(series.mean())
    outside = np.flatnonzero(np.abs(series - center) > half)
    return IndividualsChart(center, spread, center - half, center + half, real("d4", d4, above=0.0) * spread,
                            tuple(outside.tolist()), series.size < ENOUGH_TO_SET_LIMITS)


def ewma(values: ArrayLike, *, target: ArrayLike, sigma: ArrayLike, lam: float = 0.2, width: float = 2.962,
         exact_start: bool = True) -> EwmaChart:
    """Return exponentially weighted means of one stream or many.

    Parameters
    ----------
    values : array_like, shape (times,) or (times, streams)
        In the order in which they came, times first.
    target, sigma : array_like
        In-control mean and standard deviation, one or one a stream; sigma above 0, from 20 values or more.
    lam : float
        Weight of the newest, above 0, up to 1.
    width : float
        Limits in standard deviations of the weighted mean, above 0: 2.962 with 0.2 rings wrongly once in 500.
    exact_start : bool
        Narrower limits for the first values, whose weighted mean has not yet spread; False: those of later ones.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.2.4 (read in transcriptions); Lucas & Saccucci 1990, Technometrics 32:1 (run lengths;
    memory, computed in :mod:`tersum.evidence.run_length`). Values that hang together ring more often.

    Examples
    --------
    >>> chart = ewma([52.0, 47.0, 53.0], target=50.0, sigma=2.0539, lam=0.3, width=3.0, exact_start=False)
    >>> chart.ewma.round(2).tolist(), chart.upper.round(2).tolist()[-1]
    ([50.6, 49.52, 50.56], 52.59)
    """
    series = _streams(values)
    weight, times = real("lam", lam, above=0.0, at_most=1.0), real("width", width, above=0.0)
    middle, spread = reals("target", target), reals("sigma", sigma, above=0.0)
    found = np.empty_like(series)
    state = np.broadcast_to(middle, series.shape[1:]).astype(np.float64)
    step = np.empty_like(state)
    for place, row in enumerate(series):
        np.subtract(row, state, out=step)
        step *= weight
        state += step
        found[place] = state
    grown = 1.0 - (1.0 - weight) ** (2.0 * np.arange(1, len(series) + 1)) if exact_start else np.ones(len(series))
    half = times * np.sqrt(weight / (2.0 - weight) * grown)
    half = half.reshape((-1,) + (1,) * (series.ndim - 1)) * spread
    outside = np.abs(found - middle) > half
    return EwmaChart(found, middle - half, middle + half, _first(outside))


def cusum(values: ArrayLike, *, target: ArrayLike, allowance: float, limit: float) -> CusumChart:
    """Return cumulative sums of one stream or many, both ways.

    Parameters
    ----------
    values : array_like, shape (times,) or (times, streams)
        In the order in which they came, times first.
    target : array_like
        In-control mean, one or one a stream.
    allowance : float
        Half the shift that matters, 0 or more: half a standard deviation for a shift of one.
    limit : float
        Above which a sum signals, above 0: four standard deviations ring wrongly once in 168, five once in 465.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.2.3, tabular form (read in transcriptions); its design formula does not give the limit
    it prints, so allowance and limit are inputs.

    Examples
    --------
    >>> chart = cusum([0.2, 1.5, 1.2, 2.0], target=0.0, allowance=0.5, limit=2.5)
    >>> chart.high.round(2).tolist(), int(chart.first_above)
    ([0.0, 1.0, 1.7, 3.2], 3)
    """
    series, middle = _streams(values), reals("target", target)
    slack, level = real("allowance", allowance, at_least=0.0), real("limit", limit, above=0.0)
    high, low = np.empty_like(series), np.empty_like(series)
    up, down = np.zeros(series.shape[1:]), np.zeros(series.shape[1:])
    above, below = middle + slack, middle - slack
    for place, row in enumerate(series):
        up += row - above
        np.maximum(up, 0.0, out=up)
        down += below - row
        np.maximum(down, 0.0, out=down)
        high[place], low[place] = up, down
    return CusumChart(high, low, _first((high > level) | (low > level)))


def p_chart(failing: ArrayLike, looked_at: ArrayLike, *, center_frac: float | None = None,
            exact: bool | None = None) -> CountChart:
    """Return the chart of shares, such as points cleaned again of those cleaned.

    Parameters
    ----------
    failing, looked_at : array_like, shape (n,) (``looked_at`` may be one number)
        Whole numbers; failing 0 to looked_at, looked_at 1 or more.
    center_frac : float or None
        In-control share, above 0 and below 1; None: the share of all.
    exact : bool or None
        Binomial limits; None: where a group is below 20 or expects fewer than 5, where three standard deviations lie
        below 0 or ring for nothing.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or none or all failed and no centre is given.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.3.2 (read). Exact limits leave at most 0.00135 on either side.

    Examples
    --------
    >>> chart = p_chart([1, 0, 2, 6], 8, center_frac=0.1)
    >>> chart.exact, chart.outside
    (True, (3,))
    """
    count, size = np.broadcast_arrays(wholes("failing", failing), wholes("looked_at", looked_at, at_least=1))
    if count.ndim != 1 or np.any(count > size):
        raise OutOfRange("failing", float(count.max()), N_("a flat list of numbers, none above those looked at"))
    center = float(count.sum() / size.sum()) if center_frac is None else center_frac
    probability("center_frac", center)
    small = bool((size.min() < 20) or (size * center).min() < 5.0) if exact is None else exact
    if not small:
        half = 3.0 * np.sqrt(center * (1.0 - center) / size)
        lower, upper = np.maximum(center - half, 0.0), np.minimum(center + half, 1.0)
    else:
        ends = {int(n): _binomial_ends(int(n), center) for n in np.unique(size)}
        lower, upper = (np.array([ends[int(n)][end] / n for n in size]) for end in (0, 1))
    share = count / size
    outside = np.flatnonzero((share < lower) | (share > upper))
    return CountChart(center, np.asarray(lower), np.asarray(upper), tuple(outside.tolist()), small)


def c_chart(counts: ArrayLike, *, center: float | None = None, exact: bool | None = None) -> CountChart:
    """Return the chart of counts, such as faults a visit.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Whole numbers, 0 or more.
    center : float or None
        In-control mean, above 0; None: the mean of all.
    exact : bool or None
        Poisson limits; None: where the mean is below 5.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.3.1 (read); exact limits as for :func:`p_chart`.

    Examples
    --------
    >>> c_chart([16, 14, 28, 16, 31, 12], center=16.0).outside
    (4,)
    """
    series = wholes("counts", counts)
    if series.ndim != 1 or series.size < 1:
        raise OutOfRange("counts", series.size, N_("a flat list of counts"))
    middle = real("center", float(series.mean()) if center is None else center, above=0.0)
    small = middle < 5.0 if exact is None else exact
    if small:
        lower, upper = _poisson_ends(middle)
    else:
        lower, upper = max(middle - 3.0 * math.sqrt(middle), 0.0), middle + 3.0 * math.sqrt(middle)
    outside = np.flatnonzero((series < lower) | (series > upper))
    return CountChart(middle, np.full(series.size, lower), np.full(series.size, upper), tuple(outside.tolist()), small)


def funnel(failing: ArrayLike, looked_at: ArrayLike, *, center_frac: float | None = None,
           tail: float = 0.001) -> CountChart:
    """Return which places lie beyond exact limits about the share of all: places, not people, and no ranking.

    Parameters
    ----------
    failing, looked_at, center_frac
        As for :func:`p_chart`, one a place of like use and like surfaces.
    tail : float
        At most so much lies beyond either limit by chance, above 0 and below 0.5: 0.001 for 99.8 %. Of 20 places one
        lies outside 95 % limits by chance.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Spiegelhalter 2005, Stat. Med. 24:1185 (known from memory), with exact binomial limits.

    Examples
    --------
    >>> funnel([2, 3, 1, 9], [20, 25, 15, 20], center_frac=0.12).outside
    (3,)
    """
    count, size = np.broadcast_arrays(wholes("failing", failing), wholes("looked_at", looked_at, at_least=1))
    if count.ndim != 1 or np.any(count > size):
        raise OutOfRange("failing", float(count.max()), N_("a flat list of numbers, none above those looked at"))
    center = probability("center_frac", float(count.sum() / size.sum()) if center_frac is None else center_frac)
    beyond = real("tail", tail, above=0.0, below=0.5)
    ends = [_binomial_ends(int(n), center, tail=beyond) for n in size]
    lower, upper = (np.array([end[side] for end in ends], dtype=np.float64) for side in (0, 1))
    outside = np.flatnonzero((count < lower) | (count > upper))
    return CountChart(center, lower / size, upper / size, tuple(outside.tolist()), exact=True)


def comes_back_dirty(dirty: ArrayLike, visits: ArrayLike, *, usual_frac: float, risk: float = 0.01) -> Array:
    """Return, for each point, whether it was dirty as found more often than the usual share explains.

    Parameters
    ----------
    dirty, visits : array_like, shape (n,)
        Visits at which it was above its limit as found, and visits at which it was read so.
    usual_frac : float
        The share over all points of its class, above 0 and below 1.
    risk : float
        Of naming a point wrongly, for all points together (Bonferroni), above 0 and below 1.

    Returns
    -------
    ndarray of bool

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Upper binomial tail.

    Examples
    --------
    >>> comes_back_dirty([1, 7], [10, 9], usual_frac=0.2).tolist()
    [False, True]
    """
    count, size = np.broadcast_arrays(wholes("dirty", dirty), wholes("visits", visits, at_least=1))
    if np.any(count > size):
        raise OutOfRange("dirty", float(count.max()), N_("no more than the visits"))
    usual, doubt = probability("usual_frac", usual_frac), probability("risk", risk)
    tail = np.where(count == 0, 1.0, 1.0 - bdtr(np.maximum(count - 1, 0), size.astype(int), usual))
    return np.asarray(tail <= doubt / max(count.size, 1))


def _streams(values: ArrayLike) -> Array:
    series = reals("values", values)
    if series.ndim not in (1, 2) or series.shape[0] < 1:
        raise OutOfRange("values", series.ndim, N_("values by time, or by time and stream"))
    return series


def _first(flags: npt.NDArray[np.bool_]) -> npt.NDArray[np.intp]:
    return np.asarray(np.where(flags.any(axis=0), flags.argmax(axis=0), -1))


def _binomial_ends(n: int, share: float, *, tail: float = _NORMAL_TAIL) -> tuple[float, float]:
    """Return the fewest and the most that are not beyond the tails."""
    below = bdtr(np.arange(n + 1, dtype=np.float64), n, share)
    fewest = int(np.searchsorted(below, tail, "right"))  # P(X <= k) above the tail: k itself is inside
    most = int(np.searchsorted(below, 1.0 - tail, "left"))
    return float(fewest), float(min(most, n))


def _poisson_ends(mean: float) -> tuple[float, float]:
    top = int(mean + 12.0 * math.sqrt(mean) + 20)
    below = gammaincc(np.arange(1, top + 1), mean)  # P(X <= k)
    return float(np.searchsorted(below, _NORMAL_TAIL, "right")), float(np.searchsorted(below, 1.0 - _NORMAL_TAIL))


def enough_to_set_limits(n: int) -> bool:
    """Return whether limits may be set from so many in-control values.

    Examples
    --------
    >>> enough_to_set_limits(19), enough_to_set_limits(20)
    (False, True)
    """
    return whole("n", n) >= ENOUGH_TO_SET_LIMITS

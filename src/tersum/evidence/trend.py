"""Whether a series drifts or jumps: Mann-Kendall with Sen's slope, the best single break, and dirt carried along."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from tersum.arguments import Array, probability, sample, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.ranks import ranks


@dataclass(frozen=True)
class Trend:
    """Mann-Kendall's statistic, its variance with ties, and Sen's slope a step.

    ``neighbours`` is the correlation of neighbours of what is left after the slope; where it is high the p-value is too
    small. A jump makes a trend too: this does not say what changed.
    """

    s: int
    variance: float
    z: float
    p_two_sided: float
    slope: float
    neighbours: float


@dataclass(frozen=True)
class Break:
    """The best single break: the last place before it (from 1), the means on both sides, and Pettitt's test."""

    last_before: int
    mean_before: float
    mean_after: float
    pettitt_place: int
    pettitt_p: float


@dataclass(frozen=True)
class CarriedAlong:
    """Rank correlation of what is left with the order of wiping, and how often chance gives as much, one-sided."""

    rank_correlation: float
    p: float
    points: int


def mann_kendall(values: ArrayLike) -> Trend:
    """Return the trend of a series.

    Parameters
    ----------
    values : array_like, shape (n,)
        Evenly spaced, in the order in which they came; four or more, not all equal.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Mann 1945, Kendall 1975 (figures read), tie-corrected, with continuity correction; Sen 1968 for the slope.

    Examples
    --------
    >>> found = mann_kendall([1.0, 3.0, 2.0, 4.0, 5.0, 6.0])
    >>> found.s, round(found.p_two_sided, 3), found.slope
    (13, 0.024, 1.0)
    """
    series = sample("values", values, count=4)
    if np.ptp(series) == 0.0:
        raise OutOfRange("values", float(series[0]), N_("values that are not all equal"))
    rows, columns = np.triu_indices(series.size, 1)
    rise = series[columns] - series[rows]
    s, n = int(np.sign(rise).sum()), series.size
    ties = np.unique(series, return_counts=True)[1]
    variance = float(n * (n - 1) * (2 * n + 5) - (ties * (ties - 1) * (2 * ties + 5)).sum()) / 18.0
    z = (s - math.copysign(1.0, s)) / math.sqrt(variance) if s else 0.0
    slope = float(np.median(rise / (columns - rows)))
    left = series - slope * np.arange(n)
    left = left - left.mean()
    squares = float(left @ left)
    return Trend(s, variance, z, 2.0 * float(ndtr(-abs(z))), slope,
                 float(left[1:] @ left[:-1]) / squares if squares > 0.0 else 0.0)


def single_break(values: ArrayLike) -> Break:
    """Return where a series changes its level once, by least squares and by Pettitt's test.

    Parameters
    ----------
    values : array_like, shape (n,)
        In the order in which they came; four or more, not all equal.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Least-squares split (strucchange's output for the Nile read); Pettitt 1979, Appl. Stat. 28:126, approximate p-value
    (known from memory). There is always a best break: the p-value says whether to believe it.

    Examples
    --------
    >>> found = single_break([5.1, 5.0, 5.2, 5.1, 7.0, 7.1, 6.9, 7.2])
    >>> found.last_before, round(found.mean_after - found.mean_before, 2)
    (4, 1.95)
    """
    series = sample("values", values, count=4)
    if np.ptp(series) == 0.0:
        raise OutOfRange("values", float(series[0]), N_("values that are not all equal"))
    n = series.size
    about = series - series.mean()
    sums, before = np.cumsum(about)[:-1], np.arange(1, n)
    # What a split takes off the squares: both means are told by the sum before it.
    last = int(np.argmax(sums**2 * (1.0 / before + 1.0 / (n - before)))) + 1
    above = np.sign(series[:, None] - series[None, :]).sum(axis=1)
    u = np.abs(np.cumsum(above)[:-1])
    p = min(2.0 * math.exp(-6.0 * float(u.max()) ** 2 / (n**3 + n**2)), 1.0)
    return Break(last, float(series[:last].mean()), float(series[last:].mean()), int(np.argmax(u)) + 1, p)


def carried_along(left_log10: ArrayLike, *, rng: np.random.Generator, draws: int = 10_000) -> CarriedAlong:
    """Return whether what is left grows along the order of wiping, as it does where a cloth or a bucket carries dirt.

    Parameters
    ----------
    left_log10 : array_like, shape (n,)
        What is left after, in the order of wiping, best less what that point usually has; four or more.
    rng : numpy Generator
        Draws other orders.
    draws : int
        How many, 100 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Spearman's rank correlation, p-value from drawn orders. Points wiped last may be the dirtiest ones by habit: then
    this says nothing of the cloth. Swab cloth and solution.

    Examples
    --------
    >>> found = carried_along([1.0, 1.2, 1.1, 1.5, 1.6, 1.9, 2.0], rng=np.random.default_rng(1))
    >>> round(found.rank_correlation, 2), found.p < 0.01
    (0.96, True)
    """
    series, times = sample("left_log10", left_log10, count=4), whole("draws", draws, at_least=100)
    order = ranks(series)
    if np.ptp(order) == 0.0:
        return CarriedAlong(0.0, 1.0, series.size)
    place = np.arange(series.size) - (series.size - 1) / 2.0
    about = order - order.mean()
    scale = math.sqrt(float(about @ about) * float(place @ place))
    seen = float(about @ place)
    drawn = rng.permuted(np.broadcast_to(about, (times, series.size)), axis=1) @ place
    return CarriedAlong(seen / scale, float((drawn >= seen - 1e-9).sum() + 1) / (times + 1), series.size)


def got_dirtier(before_log10: ArrayLike, after_log10: ArrayLike, *, spread_log10: float, risk: float = 0.05) -> Array:
    """Return which points read so much higher after a step meant to lower them that scatter hardly explains it.

    Parameters
    ----------
    before_log10, after_log10 : array_like, shape (n,)
        One a point.
    spread_log10 : float
        Of one swab, above 0.
    risk : float
        Of naming any point where nothing changed, for all together, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    One-sided normal test of a difference of two readings, Bonferroni over the points.

    Examples
    --------
    >>> got_dirtier([2.0, 2.0], [2.3, 3.0], spread_log10=0.2).tolist()
    [False, True]
    """
    one, two = sample("before_log10", before_log10, count=1), sample("after_log10", after_log10, count=1)
    if one.size != two.size:
        raise OutOfRange("after_log10", two.size, N_("as many as before ({n})"), n=one.size)
    z = (two - one) / (math.sqrt(2.0) * float(sample("spread_log10", [spread_log10], count=1, above=0.0)[0]))
    return np.asarray(ndtr(-z) <= probability("risk", risk) / one.size)

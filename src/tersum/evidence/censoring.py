"""Readings that are inequalities: "below detection" and "over range" enter as what they are, not as made-up numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import Array, probability, reals, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.likelihood import CensoredLogs
from tersum.evidence.search import root

_LN10 = math.log(10.0)


@dataclass(frozen=True)
class LognormalFit:
    """Median and spread of readings of which some are inequalities.

    ``spread_log10`` is the likelihood's own value (sum of squares over n where nothing is censored). ``low_log10`` and
    ``high_log10`` bound ``mean_log10``.
    """

    mean_log10: float
    spread_log10: float
    low_log10: float
    high_log10: float
    n: int
    censored: int

    @property
    def geometric_mean_rlu(self) -> float:
        """The median of the fitted distribution."""
        return float(10.0**self.mean_log10)

    @property
    def mean_ln(self) -> float:
        """The mean of natural logs, as most statistics books print it."""
        return self.mean_log10 * _LN10

    @property
    def spread_ln(self) -> float:
        """The spread of natural logs."""
        return self.spread_log10 * _LN10


def marked_bounds(values: ArrayLike, *, below: ArrayLike | None = None,
                  above: ArrayLike | None = None) -> tuple[Array, Array]:
    """Return bounds from values with marks: "below this", "above this" or, unmarked, measured.

    Parameters
    ----------
    values : array_like, shape (n,)
        Readings or levels, above 0.
    below, above : array_like of bool, shape (n,), or None
        True where the value is only a level the reading lay below, or above.

    Raises
    ------
    OutOfRange
        If a value is not above 0, a mark is not a truth value, or a value is marked both ways.

    Examples
    --------
    >>> low, high = marked_bounds([5.0, 12.1], below=[True, False])
    >>> low.tolist(), high.tolist()
    ([0.0, 12.1], [5.0, 12.1])
    """
    value = reals("values", values, above=0.0)
    is_below, is_above = _marks("below", below, value), _marks("above", above, value)
    if np.any(is_below & is_above):
        raise OutOfRange("above", True, N_("a mark below or above, not both"))
    return np.where(is_below, 0.0, value), np.where(is_above, np.inf, value)


def suggested_method(n: int, censored: int) -> str:
    """Return which summary suits, by the number of readings and how many are inequalities.

    Parameters
    ----------
    n : int
        Readings, 1 or more.
    censored : int
        Those of them that are inequalities, 0 to ``n``.

    Returns
    -------
    str
        ``plain`` (none censored), ``ros`` (also Kaplan-Meier), ``likelihood``, ``likelihood-wide`` (half to four fifths
        censored: expect wide intervals) or ``share-only`` (more than that: say only which share lies above a level).

    Raises
    ------
    OutOfRange
        If a count lies outside the range stated above.

    Source
    ------
    Helsel 2012, Statistics for Censored Environmental Data, table of recommended methods (known from memory).

    Examples
    --------
    >>> [suggested_method(24, share) for share in (0, 8, 15, 22)]
    ['plain', 'ros', 'likelihood-wide', 'share-only']
    """
    total = whole("n", n, at_least=1)
    hidden = whole("censored", censored)
    if hidden > total:
        raise OutOfRange("censored", censored, N_("no more than the readings ({n})"), n=total)
    if hidden == 0:
        return "plain"
    if hidden > 0.8 * total:
        return "share-only"
    if hidden >= 0.5 * total:
        return "likelihood-wide"
    return "likelihood" if total >= 50 else "ros"


def lognormal_fit(low: ArrayLike, high: ArrayLike, *, coverage: float = 0.95) -> LognormalFit:
    """Return the log-normal distribution under which readings, some of them inequalities, are most likely.

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Bounds of each reading, RLU: equal where measured, ``0`` and the level for "below", the level and infinity for
        "above". Two different measured numbers at least.
    coverage : float
        Of the interval of the mean, above 0 and below 1.

    Returns
    -------
    LognormalFit
        The interval is a profile-likelihood one, scaled so that it is the t interval where nothing is censored; degrees
        of freedom are those of the measured readings.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Likelihood with the density for measured and the distribution function for censored readings (Helsel 2005; USEPA
    2009 Unified Guidance chapter 15). Holds for log-normal readings; with fewer than about 50, or more than four
    fifths censored, the spread reads low.

    Examples
    --------
    >>> fit = lognormal_fit([0, 0, 12.1, 16.9, 21.6, 7.7, 53.6], [5, 2, 12.1, 16.9, 21.6, 7.7, 53.6])
    >>> round(fit.geometric_mean_rlu, 1), round(fit.spread_log10, 2), fit.censored
    (8.8, 0.57, 2)
    """
    logs = CensoredLogs.of(*checked_bounds(low, high))
    freedom = logs.measured.size - 1
    t = coverage_factor(probability("coverage", coverage), freedom).item()
    step = float(logs.measured.std())
    mean = root(lambda at: logs.profile(at)[2], float(logs.measured.mean()), step)
    least, log_spread, _ = logs.profile(mean)
    allowed = least + 0.5 * logs.n * math.log1p(t * t / freedom)
    ends = [root(lambda at: logs.profile(at)[0] - allowed, mean, side * step) for side in (-1.0, 1.0)]
    return LognormalFit(mean, math.exp(log_spread), ends[0], ends[1], logs.n, logs.n - logs.measured.size)


def checked_bounds(low: ArrayLike, high: ArrayLike) -> tuple[Array, Array]:
    """Return two flat lists of bounds with two different measured readings at least, or refuse them."""
    low_array = reals("low", low, at_least=0.0)
    high_array = reals("high", high, above=0.0, infinite=True)
    if low_array.ndim != 1 or low_array.shape != high_array.shape:
        raise OutOfRange("high", high_array.size, N_("as many upper as lower bounds ({n})"), n=low_array.size)
    if np.any(low_array > high_array):
        raise OutOfRange("low", float(low_array[low_array > high_array][0]), N_("not above the upper bound"))
    if np.unique(low_array[low_array == high_array]).size < 2:
        raise OutOfRange("low", int((low_array == high_array).sum()), N_("two different measured readings or more"))
    return low_array, high_array


def refuse_unless_below(low: Array, high: Array) -> None:
    """Refuse what is neither measured nor wholly below its level."""
    odd = (low != high) & (low > 0.0) | np.isinf(high)
    if np.any(odd):
        raise OutOfRange("high", float(high[odd][0]), N_("measured readings and marks of one side only"))


def _marks(field: str, marks: ArrayLike | None, value: Array) -> NDArray[np.bool_]:
    found = np.zeros(value.shape, dtype=bool) if marks is None else np.asarray(marks)
    if found.dtype != bool or found.shape != value.shape:
        raise OutOfRange(field, marks, N_("one truth value for each reading"))
    return found

"""How far two swabs of one surface differ: the repeatability of an instrument, from its own duplicates."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import gammaincinv, stdtr

from tersum.arguments import Array, probability, real, reals
from tersum.errors import N_, OutOfRange
from tersum.evidence.ranks import ranks

BASES = ("book", "duplicates", "stated")
_STEPS_RLU = (1.0, 0.1, 0.01, 0.001)  # of displays; finer ones are taken as the last
_MOST = 2.0  # a spread of two decades between swabs of one surface is a mistake of unit, not a spread


@dataclass(frozen=True)
class Repeatability:
    """Standard deviation of one swab's log10 reading, the degrees of freedom behind it, and where it is from.

    ``basis`` is ``book`` (a catalogue's value), ``duplicates`` (the instrument's own) or ``stated`` (somebody's word).
    ``at_floor`` is true where the duplicates agree better than the rounding of the display alone lets them, so that the
    spread is the rounding's.
    """

    spread_log10: float
    degrees_of_freedom: float
    basis: str
    at_floor: bool = False

    def __post_init__(self) -> None:
        real("spread_log10", self.spread_log10, above=0.0, at_most=_MOST)
        real("degrees_of_freedom", self.degrees_of_freedom, at_least=1.0, infinite=True)
        if self.basis not in BASES:
            raise OutOfRange("basis", self.basis, N_("{bases}"), bases=", ".join(BASES))


@dataclass(frozen=True)
class DifferenceTrend:
    """Whether the differences of pairs change with the level: rank correlation, -1 to 1, and one-sided p-value.

    ``p_grows_low`` is small where pairs differ more at low readings, as counting noise and display rounding make them.
    """

    rank_correlation: float
    p_grows_low: float


def from_duplicates(first_rlu: npt.ArrayLike, second_rlu: npt.ArrayLike) -> Repeatability:
    """Return the repeatability from planned duplicates on adjacent areas.

    Parameters
    ----------
    first_rlu, second_rlu : array_like, shape (pairs,)
        Net readings of the two swabs of each pair, RLU, above 0. A reading below detection or over range has no place
        here: leave the pair out and say so.

    Returns
    -------
    Repeatability
        One degree of freedom per pair, basis ``duplicates``. Never below :func:`rounding_spread` of the readings: the
        step of the display is the coarsest of 1, 0.1, 0.01 and 0.001 RLU that all readings are multiples of.

    Raises
    ------
    OutOfRange
        If a reading is not above 0, the numbers of readings differ, no pair is given, or no pair differs at all: a
        spread of nothing would release everything below the limit.

    Source
    ------
    ``s = sqrt(sum d**2 / (2 k))`` (Bland & Altman 1999, Stat. Methods Med. Res. 8:135, from memory). Only pairs planned
    before any reading count: a second swab taken because the first was borderline was chosen for its value.

    Examples
    --------
    >>> found = from_duplicates([100, 220, 80], [150, 200, 60])
    >>> round(found.spread_log10, 3), found.degrees_of_freedom
    (0.09, 3.0)
    """
    first = reals("first_rlu", first_rlu, above=0.0).ravel()
    second = reals("second_rlu", second_rlu, above=0.0).ravel()
    if first.size != second.size or first.size < 1:
        raise OutOfRange("second_rlu", second.size, N_("as many as the first, at least one"))
    spread = float(within_sd(np.log10(first), np.log10(second)))
    if spread == 0.0:
        raise OutOfRange("spread_log10", spread, N_("above 0: more duplicates are needed, no pair differs yet"))
    readings = np.concatenate((first, second))
    floor = min(rounding_spread(readings, step_rlu=_display_step(readings)), _MOST)
    return Repeatability(max(spread, floor), float(first.size), "duplicates", at_floor=spread < floor)


def rounding_spread(readings_rlu: npt.ArrayLike, *, step_rlu: float = 1.0) -> float:
    """Return the spread that rounding to the steps of a display puts into log10 readings, whatever else there is.

    Parameters
    ----------
    readings_rlu : array_like, shape (n,)
        Readings, RLU, above 0, at least one.
    step_rlu : float
        Smallest step of the display, RLU, above 0: 1 for whole numbers.

    Returns
    -------
    float
        Root mean square over the readings, log10.

    Source
    ------
    A uniform error of one step has the standard deviation ``step / sqrt(12)`` (JCGM 100:2008 F.2.2.1, from memory); on
    log10 divided by ``x ln 10``. Holds above about 5 steps; below, the log scale itself is not to be trusted.

    Examples
    --------
    >>> round(rounding_spread([10, 10]), 4), round(rounding_spread([100]), 5)
    (0.0125, 0.00125)
    """
    readings = reals("readings_rlu", readings_rlu, above=0.0)
    if readings.size < 1:
        raise OutOfRange("readings_rlu", readings.size, N_("at least one reading"))
    step = real("step_rlu", step_rlu, above=0.0)
    return float(np.sqrt(np.mean((step / (math.sqrt(12.0) * math.log(10.0) * readings)) ** 2)))


def _display_step(readings: Array) -> float:
    """Return the coarsest step of a display that all readings are multiples of."""
    return next((step for step in _STEPS_RLU
                 if np.allclose(readings / step, np.round(readings / step), rtol=0.0, atol=1e-6)), _STEPS_RLU[-1])


def within_sd(first: npt.ArrayLike, second: npt.ArrayLike) -> Array:
    """Return the standard deviation within pairs, ``sqrt(sum d**2 / (2 k))``, over the last axis, on the scale given.

    Examples
    --------
    >>> within_sd([[2.0, 2.2], [1.0, 1.1]], [[2.1, 2.0], [1.0, 1.3]]).round(3).tolist()
    [0.112, 0.1]
    """
    difference = reals("first", first) - reals("second", second)
    if difference.ndim < 1 or difference.shape[-1] < 1:
        raise OutOfRange("first", difference.size, N_("at least one pair"))
    return np.asarray(np.sqrt(np.sum(difference**2, axis=-1) / (2 * difference.shape[-1])))


def cv_to_log10(cv: npt.ArrayLike) -> Array:
    """Return the log10 standard deviation of log-normal readings with a coefficient of variation (a fraction).

    Source
    ------
    Moments of the log-normal distribution: ``sqrt(ln(1 + CV**2)) / ln 10``.

    Examples
    --------
    >>> cv_to_log10([0.23, 0.40, 0.50]).round(3).tolist()
    [0.099, 0.167, 0.205]
    """
    return np.asarray(np.sqrt(np.log1p(reals("cv", cv, above=0.0) ** 2)) / math.log(10.0))


def repeatability_limit(spread_log10: npt.ArrayLike, *, multiple: float = 1.959964) -> Array:
    """Return the log10 difference that two swabs of one surface exceed in 5 % of pairs: ``1.96 sqrt(2) s``.

    Some books round the ``multiple`` of the standard deviation of a difference up to 2.

    Source
    ------
    ISO 5725-6:1994 clause 4 (rounded there to 2.8 s), from memory. For a spread taken as known.

    Examples
    --------
    >>> round(float(10 ** repeatability_limit(0.205)), 1)
    3.7
    """
    times = real("multiple", multiple, above=0.0) * math.sqrt(2.0)
    return np.asarray(times * reals("spread_log10", spread_log10, above=0.0))


def repeatability_factor(spread_log10: npt.ArrayLike) -> Array:
    """Return the factor by which two swabs of one surface differ at most in 95 % of pairs.

    Source
    ------
    :func:`repeatability_limit`, turned back from logs. Bench figures leave out the swabbing of a real surface: there
    the factor is rather larger.

    Examples
    --------
    >>> repeatability_factor(cv_to_log10([0.4, 0.5])).round(2).tolist()
    [2.91, 3.7]
    """
    return np.asarray(10.0 ** repeatability_limit(spread_log10))


def upper_bound(spread_log10: float, degrees_of_freedom: float, *, confidence_frac: float = 0.95) -> float:
    """Return the one-sided upper confidence bound of a spread from few duplicates.

    Parameters
    ----------
    spread_log10 : float
        Estimated spread, log10, above 0.
    degrees_of_freedom : float
        Degrees of freedom behind it, 1 or more; infinity returns the spread itself.
    confidence_frac : float
        Confidence, above 0 and below 1.

    Source
    ------
    ``s sqrt(nu / chi2_{1 - confidence, nu})``, the chi-squared interval of a normal variance.

    Examples
    --------
    >>> [round(upper_bound(1.0, pairs), 2) for pairs in (5, 10, 20, 30)]
    [2.09, 1.59, 1.36, 1.27]
    """
    spread = real("spread_log10", spread_log10, above=0.0)
    freedom = real("degrees_of_freedom", degrees_of_freedom, at_least=1.0, infinite=True)
    doubt = 1.0 - probability("confidence_frac", confidence_frac)
    if math.isinf(freedom):
        return spread
    return spread * math.sqrt(freedom / (2.0 * float(gammaincinv(freedom / 2.0, doubt))))


def difference_trend(first_rlu: npt.ArrayLike, second_rlu: npt.ArrayLike) -> DifferenceTrend:
    """Return whether pairs differ more at low readings, in which case one spread for all levels is wrong.

    Parameters
    ----------
    first_rlu, second_rlu : array_like, shape (pairs,)
        Net readings, RLU, above 0; at least four pairs.

    Source
    ------
    Spearman's rank correlation of ``|d|`` with the mean log, its t approximation for the p-value. ISO 5725-2:2019
    section 7.5 (from memory) asks for the same look at spread against level. Weak below about ten pairs: it then finds
    only a gross trend, and finding none shows nothing.

    Examples
    --------
    >>> trend = difference_trend([10, 20, 40, 80, 160], [25, 34, 56, 92, 168])
    >>> round(trend.rank_correlation, 6), trend.p_grows_low < 0.05
    (-1.0, True)
    """
    first = np.log10(reals("first_rlu", first_rlu, above=0.0)).ravel()
    second = np.log10(reals("second_rlu", second_rlu, above=0.0)).ravel()
    if first.size != second.size or first.size < 4:
        raise OutOfRange("second_rlu", second.size, N_("as many as the first, at least four"))
    apart, level = ranks(np.abs(first - second)), ranks(first + second)
    if np.ptp(apart) == 0.0 or np.ptp(level) == 0.0:
        return DifferenceTrend(0.0, 0.5)
    correlation = float(np.clip(np.corrcoef(apart, level)[0, 1], -1.0, 1.0))
    rest = max(1.0 - correlation**2, 1e-15)
    return DifferenceTrend(correlation, float(stdtr(first.size - 2, correlation * math.sqrt((first.size - 2) / rest))))

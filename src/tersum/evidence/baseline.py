"""A limit from one's own readings after a proper clean: enough of them, frozen, and reviewed by a rule."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr, ndtri

from tersum.arguments import Array, probability, real, reals, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.search import smallest_fitting
from tersum.evidence.variance_components import components, grouped_anova

PERCENTILE, TOLERANCE = "percentile", "tolerance"
LEAST_FOR_TOLERANCE = 20
LEAST_VEHICLES, LEAST_PEOPLE, LEAST_DAYS = 3, 2, 3
FEW_POINTS, FEW_VEHICLES, FEW_PEOPLE, FEW_DAYS = "few-points", "few-vehicles", "few-people", "few-days"
ONLY_PASSED, NOT_MEASURED, NO_SCATTER = "only-passed", "not-measured", "no-scatter"
KEEP, CHANGE, NOT_DUE, CANNOT_TELL = "keep", "change", "not-due", "cannot-tell"
REVIEW_POINTS, REVIEW_DAYS = 30, 365
_MOST = 1_000_000


@dataclass(frozen=True)
class OwnLimit:
    """A level below which a share of all properly cleaned points of a class lies, with a confidence.

    ``rank`` is the place in order of the reading it is (0 where it is computed); ``low_rlu`` to ``high_rlu`` is the
    interval of 90 % in which the share's true level lies.
    """

    rlu: float
    method: str
    n: int
    vehicles: int
    coverage: float
    confidence: float
    rank: int
    low_rlu: float
    high_rlu: float
    spread_between_log10: float = math.nan
    spread_within_log10: float = math.nan


@dataclass(frozen=True)
class Lack:
    """What a baseline lacks: a code, what there is and what is needed."""

    code: str
    have: int = 0
    need: int = 0


def points_needed(method: str, *, coverage: float = 0.95, confidence: float = 0.95) -> int:
    """Return how many points a method needs at least.

    Parameters
    ----------
    method : str
        ``percentile`` or ``tolerance``.
    coverage, confidence : float
        Share below the level, and how sure, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Percentile: the largest of ``n`` lies above the level with probability ``1 - coverage**n``. Tolerance: twenty,
    common practice, no source.

    Examples
    --------
    >>> [points_needed("percentile", coverage=share) for share in (0.75, 0.9, 0.95)], points_needed("tolerance")
    ([11, 29, 59], 20)
    """
    share, sure = probability("coverage", coverage), probability("confidence", confidence)
    if method == TOLERANCE:
        return LEAST_FOR_TOLERANCE
    if method != PERCENTILE:
        raise OutOfRange("method", method, "{methods}", methods=f"{PERCENTILE}, {TOLERANCE}")
    found = smallest_fitting(lambda n: share**n <= 1.0 - sure, low=1, most=_MOST)
    if found is None:
        raise OutOfRange("coverage", coverage, N_("a share that {most} points or fewer can show"), most=_MOST)
    return found


def lacks(method: str, *, points: int, vehicles: int, people: int, days: int, only_passed: bool,
          coverage: float = 0.95, confidence: float = 0.95) -> tuple[Lack, ...]:
    """Return everything a baseline lacks for a limit; none where it will do.

    Parameters
    ----------
    method, coverage, confidence
        As for :func:`points_needed`.
    points, vehicles, people, days : int
        How many there are, 0 or more.
    only_passed : bool
        True where the readings are those of visits or points that had passed.

    Source
    ------
    Three vehicles, two people, three days: common practice, no source. A baseline of what had passed is cut off at the
    old limit and gives an ever lower one.

    Examples
    --------
    >>> [one.code for one in lacks("percentile", points=20, vehicles=3, people=1, days=5, only_passed=False)]
    ['few-points', 'few-people']
    """
    needed = points_needed(method, coverage=coverage, confidence=confidence)
    found = [Lack(ONLY_PASSED)] if only_passed else []
    for code, have, need in ((FEW_POINTS, points, needed), (FEW_VEHICLES, vehicles, LEAST_VEHICLES),
                             (FEW_PEOPLE, people, LEAST_PEOPLE), (FEW_DAYS, days, LEAST_DAYS)):
        if whole(code, have) < need:
            found.append(Lack(code, have, need))
    return tuple(found)


def percentile_limit(low_rlu: ArrayLike, high_rlu: ArrayLike, *, vehicles: int = 1, coverage: float = 0.95,
                     confidence: float = 0.95) -> OwnLimit:
    """Return a reading above which at most ``1 - coverage`` of such points lie, whatever the shape of their readings.

    Parameters
    ----------
    low_rlu, high_rlu : array_like, shape (n,)
        Bounds of the net reading of each point, RLU; as many as :func:`points_needed` at least.
    vehicles : int
        How many vehicles they are from, 1 or more.
    coverage, confidence : float
        Above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, the points are too few, or the reading in question is over
        the meter's range.

    Source
    ------
    Order statistics: ISO 16269-6 (known from memory). Readings below detection keep their place in the order. Points of
    one vehicle are taken as separate; where vehicles differ much, the limit holds for vehicles like these.

    Examples
    --------
    >>> readings = np.arange(1.0, 60.0)
    >>> found = percentile_limit(readings, readings)
    >>> found.rlu, found.rank, found.n
    (59.0, 59, 59)
    """
    low, high = reals("low_rlu", low_rlu, at_least=0.0), reals("high_rlu", high_rlu, above=0.0, infinite=True)
    if low.ndim != 1 or low.shape != high.shape or np.any(low > high):
        raise OutOfRange("high_rlu", high.size, N_("one upper bound a lower one, none below it"))
    n, needed = low.size, points_needed(PERCENTILE, coverage=coverage, confidence=confidence)
    if n < needed:
        raise OutOfRange("points", n, N_("{needed} points or more"), needed=needed)
    rank = _rank(n, coverage, confidence)
    ordered_low, ordered_high = np.sort(low), np.sort(high)
    if math.isinf(ordered_high[rank - 1]):
        raise OutOfRange("high_rlu", math.inf, N_("a reading inside the meter's range at place {rank} of {n}"),
                         rank=rank, n=n)
    below = int(bdtr(np.arange(n + 1.0), n, coverage).searchsorted(0.05, "right"))  # P(level is below it) at least 95 %
    above = _rank(n, coverage, 0.95, or_last=True)
    return OwnLimit(float(ordered_high[rank - 1]), PERCENTILE, n, vehicles, coverage, confidence, rank,
                    float(ordered_low[max(below, 1) - 1]), float(ordered_high[above - 1]) if above else math.inf)


def tolerance_limit(net_rlu: ArrayLike, vehicles: ArrayLike, *, rng: np.random.Generator, coverage: float = 0.95,
                    confidence: float = 0.95, draws: int = 100_000) -> OwnLimit:
    """Return a log-normal level that holds a share of all points of all such vehicles.

    Parameters
    ----------
    net_rlu : array_like, shape (n,)
        Net readings, RLU above 0, none an inequality; twenty or more, not all equal.
    vehicles : array_like, shape (n,)
        The vehicle of each; three or more, together with fewer than the readings.
    rng : numpy Generator
        Draws what the two variances may be.
    coverage, confidence : float
        Above 0 and below 1.
    draws : int
        1000 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Generalised bound for one-way random effects, with unweighted vehicle means where numbers are unequal:
    Krishnamoorthy & Mathew 2004, Technometrics 46:44 (known from memory). Log-normal readings. With three or four
    vehicles it lies far out, as it must; taking all points as separate it would fall short
    (``tests/evidence/test_baseline.py`` measures both).

    Examples
    --------
    >>> rng = np.random.default_rng(3)
    >>> found = tolerance_limit(10 ** rng.normal(1.5, 0.2, 40), np.repeat(np.arange(8), 5), rng=rng)
    >>> 60 < found.rlu < 200, found.vehicles
    (True, 8)
    """
    logs = np.log10(reals("net_rlu", net_rlu, above=0.0)).ravel()
    names = np.asarray(vehicles).ravel()
    count = int(np.unique(names).size)
    if logs.size < LEAST_FOR_TOLERANCE or names.size != logs.size:
        raise OutOfRange("points", logs.size, N_("{needed} points or more"), needed=LEAST_FOR_TOLERANCE)
    if count < LEAST_VEHICLES or count >= logs.size:
        raise OutOfRange("vehicles", count, N_("{least} vehicles or more, with several points each"),
                         least=LEAST_VEHICLES)
    times, sure = whole("draws", draws, at_least=1000), probability("confidence", confidence)
    drawn = _drawn_levels(logs, names, float(ndtri(probability("coverage", coverage))), rng, times)
    limit, low, high = (float(10.0**level) for level in np.quantile(drawn, [sure, 0.05, 0.95]))
    fit = components(logs, names)
    return OwnLimit(limit, TOLERANCE, logs.size, count, coverage, confidence, 0, low, high,
                    math.sqrt(fit.between), math.sqrt(fit.within))


def review(old_rlu: float, fresh: OwnLimit | None, *, points_since: int, days_since: int,
           changed_equipment: bool = False) -> str:
    """Return whether a frozen limit is to be kept or changed; visits it has judged stay as they were judged.

    Parameters
    ----------
    old_rlu : float
        The limit in force, RLU above 0.
    fresh : OwnLimit or None
        From the readings since; None where they are too few.
    points_since, days_since : int
        Since it was frozen, 0 or more. Due at 30 points or a year.
    changed_equipment : bool
        Another instrument or swab type: the old limit does not belong to it.

    Returns
    -------
    str
        ``not-due``, ``keep``, ``cannot-tell`` where it is due and the readings since are too few, or ``change``, only
        where the new interval of 90 % excludes the old limit or the equipment changed.

    Source
    ------
    Common practice, no source. Keep the first limit as an anchor: a baseline that worsens slowly would draw a limit up
    with it.

    Examples
    --------
    >>> review(250.0, None, points_since=12, days_since=90)
    'not-due'
    """
    old = real("old_rlu", old_rlu, above=0.0)
    if changed_equipment:
        return CHANGE
    if whole("points_since", points_since) < REVIEW_POINTS and whole("days_since", days_since) < REVIEW_DAYS:
        return NOT_DUE
    if fresh is None:
        return CANNOT_TELL
    return KEEP if fresh.low_rlu <= old <= fresh.high_rlu else CHANGE


def _rank(n: int, coverage: float, confidence: float, *, or_last: bool = False) -> int:
    """Return the first place in order that lies at or above the level with a confidence; 0 where none does."""
    sure = bdtr(np.arange(0.0, n), n, probability("coverage", coverage))  # of place 1 to n
    place = int(np.searchsorted(sure, probability("confidence", confidence))) + 1
    return place if place <= n else (0 if or_last else n)


def _drawn_levels(logs: Array, names: Array, z: float, rng: np.random.Generator, draws: int) -> Array:
    """Return levels that fit with the readings: means and variances over what chance makes of them."""
    groups = [logs[names == name] for name in np.unique(names)]
    means = np.array([one.mean() for one in groups])
    within = grouped_anova(groups)
    each = len(groups) / sum(1.0 / one.size for one in groups)
    freedom = len(groups) - 1
    mean_square = float(((means - means.mean()) ** 2).sum()) / rng.chisquare(freedom, draws)
    total = mean_square + (1.0 - 1.0 / each) * within.ss_within / rng.chisquare(within.df_within, draws)
    return np.asarray(means.mean() + rng.standard_normal(draws) * np.sqrt(mean_square / len(groups))
                      + z * np.sqrt(total))

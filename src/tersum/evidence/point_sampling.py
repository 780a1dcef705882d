"""What swabbing some of a listed number of points lets one say, also where a swab misses what is there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr
from scipy.stats import hypergeom

from tersum.arguments import Array, probability, real, sample, whole, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.sampling import SequentialPlan, acceptance_probability, sequential_plan


@dataclass(frozen=True)
class PointStatement:
    """At most ``failing_at_most`` of the listed points fail, at this confidence, the found ones included."""

    points: int
    swabbed: int
    found: int
    sensitivity: float
    confidence: float
    failing_at_most: int


@dataclass(frozen=True)
class SeriesPlans:
    """The fixed plan of both risks, and the one that looks at item after item, stopped at ``stop_at``.

    ``accepted_fixed``, ``accepted_sequential`` and ``mean_looked_at`` go with ``failing_frac``.
    """

    n: int
    failures_allowed: int
    sequential: SequentialPlan
    stop_at: int
    failing_frac: tuple[float, ...]
    accepted_fixed: tuple[float, ...]
    accepted_sequential: tuple[float, ...]
    mean_looked_at: tuple[float, ...]


def found_at_most(points: int, failing: int, swabbed: int, found: int, *, sensitivity: float = 1.0) -> float:
    """Return the chance of finding no more than ``found`` of so many failing points.

    Parameters
    ----------
    points, failing, swabbed, found : int
        Listed, failing among them, swabbed at random, found: whole numbers, none above the one it is a part of.
    sensitivity : float
        Chance that a swab of a failing point shows it, above 0, up to 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Hypergeometric number met, each shown with probability ``sensitivity``; ISPM 31 (known from memory) for 1.

    Examples
    --------
    >>> round(1 - found_at_most(100, 10, 25, 0), 3), round(1 - found_at_most(100, 10, 25, 0, sensitivity=0.7), 3)
    (0.952, 0.863)
    """
    total, bad = whole("points", points, at_least=1), whole("failing", failing)
    taken, seen = whole("swabbed", swabbed, at_least=1), whole("found", found)
    if max(bad, taken) > total or seen > taken:
        raise OutOfRange("swabbed", taken, N_("no more than the points ({points}), and no fewer than were found"),
                         points=total)
    q = real("sensitivity", sensitivity, above=0.0, at_most=1.0)
    met = np.arange(min(bad, taken) + 1)
    shown = np.array([bdtr(min(seen, one), one, q) if one else 1.0 for one in met.tolist()])
    return float(np.clip(hypergeom.pmf(met, total, bad, taken) @ shown, 0.0, 1.0))


def swabs_needed(points: int, failing: int, *, sensitivity: float = 1.0, confidence: float = 0.95) -> int | None:
    """Return the fewest swabs that find one of so many failing points; None where not even all would.

    Examples
    --------
    >>> swabs_needed(100, 10), swabs_needed(100, 10, sensitivity=0.7), swabs_needed(10, 1, sensitivity=0.7)
    (25, 36, None)
    """
    wanted = probability("confidence", confidence)
    if whole("failing", failing, at_least=1) > points:
        raise OutOfRange("failing", failing, N_("no more than the points ({points})"), points=points)
    for n in range(1, whole("points", points, at_least=1) + 1):
        if 1.0 - found_at_most(points, failing, n, 0, sensitivity=sensitivity) >= wanted - 1e-12:
            return n
    return None


def point_statement(points: int, swabbed: int, found: int, *, sensitivity: float = 1.0,
                    confidence: float = 0.95) -> PointStatement:
    """Return how many of the listed points may fail, given how many of the swabbed did.

    Examples
    --------
    >>> point_statement(40, 12, 0).failing_at_most, point_statement(40, 40, 0).failing_at_most
    (7, 0)
    """
    doubt = 1.0 - probability("confidence", confidence)
    most = found
    for bad in range(found, points + 1):
        if found_at_most(points, bad, swabbed, found, sensitivity=sensitivity) > doubt + 1e-12:
            most = bad
    return PointStatement(points, swabbed, found, sensitivity, confidence, most)


def series_plans(good_frac: float, bad_frac: float, *, refuse_good: float = 0.05,
                 accept_bad: float = 0.1) -> SeriesPlans:
    """Return the smallest fixed plan of both risks and the sequential one, with their operating curves.

    Raises
    ------
    OutOfRange
        As :func:`tersum.evidence.sampling.sequential_plan`; also where more than 5,000 would have to be looked at.

    Source
    ------
    Binomial sums; Wald's lines stopped at three times the fixed plan, the curve by exact recursion over the counts. At
    the stop a series is accepted where its failures lie nearer to the accepting line.

    Examples
    --------
    >>> plans = series_plans(0.01, 0.1)
    >>> plans.n, plans.failures_allowed, plans.stop_at, round(plans.mean_looked_at[0])
    (52, 2, 156, 24)
    """
    lines = sequential_plan(good_frac, bad_frac, refuse_good=refuse_good, accept_bad=accept_bad)
    n, allowed = _fixed(good_frac, bad_frac, refuse_good, accept_bad)
    shares = np.concatenate([[0.0], np.linspace(0.0, min(1.0, 2.5 * bad_frac), 51)[1:]])
    walked = [_walked(lines, float(share), 3 * n) for share in shares]
    return SeriesPlans(n, allowed, lines, 3 * n, tuple(shares.tolist()),
                       tuple(acceptance_probability(shares, n, allowed).tolist()),
                       tuple(one[0] for one in walked), tuple(one[1] for one in walked))


def allocation(sizes: ArrayLike, spreads: ArrayLike, total: int, *, costs: ArrayLike = 1.0, least: int = 2) -> Array:
    """Return how many of each stratum to swab: by size times spread over the root of the cost.

    Source
    ------
    Neyman 1934 (known from memory); at least two a stratum, so that each has a spread of its own, none above its size.

    Examples
    --------
    >>> allocation([40, 20, 10], [0.2, 0.4, 0.2], 18).astype(int).tolist()
    [8, 8, 2]
    """
    size, spread = wholes("sizes", sizes, at_least=1), sample("spreads", spreads, count=1, above=0.0)
    cost = np.broadcast_to(np.asarray(costs, dtype=np.float64), size.shape)
    start = np.minimum(size, least)
    if size.shape != spread.shape or not start.sum() <= whole("total", total, at_least=1) <= size.sum():
        raise OutOfRange("total", total, N_("{low} to {high}: two a stratum at least, and no more than there are"),
                         low=int(start.sum()), high=int(size.sum()))
    weight, found = size * spread / np.sqrt(cost), start.copy()
    for _turn in range(int(total - start.sum())):
        found[int(np.argmax(np.where(found < size, weight / (found + 1.0), -1.0)))] += 1.0
    return np.asarray(found)


def _fixed(good: float, bad: float, refuse_good: float, accept_bad: float) -> tuple[int, int]:
    sizes = np.arange(1, 5001)
    for allowed in range(200):
        fits = sizes[(sizes > allowed)]
        enough = fits[bdtr(allowed, fits, bad) <= accept_bad]
        if enough.size and bdtr(allowed, int(enough[0]), good) >= 1.0 - refuse_good:
            return int(enough[0]), allowed
    raise OutOfRange("bad_frac", bad, N_("further from the good share: more than 5,000 would have to be looked at"))


def _walked(lines: SequentialPlan, share: float, stop: int) -> tuple[float, float]:
    """Return the chance of accepting and the mean number looked at."""
    going, accepted, mean = np.array([1.0]), 0.0, 0.0
    for n in range(1, stop + 1):
        mean += float(going.sum())
        going = np.convolve(going, [1.0 - share, share])
        accept, refuse = lines.accept_number(n), lines.refuse_number(n)
        if n == stop:
            accept = math.floor(lines.slope * n + (lines.h2 - lines.h1) / 2.0)
        if accept is not None:
            accepted += float(going[:accept + 1].sum())
            going[:accept + 1] = 0.0
        going[refuse:] = 0.0
    return accepted, mean


def strata_shares(sizes: Sequence[int], total: int) -> tuple[int, ...]:
    """Return how many to draw from each stratum in proportion to its size, each at least one where they suffice.

    Examples
    --------
    >>> strata_shares([10, 5, 1], 4), strata_shares([3, 3], 1)
    ((2, 1, 1), (1, 0))
    """
    if total > sum(sizes):
        raise OutOfRange("draw", total, N_("no more than the points that may be drawn ({points})"), points=sum(sizes))
    found = [0] * len(sizes)
    for _turn in range(total):
        open_ = [place for place, size in enumerate(sizes) if found[place] < size]
        found[max(open_, key=lambda place: (found[place] == 0, sizes[place] / (found[place] + 1.0), -place))] += 1
    return tuple(found)

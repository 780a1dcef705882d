"""Funnel of places, or of people after case mix: who lies outside what their own mix of surfaces explains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import binom

from tersum.arguments import Array, wholes
from tersum.errors import N_, OutOfRange

INSIDE, WORTH_A_LOOK, OUTSIDE = "inside", "worth-a-look", "outside"
BELOW, ABOVE = "below", "above"
TAILS = (0.025, 0.001)  # 95 % and 99.8 % limits


@dataclass(frozen=True)
class FunnelUnit:
    """One place: failures seen, how many its own mix lets expect, and the counts not beyond 95 and 99.8 % limits.

    ``side`` says on which side it lies where it is not inside.
    """

    name: str
    failing: int
    looked_at: int
    expected: float
    limits_95: tuple[int, int]
    limits_998: tuple[int, int]
    verdict: str
    side: str


@dataclass(frozen=True)
class Funnel:
    """Units in the order of their names, never ranked.

    ``by_chance`` is how many of so many lie beyond 95 % limits though all are alike; ``dispersion`` near 1 where
    nothing but chance is at work, well above 1 where readings of a unit hang together or the mix is not the whole mix:
    the limits are then too narrow.
    """

    units: tuple[FunnelUnit, ...]
    share: float
    by_chance: float
    dispersion: float


def funnel_of(names: Sequence[str], failing: ArrayLike, looked_at: ArrayLike) -> Funnel:
    """Return which units lie outside exact limits about what their own mix of strata lets expect.

    Parameters
    ----------
    names : sequence of str, length u
        Two or more, each once.
    failing, looked_at : array_like, shape (u, s)
        Whole numbers by unit and stratum: one stratum for places of like use, for people one for each kind of surface
        and of level as found.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or all or none failed.

    Source
    ------
    Spiegelhalter 2005, Stat. Med. 24:1185 (known from memory), limits at 95 and 99.8 %; exact binomial sums over the
    strata, indirectly standardised to the share of all. Limits leave at most 2.5 and 0.1 % beyond on either side.

    Examples
    --------
    >>> found = funnel_of(["a", "b", "c", "d", "e"], [[2], [3], [2], [3], [12]], [[20], [25], [20], [22], [20]])
    >>> [unit.verdict for unit in found.units]
    ['inside', 'inside', 'inside', 'inside', 'outside']
    """
    count, size = wholes("failing", failing), wholes("looked_at", looked_at)
    if count.ndim != 2 or count.shape != size.shape or len(names) != len(count) or len(names) < 2:
        raise OutOfRange("names", len(names), N_("two or more, each with its counts: one alone has nothing beside it"))
    if np.any(count > size):
        raise OutOfRange("failing", float(count.max()), N_("no more than were looked at"))
    total = float(count.sum() / size.sum())
    if not 0.0 < total < 1.0:
        raise OutOfRange("failing", float(count.sum()), N_("some that failed and some that did not"))
    shares = count.sum(axis=0) / np.maximum(size.sum(axis=0), 1.0)
    units, scores = [], []
    for place in sorted(range(len(names)), key=lambda one: names[one]):
        unit, score = _unit(names[place], count[place], size[place], shares)
        units.append(unit)
        scores.append(score)
    return Funnel(tuple(units), total, 2.0 * TAILS[0] * len(units), float(np.mean(np.square(scores))))


def _unit(name: str, count: Array, size: Array, shares: Array) -> tuple[FunnelUnit, float]:
    chance = np.ones(1)
    for n, share in zip(size, shares, strict=True):
        chance = np.convolve(chance, binom.pmf(np.arange(int(n) + 1), int(n), share))
    below = np.cumsum(chance)
    ends = [(int(np.searchsorted(below, tail, "right")),
             min(int(np.searchsorted(below, 1.0 - tail, "left")), chance.size - 1)) for tail in TAILS]
    seen, expected = int(count.sum()), float(size @ shares)
    inside = [low <= seen <= high for low, high in ends]
    verdict = INSIDE if inside[0] else WORTH_A_LOOK if inside[1] else OUTSIDE
    side = "" if inside[0] else ABOVE if seen > expected else BELOW
    spread = float(np.sqrt(size @ (shares * (1.0 - shares))))
    return (FunnelUnit(name, seen, int(size.sum()), expected, ends[0], ends[1], verdict, side),
            (seen - expected) / spread if spread > 0.0 else 0.0)

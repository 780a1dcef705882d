"""Re-randomisation: what the same readings would have shown under every other assignment of the same design."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, reals, sample, whole
from tersum.errors import N_, OutOfRange

_MOST_IN_A_HALF = 1 << 20  # sums held for an exact count: about forty pairs
_MOST_IN_A_TABLE = 1 << 15
_MOST_IN_A_BLOCK = 1 << 16
_TIE = 1e-9  # sums nearer than this share of the largest are the same sum, met by another way of adding


@dataclass(frozen=True)
class Rerandomised:
    """How many assignments of the design show as much: upwards, and either way.

    ``total`` is the number of assignments counted or drawn. A drawn p-value counts the assignment used as one of the
    drawn: it is never 0.
    """

    statistic: float
    count_upper: int
    count_two_sided: int
    total: int
    exact: bool

    @property
    def p_upper(self) -> float:
        return self._share(self.count_upper)

    @property
    def p_two_sided(self) -> float:
        return self._share(self.count_two_sided)

    def _share(self, count: int) -> float:
        return count / self.total if self.exact else (count + 1) / (self.total + 1)


def rerandomise(values: ArrayLike, treated: ArrayLike, blocks: ArrayLike, *, rng: np.random.Generator | None = None,
                draws: int = 100_000) -> Rerandomised:
    """Return how the effect seen lies among those of all assignments within blocks.

    Parameters
    ----------
    values : array_like, shape (n,)
        One a unit that was assigned, such as half a panel: log10, adjusted or not by what was known beforehand.
    treated : array_like of bool, shape (n,)
        Which units got the treatment of interest; within each block as many as were given it get it anew.
    blocks : array_like, shape (n,)
        The block of each unit; blocks without both kinds tell nothing and are passed over.
    rng : numpy Generator or None
        Draws where the assignments are too many to count; None refuses there.
    draws : int
        How many to draw, 1 or more.

    Returns
    -------
    Rerandomised
        Of the sum over blocks of treated less expected, which orders assignments as the mean difference does.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, no block has both kinds, or drawing is needed without
        ``rng``.

    Source
    ------
    Fisher 1935, The Design of Experiments, chapters II and III (counts read as quoted); drawn p-values with the used
    assignment counted: Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39 (known from memory). Holds for whatever
    distribution if, and only if, the treatments were assigned at random within these blocks.

    Examples
    --------
    >>> rerandomise([1, 1, 1, 1, 0, 0, 0, 0], [True] * 4 + [False] * 4, [0] * 8).p_upper == 1 / 70
    True
    """
    contributions, seen = _contributions(values, treated, blocks, rng=rng, draws=whole("draws", draws, at_least=1))
    if contributions is not None:
        halves = _halves(contributions)
        if halves is not None:
            return _counted(*halves, seen)
    if rng is None:
        raise OutOfRange("rng", None, N_("a random generator: the assignments are too many to count"))
    if contributions is not None:
        return _from_draws(_drawn_sums(contributions, rng, draws), seen)
    return _from_draws(_shuffled_sums(values, treated, blocks, rng, draws), seen)


def sign_flips(differences: ArrayLike, *, rng: np.random.Generator | None = None,
               draws: int | None = None) -> Rerandomised:
    """Return how the sum of paired differences lies among those with each sign turned or not.

    Parameters
    ----------
    differences : array_like, shape (n,)
        One a pair, treated less other.
    rng, draws
        None: counted exactly, up to about forty pairs; else so many drawn.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or there are too many pairs to count and no ``rng``.

    Source
    ------
    As for :func:`rerandomise`; the smallest two-sided p-value of n pairs is ``2 / 2**n``.

    Examples
    --------
    >>> found = sign_flips([49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48])
    >>> found.count_upper, found.count_two_sided, found.total
    (863, 1726, 32768)
    """
    pairs = sample("differences", differences, count=1)
    contributions = [np.array([one, -one]) for one in pairs]
    halves = _halves(contributions) if draws is None else None
    if halves is not None:
        return _counted(*halves, float(pairs.sum()))
    if rng is None:
        raise OutOfRange("rng", None, N_("a random generator: the assignments are too many to count"))
    return _from_draws(_drawn_sums(contributions, rng, whole("draws", draws or 100_000, at_least=1)),
                       float(pairs.sum()))


def smallest_p(pairs: ArrayLike) -> Array:
    """Return the smallest two-sided p-value that so many pairs can reach: 0.05 takes six or more.

    Examples
    --------
    >>> smallest_p([1, 5, 6]).tolist()
    [1.0, 0.0625, 0.03125]
    """
    return np.asarray(np.exp2(1.0 - reals("pairs", pairs, at_least=1)))


def shift_interval(differences: ArrayLike, *, coverage: float = 0.95) -> tuple[float, float]:
    """Return the shifts of paired differences that turning signs does not refute.

    Parameters
    ----------
    differences : array_like, shape (n,)
        One a pair; few enough to count, and enough for ``coverage``: six for 0.95.
    coverage : float
        At least so much is covered, above 0 and below 1.

    Returns
    -------
    low, high : float
        Infinite on both sides where the pairs are too few to refute anything.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Inverting the test: Tukey's argument as given by Maritz 1995, Distribution-Free Statistical Methods, chapter 2
    (known from memory). Holds where a treatment moves all logs by one number.

    Examples
    --------
    >>> [round(end, 3) for end in shift_interval([0.31, 0.12, 0.45, 0.22, 0.05, 0.38])]
    [0.05, 0.45]
    """
    pairs = sample("differences", differences, count=1)
    doubt = 1.0 - probability("coverage", coverage)
    if smallest_p(pairs.size) > doubt:
        return -math.inf, math.inf
    low, high = float(pairs.min()), float(pairs.max())
    middle, reach = float(np.median(_walsh(pairs))), max(high - low, 1e-12)

    def end(inside: float, outside: float) -> float:
        while abs(outside - inside) > 1e-9 * reach:
            between = (inside + outside) / 2.0
            kept = sign_flips(pairs - between).p_two_sided > doubt
            inside, outside = (between, outside) if kept else (inside, between)
        return outside

    return end(middle, low - 1e-6 * reach), end(middle, high + 1e-6 * reach)


def _walsh(pairs: Array) -> Array:
    """Return the means of all pairs of differences; their median is where sign turning refutes least."""
    return np.asarray(((pairs[:, None] + pairs[None, :]) / 2.0)[np.triu_indices(pairs.size)])


def _contributions(values: ArrayLike, treated: ArrayLike, blocks: ArrayLike, *, rng: np.random.Generator | None,
                   draws: int) -> tuple[list[Array] | None, float]:
    """Return what each block adds under each of its assignments (None: a block has too many), and what was added."""
    y, marks = sample("values", values, count=2), np.asarray(treated)
    if marks.dtype != np.bool_ or marks.shape != y.shape or np.shape(blocks) != y.shape:
        raise OutOfRange("treated", marks.size, N_("as many truth values and blocks as values ({n})"), n=y.size)
    found: list[Array] | None = []
    seen, met = 0.0, 0
    for block in np.unique(np.asarray(blocks)):
        inside = np.asarray(blocks) == block
        about, chosen = y[inside] - y[inside].mean(), marks[inside]
        if not 0 < chosen.sum() < chosen.size:
            continue
        met += 1
        seen += float(about[chosen].sum())
        if found is None or math.comb(chosen.size, int(chosen.sum())) > _MOST_IN_A_BLOCK:
            found = None
            continue
        picks = np.array(list(combinations(range(chosen.size), int(chosen.sum()))))
        found.append(about[picks].sum(axis=1))
    if not met:
        raise OutOfRange("blocks", 0, N_("one block at least in which both treatments were given"))
    return found, seen


def _halves(contributions: Sequence[Array]) -> tuple[Array, Array] | None:
    """Return all sums of two groups of blocks, None where they are too many."""
    sides: list[list[Array]] = [[], []]
    sizes = [1, 1]
    for one in sorted(contributions, key=len, reverse=True):
        side = int(sizes[1] < sizes[0])
        sides[side].append(one)
        sizes[side] *= one.size
        if sizes[side] > _MOST_IN_A_HALF:
            return None
    return _sums(sides[0]), _sums(sides[1])


def _sums(parts: Sequence[Array]) -> Array:
    total = np.zeros(1)
    for part in parts:
        total = np.add.outer(total, part).ravel()
    return total


def _counted(one: Array, other: Array, seen: float) -> Rerandomised:
    """Count the sums of a value of each side that reach the one seen, without forming them."""
    ordered, least = np.sort(other), _tie(one, other)
    upper = _at_least(one, ordered, seen - least)
    far = abs(seen) - least
    if far <= 0.0:
        both = one.size * other.size
    else:
        both = _at_least(one, ordered, far) + _at_least(-one, -ordered[::-1], far)
    return Rerandomised(seen, upper, both, one.size * other.size, exact=True)


def _at_least(one: Array, ordered: Array, level: float) -> int:
    # Sorted queries walk through the table in order, which the memory of the machine rewards.
    return int(ordered.size * one.size - np.searchsorted(ordered, np.sort(level - one)).sum())


def _tie(one: Array, other: Array) -> float:
    return _TIE * float(np.abs(one).max() + np.abs(other).max())


def _drawn_sums(contributions: Sequence[Array], rng: np.random.Generator, draws: int) -> Array:
    """Return sums under drawn assignments, several blocks by one look into a table of their sums."""
    total, table = np.zeros(draws), np.zeros(1)
    for one in contributions:
        if table.size * one.size > _MOST_IN_A_TABLE:
            total += table[rng.integers(0, table.size, draws, dtype=np.int32)]
            table = np.zeros(1)
        table = np.add.outer(table, one).ravel()
    return total + table[rng.integers(0, table.size, draws, dtype=np.int32)]


def _shuffled_sums(values: ArrayLike, treated: ArrayLike, blocks: ArrayLike, rng: np.random.Generator,
                   draws: int) -> Array:
    """Return sums under drawn assignments where a block is too large for a table."""
    y, marks, codes = np.asarray(values, dtype=np.float64), np.asarray(treated), np.asarray(blocks)
    total = np.zeros(draws)
    for block in np.unique(codes):
        inside = codes == block
        about, many = y[inside] - y[inside].mean(), int(marks[inside].sum())
        if 0 < many < about.size:
            for start in range(0, draws, 4096):
                rows = min(4096, draws - start)
                picks = rng.permuted(np.broadcast_to(about, (rows, about.size)), axis=1)
                total[start:start + rows] += picks[:, :many].sum(axis=1)
    return total


def _from_draws(sums: Array, seen: float) -> Rerandomised:
    least = _TIE * float(np.abs(sums).max() + abs(seen))
    return Rerandomised(seen, int((sums >= seen - least).sum()), int((np.abs(sums) >= abs(seen) - least).sum()),
                        sums.size, exact=False)

"""Repeatability from planned swabs of one surface: pooled over classes until they are shown to differ."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike
from scipy.special import fdtrc, fdtri, ndtr

from tersum.arguments import Array, probability, reals, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.ranks import ranks
from tersum.evidence.repeatability import DifferenceTrend, Repeatability, repeatability_factor, upper_bound

LEAST_CELLS_FOR_TREND = 10
_POWER = 0.8
_MOST_RATIO = 100.0


@dataclass(frozen=True)
class ClassSpread:
    """The spread of one class: log10, its degrees of freedom, and how large a ratio to the rest these would find.

    ``findable_ratio`` is the ratio of spreads, above 1, found about three times in four; infinite where there is no
    rest.
    """

    name: str
    spread_log10: float
    degrees_of_freedom: int
    cells: int
    findable_ratio: float


@dataclass(frozen=True)
class Pooled:
    """Repeatability of all classes together, its 95 % bound, and whether the classes may be pooled.

    ``p_classes`` is small where the classes scatter differently; NaN with one class. ``trend`` is None with fewer than
    ten cells. ``apart`` says that the classes are shown to differ: then the spread of all is nobody's.
    """

    together: Repeatability
    upper_log10: float
    factor: float
    cells: int
    classes: tuple[ClassSpread, ...]
    p_classes: float
    apart: bool
    trend: DifferenceTrend | None


def pooled(logs: ArrayLike, cells: ArrayLike, classes: ArrayLike, *, rng: np.random.Generator, draws: int = 10_000,
           risk: float = 0.05) -> Pooled:
    """Return the repeatability of planned swabs, two or more of one surface by one person on one day with one meter.

    Parameters
    ----------
    logs : array_like, shape (n,)
        log10 net readings.
    cells : array_like, shape (n,)
        The surface, person, day and meter of each: what is alike but for the swab. Cells of one reading are passed
        over.
    classes : array_like, shape (n,)
        The class of surface of each, one a cell.
    rng : numpy Generator
        Shuffles cells between classes.
    draws : int
        How often, 100 or more.
    risk : float
        Of calling classes different that are not, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, no cell has two readings, or none of them differ.

    Source
    ------
    Variance within cells as in ISO 5725-2:2019 section 7 (known from memory); with two readings a cell that is
    :func:`tersum.evidence.repeatability.from_duplicates`. Classes: Bartlett's ratio of likelihoods (Bartlett 1937,
    Proc. R. Soc. A 160:268, known from memory), its p-value by shuffling cells between classes, since Bartlett's own
    reads long tails as different spreads. The ratio that would be found is that of an F test of a class against the
    rest at a power of 0.8; shuffling finds it in 0.72 to 0.77 of cases (tests/evidence/test_duplicates.py).

    Examples
    --------
    >>> logs = np.log10([100, 150, 220, 200, 80, 60, 310, 240])
    >>> found = pooled(logs, [1, 1, 2, 2, 3, 3, 4, 4], list("aaaabbbb"), rng=np.random.default_rng(1))
    >>> round(found.together.spread_log10, 3), found.together.degrees_of_freedom, found.apart
    (0.087, 4.0, False)
    """
    y = reals("logs", logs).ravel()
    groups = _cells(y, np.asarray(cells).ravel(), np.asarray(classes).ravel())
    squares, freedom = (np.array([getattr(one, name) for one in groups]) for name in ("squares", "freedom"))
    names = np.array([one.name for one in groups])
    times, level = whole("draws", draws, at_least=100), probability("risk", risk)
    if squares.sum() == 0.0:
        raise OutOfRange("spread_log10", 0.0, N_("above 0: more duplicates are needed, no pair differs yet"))
    together = Repeatability(math.sqrt(squares.sum() / freedom.sum()), float(freedom.sum()), "duplicates")
    p = _p_classes(squares, freedom, names, rng, times)
    return Pooled(together, upper_bound(together.spread_log10, together.degrees_of_freedom),
                  float(repeatability_factor(together.spread_log10)), len(groups),
                  tuple(_class(name, squares, freedom, names, level) for name in dict.fromkeys(names.tolist())), p,
                  p <= level, _trend(groups))


def findable_ratio(freedom: int, rest: int, *, power: float = _POWER, risk: float = 0.05) -> float:
    """Return how many times the spread of the rest one class must have to be found.

    Parameters
    ----------
    freedom, rest : int
        Degrees of freedom of the class and of the rest, 1 or more.
    power, risk : float
        Chance of finding it, and of calling it found where there is none (two-sided), above 0 and below 1.

    Examples
    --------
    >>> round(findable_ratio(12, 12), 2), round(findable_ratio(30, 30), 2)
    (2.32, 1.68)
    """
    one, two = whole("freedom", freedom, at_least=1), whole("rest", rest, at_least=1)
    wanted, doubt = probability("power", power), probability("risk", risk)
    critical = float(fdtri(one, two, 1.0 - doubt / 2.0))
    low, high = 1.0, _MOST_RATIO
    if fdtrc(one, two, critical / high**2) < wanted:
        return math.inf
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (low, middle) if fdtrc(one, two, critical / middle**2) >= wanted else (middle, high)
    return high


@dataclass(frozen=True)
class _Cell:
    name: str
    squares: float
    freedom: int
    mean: float

    @property
    def spread(self) -> float:
        return math.sqrt(self.squares / self.freedom)


def _cells(y: Array, cells: npt.NDArray[np.generic], classes: npt.NDArray[np.generic]) -> list[_Cell]:
    if cells.shape != y.shape or classes.shape != y.shape:
        raise OutOfRange("cells", cells.size, N_("one cell and one class a reading ({n})"), n=y.size)
    found = []
    for one in dict.fromkeys(cells.tolist()):
        inside = cells == one
        kinds = set(classes[inside].tolist())
        if len(kinds) > 1:
            raise OutOfRange("classes", ", ".join(sorted(map(str, kinds))), N_("one class at {cell}"), cell=str(one))
        values = y[inside]
        if values.size > 1:
            found.append(_Cell(str(kinds.pop()), float(((values - values.mean()) ** 2).sum()), values.size - 1,
                               float(values.mean())))
    if not found:
        raise OutOfRange("cells", 0, N_("one surface at least with two planned swabs"))
    return found


def _class(name: str, squares: Array, freedom: Array, names: npt.NDArray[np.str_], risk: float) -> ClassSpread:
    inside = names == name
    own, rest = int(freedom[inside].sum()), int(freedom[~inside].sum())
    return ClassSpread(name, math.sqrt(float(squares[inside].sum()) / own), own, int(inside.sum()),
                       findable_ratio(own, rest, risk=risk) if rest else math.inf)


def _p_classes(squares: Array, freedom: Array, names: npt.NDArray[np.str_], rng: np.random.Generator,
               draws: int) -> float:
    kinds, codes = np.unique(names, return_inverse=True)
    if kinds.size < 2 or freedom.size <= kinds.size:
        return math.nan
    marks = (codes[:, None] == np.arange(kinds.size)).astype(np.float64)
    seen = _bartlett(squares[None, :] @ marks, freedom[None, :] @ marks)[0]
    order = rng.permuted(np.broadcast_to(np.arange(squares.size), (draws, squares.size)), axis=1)
    drawn = _bartlett(squares[order] @ marks, freedom[order] @ marks)
    return float((np.count_nonzero(drawn >= seen - 1e-9) + 1) / (draws + 1))


def _bartlett(squares: Array, freedom: Array) -> Array:
    """Return twice the log ratio of likelihoods of own spreads to one spread, a row each."""
    total = freedom.sum(axis=1)
    with np.errstate(divide="ignore"):
        own = (freedom * np.log(np.maximum(squares, 1e-30) / freedom)).sum(axis=1)
    return np.asarray(total * np.log(squares.sum(axis=1) / total) - own)


def _trend(groups: Sequence[_Cell]) -> DifferenceTrend | None:
    """Return whether cells scatter more at low readings."""
    if len(groups) < LEAST_CELLS_FOR_TREND:
        return None
    apart, level = ranks(np.array([one.spread for one in groups])), ranks(np.array([one.mean for one in groups]))
    if np.ptp(apart) == 0.0 or np.ptp(level) == 0.0:
        return DifferenceTrend(0.0, 0.5)
    correlation = float(np.corrcoef(apart, level)[0, 1])
    # Normal in the limit; with ten cells and more near enough to a t for a yes or no.
    return DifferenceTrend(correlation, float(ndtr(correlation * math.sqrt(len(groups) - 1))))

"""How well readings tell two kinds apart, and which cut does it best: rapid readings against a plate count."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, sample, whole, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.proportions import wilson

LEAST_OF_EACH = 30


@dataclass(frozen=True)
class Area:
    """Chance that a dirty one reads above a clean one, ties half, with its standard error and interval."""

    area: float
    standard_error: float
    lower: float
    upper: float
    positives: int
    negatives: int


@dataclass(frozen=True)
class Cut:
    """The cut of largest sensitivity plus specificity, and how far it moves from sample to sample.

    A reading above ``cut`` calls dirty. Sensitivity and specificity are those seen on the very readings the cut was
    chosen from: on new ones they are lower. ``usable`` is False with fewer than 30 of either kind.
    """

    cut: float
    cut_interval: tuple[float, float]
    sensitivity: float
    sensitivity_interval: tuple[float, float]
    specificity: float
    specificity_interval: tuple[float, float]
    draws: int
    usable: bool


def area_under(negatives: ArrayLike, positives: ArrayLike, *, coverage: float = 0.95) -> Area:
    """Return the area under the curve from the readings of clean and dirty ones.

    Parameters
    ----------
    negatives, positives : array_like, shape (n,) and (m,)
        Readings of those the reference calls clean, and dirty; one at least of each.
    coverage : float
        Of the interval, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Hanley & McNeil 1982, Radiology 143:29, from the counts (figures read in copies). The interval is a normal one, cut
    at 0 and 1: wide of the mark below about 20 of a kind.

    Examples
    --------
    >>> round(area_under([10, 20, 30], [25, 40, 50]).area, 3)
    0.889
    """
    clean, dirty = sample("negatives", negatives, count=1), sample("positives", positives, count=1)
    return _area(_wins(dirty, clean), clean.size, dirty.size, coverage)


def area_from_ratings(negatives: ArrayLike, positives: ArrayLike, *, coverage: float = 0.95) -> Area:
    """Return the area under the curve from how many of each kind fell into each rating, lowest first.

    Examples
    --------
    >>> found = area_from_ratings([33, 6, 6, 11, 2], [3, 2, 2, 11, 33])
    >>> round(found.area, 3), round(found.standard_error, 3)
    (0.893, 0.032)
    """
    clean, dirty = wholes("negatives", negatives), wholes("positives", positives)
    if clean.ndim != 1 or clean.shape != dirty.shape or clean.sum() < 1 or dirty.sum() < 1:
        raise OutOfRange("positives", dirty.size, N_("as many ratings for both kinds, with one of each at least"))
    ratings = np.arange(clean.size)
    return area_under(np.repeat(ratings, clean.astype(int)), np.repeat(ratings, dirty.astype(int)), coverage=coverage)


def best_cut(negatives: ArrayLike, positives: ArrayLike, *, rng: np.random.Generator, draws: int = 1000,
             coverage: float = 0.95) -> Cut:
    """Return the cut that separates best, with a percentile bootstrap of where it lies.

    Parameters
    ----------
    negatives, positives : array_like
        Readings of those the reference calls clean, and dirty; two at least of each.
    rng : numpy Generator
        Draws both kinds anew.
    draws : int
        How often, 100 or more.
    coverage : float
        Above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Youden 1950 (definition); percentile bootstrap (Efron & Tibshirani 1993, known from memory), which for a cut is
    rough: read it as "anywhere in here".

    Examples
    --------
    >>> found = best_cut([10, 20, 30, 15], [45, 40, 50, 90], rng=np.random.default_rng(1), draws=100)
    >>> found.cut, found.sensitivity, found.usable
    (35.0, 1.0, False)
    """
    clean, dirty = sample("negatives", negatives, count=2), sample("positives", positives, count=2)
    times, covered = whole("draws", draws, at_least=100), probability("coverage", coverage)
    cut = _cut(clean, dirty)
    moved = [_cut(rng.choice(clean, clean.size), rng.choice(dirty, dirty.size)) for _ in range(times)]
    low, high = np.quantile(moved, [(1.0 - covered) / 2.0, (1.0 + covered) / 2.0])
    caught, passed = int((dirty > cut).sum()), int((clean <= cut).sum())
    return Cut(cut, (float(low), float(high)), caught / dirty.size, _interval(caught, dirty.size, covered),
               passed / clean.size, _interval(passed, clean.size, covered), times,
               min(clean.size, dirty.size) >= LEAST_OF_EACH)


def _wins(dirty: Array, clean: Array) -> float:
    ordered = np.sort(clean)
    below, not_above = np.searchsorted(ordered, dirty, "left"), np.searchsorted(ordered, dirty, "right")
    return float((below + not_above).sum() / 2.0)


def _area(wins: float, clean: int, dirty: int, coverage: float) -> Area:
    area = wins / (clean * dirty)
    one, two = area / (2.0 - area), 2.0 * area * area / (1.0 + area)
    variance = (area * (1.0 - area) + (dirty - 1) * (one - area**2) + (clean - 1) * (two - area**2)) / (clean * dirty)
    error = math.sqrt(max(variance, 0.0))
    half = float(coverage_factor(probability("coverage", coverage))) * error
    return Area(area, error, max(area - half, 0.0), min(area + half, 1.0), dirty, clean)


def _cut(clean: Array, dirty: Array) -> float:
    """Return the middle between the two neighbouring readings between which the cut separates best."""
    levels = np.unique(np.concatenate([clean, dirty]))
    if levels.size == 1:
        return float(levels[0])
    cuts = (levels[1:] + levels[:-1]) / 2.0
    caught = 1.0 - np.searchsorted(np.sort(dirty), cuts) / dirty.size
    passed = np.searchsorted(np.sort(clean), cuts) / clean.size
    return float(cuts[np.argmax(caught + passed)])


def _interval(count: int, total: int, coverage: float) -> tuple[float, float]:
    low, high = wilson(count, total, confidence=coverage)
    return float(low), float(high)

"""A rapid reading against a plate count: how well one tells the other's dirty from clean, never a conversion."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import real, reals, sample
from tersum.errors import N_, OutOfRange
from tersum.evidence.agreement import DemingLine, Kappa, deming, kappa
from tersum.evidence.proportions import wilson
from tersum.evidence.ranks import ranks
from tersum.evidence.roc import Area, Cut, area_under, best_cut

TOLD, CANNOT_TELL = "told", "cannot-tell"
FEW_OF_A_KIND, ZERO_COUNTS = "few-of-a-kind", "zero-counts"
_ROWS_FOR_A_LINE = 3


@dataclass(frozen=True)
class RapidAgainstPlate:
    """What pairs of reading and count show.

    ``table`` counts rows reading above, not above its limit by columns plate above, not above its own. ``line`` has
    errors on both sides, log10 CFU on log10 RLU, over the plates with any colony; it is no conversion.
    """

    verdict: str
    pairs: int
    dirty: int
    spearman: float
    area: Area | None
    cut: Cut | None
    table: tuple[tuple[int, int], tuple[int, int]]
    sensitivity: tuple[float, float, float]
    specificity: tuple[float, float, float]
    kappa: Kappa | None
    line: DemingLine | None
    remarks: tuple[str, ...]


def rapid_against_plate(rlu: ArrayLike, cfu: ArrayLike, *, limit_rlu: float, limit_cfu: float, variance_ratio: float,
                        rng: np.random.Generator) -> RapidAgainstPlate:
    """Return how well a rapid reading tells what the plate calls dirty.

    Parameters
    ----------
    rlu, cfu : array_like, shape (n,)
        Net reading above 0 and colonies of the same area, 0 or more.
    limit_rlu, limit_cfu : float
        Above which each calls dirty, above 0 and 0 or more.
    variance_ratio : float
        Error variance of log10 CFU over that of log10 RLU, above 0.
    rng : numpy Generator
        For the bootstrap of the cut.

    Source
    ------
    Hanley & McNeil 1982; Cohen 1960; Wilson 1927; Deming 1943. In the field expect a rank correlation of 0.2 to 0.3
    (Salsgiver et al. 2016, abstract read).

    Examples
    --------
    >>> found = rapid_against_plate([10, 20, 90, 40, 60, 200], [0, 1, 8, 1, 5, 9], limit_rlu=50, limit_cfu=2.5,
    ...                             variance_ratio=1.0, rng=np.random.default_rng(1))
    >>> found.table, found.area.area, round(found.kappa.kappa, 2)
    (((3, 0), (0, 3)), 1.0, 1.0)
    """
    light, colonies = sample("rlu", rlu, count=2, above=0.0), reals("cfu", cfu, at_least=0.0)
    if light.shape != colonies.shape:
        raise OutOfRange("cfu", colonies.size, N_("as many as readings ({n})"), n=light.size)
    dirty = colonies > real("limit_cfu", limit_cfu, at_least=0.0)
    called = light > real("limit_rlu", limit_rlu, above=0.0)
    table = tuple(tuple(int((row & column).sum()) for column in (dirty, ~dirty)) for row in (called, ~called))
    positive, grown = int(dirty.sum()), colonies > 0.0
    told = 0 < positive < light.size
    line = None
    if grown.sum() >= _ROWS_FOR_A_LINE and np.ptp(light[grown]) > 0 and np.ptp(colonies[grown]) > 0:
        line = deming(np.log10(light[grown]), np.log10(colonies[grown]), variance_ratio=variance_ratio)
    both = min(positive, light.size - positive)
    remarks = ([FEW_OF_A_KIND] if both < 30 else []) + ([ZERO_COUNTS] if not grown.all() else [])
    return RapidAgainstPlate(
        TOLD if told else CANNOT_TELL, light.size, positive, _spearman(ranks(light), ranks(colonies)),
        area_under(light[~dirty], light[dirty]) if told else None,
        best_cut(light[~dirty], light[dirty], rng=rng) if both >= 2 else None,
        table, _share(table[0][0], positive), _share(table[1][1], light.size - positive),  # type: ignore[arg-type]
        kappa(table) if told and called.any() and not called.all() else None, line, tuple(remarks))


def _spearman(one: np.ndarray, two: np.ndarray) -> float:
    return math.nan if np.ptp(one) == 0.0 or np.ptp(two) == 0.0 else float(np.corrcoef(one, two)[0, 1])


def _share(count: int, total: int) -> tuple[float, float, float]:
    if total < 1:
        return math.nan, 0.0, 1.0
    low, high = wilson(count, total)
    return count / total, float(low), float(high)

"""A limit from plates: the reading that separates best what a culture calls dirty from what it calls clean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import real, reals
from tersum.errors import N_, OutOfRange
from tersum.evidence.baseline import NO_SCATTER, ONLY_PASSED, Lack
from tersum.evidence.roc import LEAST_OF_EACH, Area, Cut, area_under, best_cut

CULTURE = "culture"
FEW_ABOVE, FEW_BELOW, NOT_TOLD = "few-above", "few-below", "not-told"


@dataclass(frozen=True)
class CultureCut:
    """The cut of one class of surface, or None and everything that is lacking; how well light tells at all."""

    cut: Cut | None
    area: Area | None
    above: int
    below: int
    limit_cfu: float
    lacks: tuple[Lack, ...]


def culture_cut(low_rlu: ArrayLike, high_rlu: ArrayLike, cfu: ArrayLike, *, limit_cfu: float,
                rng: np.random.Generator, draws: int = 1000, only_passed: bool = False) -> CultureCut:
    """Return the cut that separates plates above a count from the rest, where there are enough of both.

    Parameters
    ----------
    low_rlu, high_rlu : array_like, shape (n,)
        Bounds of each net reading, RLU. One outside the meter's range keeps its place in order, at its finite end.
    cfu : array_like, shape (n,)
        Colonies of the same area, 0 or more.
    limit_cfu : float
        From this count on a plate calls dirty, above 0.
    rng : numpy Generator
        For the bootstrap.
    draws : int
        100 or more.
    only_passed : bool
        True where the plates are of visits or points that had passed: cut off by light, they give no cut of it.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Youden 1950 (definition); thirty of each kind: common practice, no source. No cut where the interval of the area
    reaches a half, that is where light may tell no more than a coin. Coverage of the cut's interval is measured in
    ``tests/evidence/test_culture_cut.py``.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> rlu = np.concatenate([10 ** rng.normal(1.5, 0.3, 40), 10 ** rng.normal(2.3, 0.3, 40)])
    >>> found = culture_cut(rlu, rlu, np.repeat([0, 9], 40), limit_cfu=2.5, rng=rng, draws=100)
    >>> 50 < found.cut.cut < 150, found.above, found.below
    (True, 40, 40)
    >>> [one.code for one in culture_cut(rlu[:50], rlu[:50], np.repeat([0, 9], 25), limit_cfu=2.5, rng=rng).lacks]
    ['few-above', 'few-below']
    """
    low, high = reals("low_rlu", low_rlu, at_least=0.0), reals("high_rlu", high_rlu, above=0.0, infinite=True)
    colonies, limit = reals("cfu", cfu, at_least=0.0), real("limit_cfu", limit_cfu, above=0.0)
    if not low.shape == high.shape == colonies.shape or low.ndim != 1 or np.any(low > high):
        raise OutOfRange("cfu", colonies.size, N_("one count and two bounds for each reading"))
    # The order of readings is all that counts: below detection stands at its level, over range at the range's end.
    rlu = np.where(low == 0.0, np.where(np.isinf(high), 0.0, high), low)
    dirty = colonies >= limit
    above, below = int(dirty.sum()), int((~dirty).sum())
    lacks = [Lack(ONLY_PASSED)] if only_passed else []
    lacks += [Lack(code, have, LEAST_OF_EACH) for code, have in ((FEW_ABOVE, above), (FEW_BELOW, below))
             if have < LEAST_OF_EACH]
    if rlu.size and np.ptp(rlu) == 0.0:
        lacks.append(Lack(NO_SCATTER))
    area = area_under(rlu[~dirty], rlu[dirty]) if above and below else None
    if not lacks and area is not None and area.lower <= 0.5:
        lacks.append(Lack(NOT_TOLD))
    cut = None if lacks else best_cut(rlu[~dirty], rlu[dirty], rng=rng, draws=draws)
    return CultureCut(cut, area, above, below, limit, tuple(lacks))

"""From planned swabs to a repeatability: which of them belong together, and what is left alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.errors import OutOfRange
from tersum.evidence.duplicates import Pooled, pooled
from tersum.evidence.reproducibility import Reproducibility, reproducibility
from tersum.records.duplicates_file import FACTORS, Swab


@dataclass(frozen=True)
class Found:
    """Repeatability and what comes on top, None where it cannot be told, and how many swabs stand alone."""

    pooled: Pooled | None
    total: Reproducibility | None
    single: int


def repeatability_of(swabs: Sequence[Swab], *, rng: np.random.Generator) -> Found:
    """Return what planned swabs show: within surface, person, day and meter, and between those.

    Parameters
    ----------
    swabs : sequence of Swab
        Planned, each with a reading.
    rng : numpy Generator
        For the comparison of classes.
    """
    cells = Counter(one.cell for one in swabs)
    order = {cell: place for place, cell in enumerate(cells)}
    single = sum(count == 1 for count in cells.values())
    try:
        within = pooled([one.log10_rlu for one in swabs], np.array([order[one.cell] for one in swabs]),
                        [one.surface for one in swabs], rng=rng)
    except OutOfRange:
        return Found(None, None, single)
    return Found(within, _total(swabs), single)


def _total(swabs: Sequence[Swab]) -> Reproducibility | None:
    named = [name for name in FACTORS if any(getattr(one, name) for one in swabs)]
    if not named:
        return None
    try:
        return reproducibility([one.log10_rlu for one in swabs], [one.point for one in swabs],
                               {name: [getattr(one, name) for one in swabs] for name in named})
    except OutOfRange:
        return None

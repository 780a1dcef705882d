"""Limits of a published table of most probable numbers: looked up as printed, never computed and never mixed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import wholes
from tersum.catalogue import load
from tersum.lethality.mpn import Design

_TUBES = (3.0, 3.0, 3.0)
_AMOUNTS = (0.1, 0.01, 0.001)


@dataclass(frozen=True)
class TabulatedMpn:
    """One row as printed, per g: a lower end of 0 and an upper end of infinity where the table has none."""

    operator: str
    number: float
    low: float
    high: float
    source: str
    where: str
    known: str


def tabulated(positive: ArrayLike, *, design: Design) -> TabulatedMpn | None:
    """Return the row of the published table for a pattern; None where it, or its design, is not among those held.

    Parameters
    ----------
    positive : array_like, shape (3,)
        Tubes that grew in each row.
    design : Design
        Three tubes at 0.1, 0.01 and 0.001 g, or at amounts that are a multiple of these.

    Source
    ------
    FDA BAM appendix 2, table 1 (Blodgett's exact limits): some rows as quoted elsewhere, the others from memory, as
    each says. A likelihood interval of the same pattern is another one.

    Examples
    --------
    >>> from tersum.lethality.mpn import design
    >>> row = tabulated([2, 2, 0], design=design([3, 3, 3], [0.1, 0.01, 0.001]))
    >>> (row.number, row.low, row.high, row.known) if row else None
    (21.0, 4.5, 42.0, 'secondary')
    """
    grown = np.atleast_1d(wholes("positive", positive))
    if tuple(design.tubes) != _TUBES or grown.shape != (3,):
        return None
    times = float(design.amounts[0]) / _AMOUNTS[0]
    if not np.allclose(design.amounts, times * np.array(_AMOUNTS), rtol=1e-9):
        return None
    rows = load.table("mpn_limits")
    name = "-".join(f"{one:.0f}" for one in grown)
    if name not in rows:
        return None
    row = rows[name]["limits"]
    ends = {key: float(value) / times for key, value in row.value.items()}
    return TabulatedMpn(str(rows[name].labels["operator"]), ends["number"], ends.get("lower", 0.0),
                        ends.get("upper", math.inf), row.source, row.where, row.known)

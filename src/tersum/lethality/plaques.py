"""Plaques counted to infectious units per mL, with exact limits."""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from tersum.arguments import real, row, wholes
from tersum.lethality.count_scatter import poisson_interval, zero_upper


@dataclass(frozen=True)
class PlaqueCount:
    """PFU per mL with its operator.

    ``<`` where no plaque was seen: ``per_ml`` is then one plaque on all that was plated, ``high`` the one-sided 95 %
    limit. Otherwise ``low`` and ``high`` are the Poisson interval at 95 %.
    """

    operator: str
    per_ml: float
    low: float
    high: float
    plaques: int


def plaque_count(plaques: ArrayLike, *, dilution: float, inoculum_ml: float) -> PlaqueCount:
    """Return PFU per mL.

    Parameters
    ----------
    plaques : array_like, shape (n,)
        On each plate or well of one dilution, 0 or more.
    dilution : float
        Above 0 and up to 1: 0.00001 for 10^-5.
    inoculum_ml : float
        Put on each, mL, above 0.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    mean / (dilution * inoculum); exact Poisson limits on the total (Garwood 1936).

    Examples
    --------
    >>> found = plaque_count([42, 38, 46], dilution=1e-5, inoculum_ml=0.2)
    >>> round(found.per_ml / 1e7, 3), round(found.low / 1e7, 3), round(found.high / 1e7, 3)
    (2.1, 1.749, 2.5)
    """
    seen = row("plaques", wholes("plaques", plaques))
    volume = real("dilution", dilution, above=0.0, at_most=1.0) * real("inoculum_ml", inoculum_ml, above=0.0)
    per_plaque = 1.0 / (volume * seen.size)
    total = int(seen.sum())
    if not total:
        return PlaqueCount("<", per_plaque, 0.0, zero_upper() * per_plaque, 0)
    low, high = (float(end) * per_plaque for end in poisson_interval(total))
    return PlaqueCount("=", total * per_plaque, low, high, total)

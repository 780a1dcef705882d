"""How much solution an area takes, and how many fills of the tank that is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.errors import N_


@dataclass(frozen=True)
class TankFills:
    """Solution for an area, L; fills of the tank; and the last fill, which is smaller unless it comes out even."""

    volume_l: float
    fills: int
    last_fill_l: float


def tank_fills(area_m2: float, rate_ml_m2: float, *, tank_l: float, loss_frac: float = 0.0) -> TankFills:
    """Return the fills that an area takes.

    Parameters
    ----------
    area_m2, rate_ml_m2, tank_l : float
        Area, what one square metre of it takes, and the usable volume of the tank, above 0.
    loss_frac : float
        What does not reach the surface (foam, dead volume, overspray) as a fraction of what is filled, 0 to below 1.

    Source
    ------
    Mass balance: V = A r / (1 - loss).

    Examples
    --------
    >>> needed = tank_fills(24.0, 50.0, tank_l=0.6, loss_frac=0.15)
    >>> round(needed.volume_l, 4), needed.fills, round(needed.last_fill_l, 3)
    (1.4118, 3, 0.212)
    """
    number("area_m2", area_m2, N_("above 0, up to 1 000 000 m2"), above=0.0, high=1e6)
    number("rate_ml_m2", rate_ml_m2, N_("above 0, up to 100 000 mL/m2"), above=0.0, high=1e5)
    number("tank_l", tank_l, N_("0.01 to 1 000 000 L"), low=0.01, high=1e6)
    number("loss_frac", loss_frac, N_("0 to 0.99"), low=0.0, high=0.99)
    volume = area_m2 * rate_ml_m2 / 1000.0 / (1.0 - loss_frac)
    # A last fill of a rounding error is none.
    fills = max(math.ceil(volume / tank_l * (1.0 - 1e-12)), 1)
    return TankFills(volume, fills, volume - (fills - 1) * tank_l)

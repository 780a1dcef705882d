"""A tank that is partly used: what to add to bring it to strength, and what ratio a measured strength betrays."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.errors import N_, OutOfRange

_ABOVE_0_L, _ABOVE_0_G_L = N_("above 0 L"), N_("above 0 g/L")


@dataclass(frozen=True)
class TopUp:
    """Concentrate and water that fill a tank up to strength, L."""

    stock_l: float
    water_l: float


@dataclass(frozen=True)
class RatioMade:
    """The ratio a measured strength stands for, as parts of water, and whether it is the planned one.

    ``as_planned`` is None where nothing was planned or no uncertainty is known.
    """

    parts_water: float
    standard_uncertainty: float
    as_planned: bool | None


def top_up(left_l: float, left_g_l: float, *, tank_l: float, target_g_l: float, stock_g_l: float) -> TopUp:
    """Return what to add to what is left in a tank.

    The strength left must be measured, or worked out from its age: an oxidiser that has lost strength unseen is topped
    up to too little. Where it is neither, and wherever dirt may have got in, discard. The use-by time of the new mix is
    the earliest of its parts.

    Parameters
    ----------
    left_l, left_g_l : float
        Volume and strength left, 0 or more.
    tank_l, target_g_l, stock_g_l : float
        Volume and strength wanted, and strength of the concentrate, above 0.

    Raises
    ------
    OutOfRange
        If what is left is already too strong or too much: nothing that is added could bring it to the target.

    Source
    ------
    Mass balance: V_stock = (C_t V_t - C_r V_r) / C_s.

    Examples
    --------
    >>> made = top_up(4.0, 0.8, tank_l=10.0, target_g_l=1.0, stock_g_l=50.0)
    >>> round(made.stock_l, 3), round(made.water_l, 3)
    (0.136, 5.864)
    """
    number("tank_l", tank_l, _ABOVE_0_L, above=0.0)
    number("left_l", left_l, N_("0 L up to the tank's volume"), low=0.0, high=tank_l)
    number("left_g_l", left_g_l, N_("0 g/L or more"), low=0.0)
    number("stock_g_l", stock_g_l, _ABOVE_0_G_L, above=0.0)
    number("target_g_l", target_g_l, N_("above 0 g/L, no stronger than the concentrate"), above=0.0, high=stock_g_l)
    stock = (target_g_l * tank_l - left_g_l * left_l) / stock_g_l
    water = tank_l - left_l - stock
    # A negative zero of rounding is no refusal.
    if stock < -1e-12 * tank_l:
        raise OutOfRange("left_g_l", left_g_l, N_("a remainder with no more active than the full tank needs: take some "
                                                   "out first"))
    if water < -1e-12 * tank_l:
        raise OutOfRange("left_l", left_l, N_("a remainder that leaves room for the concentrate: take some out first"))
    return TopUp(max(stock, 0.0), max(water, 0.0))


def ratio_made(stock_g_l: float, measured_g_l: float, *, stock_relative: float = 0.0, measured_relative: float = 0.0,
               planned_parts: float | None = None) -> RatioMade:
    """Return the parts of water that a measured strength stands for.

    Parameters
    ----------
    stock_g_l, measured_g_l : float
        Strength of the concentrate and of the solution, above 0; the solution no stronger than the concentrate.
    stock_relative, measured_relative : float
        Their relative standard uncertainties, 0 or more.
    planned_parts : float, optional
        What was planned; a ratio more than three standard uncertainties off is not it: look for the fault.

    Source
    ------
    Mass balance: n = C_s / C_m - 1; u(n) = (n + 1) times the relative uncertainties in quadrature.

    Examples
    --------
    >>> round(ratio_made(55.0, 0.95).parts_water, 2)
    56.89
    """
    number("stock_g_l", stock_g_l, _ABOVE_0_G_L, above=0.0)
    number("measured_g_l", measured_g_l, N_("above 0 g/L, no stronger than the concentrate"), above=0.0, high=stock_g_l)
    number("stock_relative", stock_relative, N_("0 or more"), low=0.0)
    number("measured_relative", measured_relative, N_("0 or more"), low=0.0)
    parts = stock_g_l / measured_g_l - 1.0
    spread = (parts + 1.0) * math.hypot(stock_relative, measured_relative)
    if planned_parts is None or not spread:
        return RatioMade(parts, spread, None)
    number("planned_parts", planned_parts, N_("0 or more"), low=0.0)
    return RatioMade(parts, spread, abs(parts - planned_parts) <= 3.0 * spread)

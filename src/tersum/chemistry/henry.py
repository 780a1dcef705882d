"""How readily an acid or an oxidiser leaves water for vapour: Henry's law, and what a still or a drying film does."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.catalogue.load import Sourced, table
from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.flags import Flag
from tersum.chemistry.water_vapour import KELVIN, saturation_pressure_mpa, state
from tersum.errors import N_, UnknownName

ATMOSPHERE_MPA = 0.101325
WATER_G_MOL = 18.015
REFERENCE_K = 298.15
BOILING_C = 100.0
# An extrapolated Henry constant at the boil is good to this factor either way.
EXTRAPOLATED_FACTOR = 2.0

MEASURED, HENRY, EXTRAPOLATED = "measured-at-the-boil", "henry", "henry-extrapolated"


@dataclass(frozen=True)
class Solubility:
    """Henry solubility at 25 °C, mol/(L atm), its change d ln H / d(1/T) in K, and where it was measured."""

    name: str
    at_25c: float
    slope_k: float
    low_c: float
    high_c: float
    uncertainty_factor: float
    sources: tuple[Sourced, Sourced]


@dataclass(frozen=True)
class Volatility:
    """Vapour over liquid strength of the undissociated form, relative to water: above 1 it leaves faster than water.

    ``basis`` says where it comes from: ``henry``, ``henry-extrapolated`` (outside the temperatures measured) or
    ``measured-at-the-boil``.
    """

    name: str
    temp_c: float
    alpha: float
    low: float
    high: float
    basis: str
    flags: tuple[Flag, ...] = ()


def solubility(name: str) -> Solubility:
    """Return the Henry solubility of a substance of the catalogue.

    >>> found = solubility("peracetic acid")
    >>> found.at_25c, found.slope_k, found.sources[0].known
    (840.0, 5300.0, 'secondary')
    """
    if name not in table("henry"):
        raise UnknownName("substance", name, tuple(table("henry")))
    entry = table("henry")[name]
    value = entry["solubility"]
    return Solubility(name, value.number, entry["slope"].number, float(value.details["low_c"]),
                      float(value.details["high_c"]), float(value.details["uncertainty_factor"]),
                      (value, entry["slope"]))


def volatility(name: str, temp_c: float) -> Volatility:
    """Return the volatility of a substance of the catalogue relative to water.

    Parameters
    ----------
    name : str
        ``acetic acid``, ``peracetic acid``, ``hydrogen peroxide`` or ``ammonia``.
    temp_c : float
        0 to 110 °C. Near 100 °C (within 10) a figure measured at the boil is taken where there is one.

    Source
    ------
    The entry's own. Beyond the temperatures measured, Henry's law is extrapolated, flagged, and given a factor of 2
    either way.

    Examples
    --------
    >>> round(volatility("acetic acid", 25.0).alpha, 2), volatility("acetic acid", 100.0).alpha
    (0.43, 0.7)
    """
    known = solubility(name)
    number("temp_c", temp_c, N_("0 to 110 °C"), low=0.0, high=110.0)
    entry = table("henry")[name]
    if "boiling" in entry and abs(temp_c - BOILING_C) <= 10.0:
        value, wide = entry["boiling"].number, float(entry["boiling"].details["half_width"])
        return Volatility(name, temp_c, value, value - wide, value + wide, MEASURED)
    alpha = relative_volatility(known.at_25c, known.slope_k, temp_c)
    inside = known.low_c <= temp_c <= known.high_c
    factor = known.uncertainty_factor if inside else EXTRAPOLATED_FACTOR
    flags = () if inside else (Flag("henry-extrapolated", name, temp_c),)
    return Volatility(name, temp_c, alpha, alpha / factor, alpha * factor, HENRY if inside else EXTRAPOLATED, flags)


def relative_volatility(solubility_mol_l_atm: float, slope_k: float, temp_c: float) -> float:
    """Return the volatility relative to water that a Henry constant means: alpha = (c_w / H) / p_w.

    Parameters
    ----------
    solubility_mol_l_atm : float
        At 25 °C, above 0.
    slope_k : float
        d ln H / d(1/T), K, 0 to 20 000.
    temp_c : float
        0 to 110 °C.

    Source
    ------
    Henry's law; water from iapws-r7-97.

    Examples
    --------
    >>> round(relative_volatility(4100.0, 6300.0, 25.0), 3)
    0.431
    """
    checks = Checks()
    checks.number("solubility_mol_l_atm", solubility_mol_l_atm, N_("above 0 mol/(L atm)"), above=0.0)
    checks.number("slope_k", slope_k, N_("0 to 20 000 K"), low=0.0, high=20000.0)
    checks.number("temp_c", temp_c, N_("0 to 110 °C"), low=0.0, high=110.0)
    checks.done()
    pressure = saturation_pressure_mpa(temp_c)
    # A hair above the boiling pressure: the liquid side.
    water_mol_l = 1.0 / state(temp_c + KELVIN, pressure * (1.0 + 1e-9)).volume_m3_kg / WATER_G_MOL
    there = solubility_mol_l_atm * math.exp(slope_k * (1.0 / (temp_c + KELVIN) - 1.0 / REFERENCE_K))
    return water_mol_l / there / (pressure / ATMOSPHERE_MPA)


def left_behind(alpha: float, water_left_frac: float) -> float:
    """Return how strong what stays behind has become, as a factor, when this fraction of the water is left.

    Parameters
    ----------
    alpha : float
        Volatility relative to water, 0 to 1000; 0 for a salt.
    water_left_frac : float
        Above 0, up to 1.

    Source
    ------
    Rayleigh's equation for a still without reflux: C / C0 = f^(alpha - 1). A drying film loses its peracid and
    concentrates its peroxide.

    Examples
    --------
    >>> round(left_behind(2.1, 0.5), 3), round(left_behind(0.0213, 0.5), 2)
    (0.467, 1.97)
    """
    number("alpha", alpha, N_("0 to 1000"), low=0.0, high=1000.0)
    number("water_left_frac", water_left_frac, N_("above 0, up to 1"), above=0.0, high=1.0)
    return float(water_left_frac ** (alpha - 1.0))

"""What a small steam boiler can give: rate and dryness from its power, the state at the nozzle, the dose it carries."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.flags import Flag
from tersum.chemistry.water_vapour import (
    ATMOSPHERE_MPA,
    HIGHEST_MPA,
    HIGHEST_STEAM_K,
    KELVIN,
    LOWEST_MPA,
    liquid_kj_kg,
    saturation,
    state,
)
from tersum.errors import N_

WET, CARRIED_OVER, NO_STEAM, SUPERHEATED = "wet-steam", "water-carried-over", "no-steam", "superheated"
KNOWN_CARRY_OVER, UNKNOWN_CARRY_OVER = "measured", "carry-over-unknown"
# Below this dryness it is hot water with steam in it: what the machine uses is mostly water carried over.
DRIEST_CARRY_OVER = 0.5


@dataclass(frozen=True)
class WetSteam:
    """Steam with water in it: temperature, dryness (mass of vapour over the whole) and enthalpy."""

    temp_c: float
    dryness_frac: float
    enthalpy_kj_kg: float


@dataclass(frozen=True)
class SteamRate:
    """The most steam a power can make, kg/h, and its state in the boiler."""

    rate_kg_h: float
    boiler: WetSteam


@dataclass(frozen=True)
class Dryness:
    """Dryness that a consumption leaves possible.

    ``answer`` is ``wet-steam``; ``water-carried-over`` where less than half of what leaves can be steam; ``no-steam``
    where the power cannot even bring that much water to the boil (dryness 0); or ``superheated`` (dryness 1).
    """

    answer: str
    dryness_frac: float
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True)
class Nozzle:
    """Steam just outside the nozzle, at the pressure of the air; ``superheat_k`` above the boiling point."""

    temp_c: float
    dryness_frac: float
    superheat_k: float


@dataclass(frozen=True)
class Dose:
    """Active that reaches the surface with the steam.

    ``at_most_mg_m2`` is what was in the water used; ``dose_mg_m2`` is None, and ``answer`` ``carry-over-unknown``,
    until the carry-over of this active through this machine has been measured by titration.
    """

    answer: str
    at_most_mg_m2: float
    dose_mg_m2: float | None


def absolute_mpa(gauge_mpa: float, *, ambient_mpa: float = ATMOSPHERE_MPA) -> float:
    """Return the absolute pressure that a gauge reading means.

    >>> round(absolute_mpa(0.4), 4)
    0.5013
    """
    number("gauge_mpa", gauge_mpa, N_("0 to 16 MPa"), low=0.0, high=16.0)
    return gauge_mpa + number("ambient_mpa", ambient_mpa, N_("0.05 to 0.11 MPa"), low=0.05, high=0.11)


def wet_steam(pressure_mpa: float, dryness_frac: float) -> WetSteam:
    """Return wet steam: h = h_f + x h_fg.

    Parameters
    ----------
    pressure_mpa : float
        Absolute, 0.000612 to 16.5 MPa.
    dryness_frac : float
        0 to 1.

    Source
    ------
    iapws-r7-97.

    Examples
    --------
    >>> found = wet_steam(0.5, 0.95)
    >>> round(found.temp_c, 2), round(found.enthalpy_kj_kg, 1)
    (151.84, 2642.7)
    """
    _check(pressure_mpa, dryness_frac=dryness_frac)
    at = saturation(pressure_mpa)
    return WetSteam(at.temp_c, dryness_frac, at.liquid_kj_kg + dryness_frac * at.evaporation_kj_kg)


def steam_rate(power_kw: float, *, pressure_mpa: float, dryness_frac: float = 1.0, feed_c: float = 15.0,
               efficiency_frac: float = 1.0) -> SteamRate:
    """Return the most steam a boiler's power can make.

    Parameters
    ----------
    power_kw : float
        Above 0, up to 10 000 kW.
    pressure_mpa : float
        Absolute, in the boiler.
    dryness_frac : float
        Of the steam that leaves, 0.01 to 1.
    feed_c : float
        Temperature of the water fed, 0 to 99 °C.
    efficiency_frac : float
        Share of the power that reaches the water, above 0 to 1.

    Source
    ------
    Energy balance m = eta P / (h - h_feed). A claim above P / 2.3 MJ per kg is water carried over, not steam.

    Examples
    --------
    >>> round(steam_rate(3.0, pressure_mpa=0.5, dryness_frac=0.95).rate_kg_h, 2)
    4.19
    """
    _check(pressure_mpa, power_kw=power_kw, feed_c=feed_c, efficiency_frac=efficiency_frac, dryness_frac=dryness_frac)
    number("dryness_frac", dryness_frac, N_("0.01 to 1"), low=0.01, high=1.0)
    boiler = wet_steam(pressure_mpa, dryness_frac)
    return SteamRate(3600.0 * efficiency_frac * power_kw / (boiler.enthalpy_kj_kg - liquid_kj_kg(feed_c)), boiler)


def dryness(power_kw: float, *, consumption_kg_h: float, pressure_mpa: float, feed_c: float = 15.0,
            efficiency_frac: float = 1.0) -> Dryness:
    """Return how dry the steam can be at most, from the water that the machine uses.

    Parameters
    ----------
    consumption_kg_h : float
        Water used, weighed over time, above 0, up to 20 000 kg/h. The others as in :func:`steam_rate`.

    Source
    ------
    Energy balance solved for dryness: x = ((eta P / m + h_feed) - h_f) / h_fg.

    Examples
    --------
    >>> round(dryness(3.0, consumption_kg_h=4.187, pressure_mpa=0.5).dryness_frac, 3)
    0.95
    """
    _check(pressure_mpa, power_kw=power_kw, feed_c=feed_c, efficiency_frac=efficiency_frac)
    number("consumption_kg_h", consumption_kg_h, N_("above 0, up to 20 000 kg/h"), above=0.0, high=20000.0)
    at = saturation(pressure_mpa)
    brought = 3600.0 * efficiency_frac * power_kw / consumption_kg_h + liquid_kj_kg(feed_c)
    share = (brought - at.liquid_kj_kg) / at.evaporation_kj_kg
    if share > 1.0:
        return Dryness(SUPERHEATED, 1.0, (Flag("power-to-spare", "", share),))
    if share < 0.0:
        return Dryness(NO_STEAM, 0.0, (Flag("below-the-boil", "", share),))
    return Dryness(CARRIED_OVER if share < DRIEST_CARRY_OVER else WET, share)


def nozzle(pressure_mpa: float, dryness_frac: float, *, ambient_mpa: float = ATMOSPHERE_MPA) -> Nozzle:
    """Return the steam just outside the nozzle.

    Whatever the boiler's temperature, free steam from wet steam is at the boiling point of the air's pressure, about
    100 °C, and falls from there as it takes in air. What a surface reaches depends on distance, travel, material and
    dryness: measure it with a contact probe, claim nothing else.

    Source
    ------
    Expansion at constant enthalpy, iapws-r7-97; the speed of the jet is left out (20 m/s is 0.2 kJ/kg).

    Examples
    --------
    >>> found = nozzle(0.5, 0.95)
    >>> round(found.temp_c, 2), round(found.dryness_frac, 4)
    (99.97, 0.9855)
    """
    _check(pressure_mpa, dryness_frac=dryness_frac)
    number("ambient_mpa", ambient_mpa, N_("0.05 to 0.11 MPa"), low=0.05, high=0.11)
    enthalpy, outside = wet_steam(pressure_mpa, dryness_frac).enthalpy_kj_kg, saturation(ambient_mpa)
    share = (enthalpy - outside.liquid_kj_kg) / outside.evaporation_kj_kg
    if share <= 1.0:
        return Nozzle(outside.temp_c, max(share, 0.0), 0.0)
    low, high = outside.temp_c + KELVIN + 1e-6, HIGHEST_STEAM_K
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if state(middle, ambient_mpa).enthalpy_kj_kg < enthalpy else (low, middle)
    return Nozzle(low - KELVIN, 1.0, low - KELVIN - outside.temp_c)


def dose(can_mg_l: float, *, consumption_l_h: float, area_m2_h: float, carry_over_frac: float | None = None) -> Dose:
    """Return the active that steam brings to a surface.

    Parameters
    ----------
    can_mg_l : float
        Strength in the can, 0 to 200 000 mg/L.
    consumption_l_h : float
        Water used, above 0, up to 20 000 L/h.
    area_m2_h : float
        Surface treated an hour, above 0, up to 10 000 m2/h.
    carry_over_frac : float, optional
        Share of the active used that leaves with the steam, 0 to 1, measured for this active and machine. Unknown
        unless measured: volatilities differ a hundredfold, and an oxidiser decomposes in a hot boiler.

    Source
    ------
    Mass balance.

    Examples
    --------
    >>> dose(200.0, consumption_l_h=1.5, area_m2_h=30.0)
    Dose(answer='carry-over-unknown', at_most_mg_m2=10.0, dose_mg_m2=None)
    """
    checks = Checks()
    checks.number("can_mg_l", can_mg_l, N_("0 to 200 000 mg/L"), low=0.0, high=2e5)
    checks.number("consumption_l_h", consumption_l_h, N_("above 0, up to 20 000 L/h"), above=0.0, high=20000.0)
    checks.number("area_m2_h", area_m2_h, N_("above 0, up to 10 000 m2/h"), above=0.0, high=10000.0)
    if carry_over_frac is not None:
        checks.number("carry_over_frac", carry_over_frac, N_("0 to 1"), low=0.0, high=1.0)
    checks.done()
    most = can_mg_l * consumption_l_h / area_m2_h
    if carry_over_frac is None:
        return Dose(UNKNOWN_CARRY_OVER, most, None)
    return Dose(KNOWN_CARRY_OVER, most, most * carry_over_frac)


def _check(pressure_mpa: float, *, dryness_frac: float = 1.0, power_kw: float = 1.0, feed_c: float = 15.0,
           efficiency_frac: float = 1.0) -> None:
    checks = Checks()
    checks.number("pressure_mpa", pressure_mpa, N_("0.000612 to 16.5 MPa absolute"), low=LOWEST_MPA, high=HIGHEST_MPA)
    checks.number("dryness_frac", dryness_frac, N_("0 to 1"), low=0.0, high=1.0)
    checks.number("power_kw", power_kw, N_("above 0, up to 10 000 kW"), above=0.0, high=10000.0)
    checks.number("feed_c", feed_c, N_("0 to 99 °C"), low=0.0, high=99.0)
    checks.number("efficiency_frac", efficiency_frac, N_("above 0, up to 1"), above=0.0, high=1.0)
    checks.done()

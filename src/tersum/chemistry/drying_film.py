"""A drying film: how long it stays wet, what is lost from it, and what becomes stronger in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.henry import left_behind, volatility
from tersum.chemistry.water_vapour import saturation_pressure_mpa
from tersum.errors import N_

LATENT_KJ_KG = 2453.0  # at 20 °C
_STILL, _MOVED = 0.089, 0.0782  # kW/m2 per kPa, and per kPa and m/s


@dataclass(frozen=True)
class DryingFilm:
    """Rate of evaporation, kg/(m2 s), and the time until the film is gone, min; infinite where nothing evaporates.

    A lower bound: a film that cools by evaporating dries more slowly.
    """

    rate_kg_m2_s: float
    drying_min: float


def evaporation_kg_m2_s_kpa(air_m_s: float, *, latent_kj_kg: float = LATENT_KJ_KG) -> float:
    """Return how much evaporates for each kPa of difference in vapour pressure.

    Source
    ------
    w = A (p_w - p_a)(0.089 + 0.0782 v)/Y (ashrae-applications, natatoriums; from memory). Of pools: for thin films on
    walls and in moving air it is an estimate.

    Examples
    --------
    >>> round(evaporation_kg_m2_s_kpa(0.1, latent_kj_kg=2400.0), 7)
    4.03e-05
    """
    checks = Checks()
    checks.number("air_m_s", air_m_s, N_("0 to 5 m/s"), low=0.0, high=5.0)
    checks.number("latent_kj_kg", latent_kj_kg, N_("2000 to 2600 kJ/kg"), low=2000.0, high=2600.0)
    checks.done()
    return (_STILL + _MOVED * air_m_s) / latent_kj_kg


def drying_film(film_g_m2: float, *, film_c: float, air_c: float, humidity_pct: float, air_m_s: float = 0.1,
                latent_kj_kg: float = LATENT_KJ_KG) -> DryingFilm:
    """Return how fast a film of water dries.

    Parameters
    ----------
    film_g_m2 : float
        Water on the surface, g/m2, above 0 to 10 000.
    film_c, air_c : float
        Temperatures, 1 to 60 °C.
    humidity_pct : float
        Relative humidity of the air, 0 to 100 %.
    air_m_s : float
        Speed of the air over the film, 0 to 5 m/s; a closed cabin about 0.1.

    Source
    ------
    :func:`evaporation_kg_m2_s_kpa` with the saturation pressure of IAPWS-IF97 (iapws-r7-97).

    Examples
    --------
    >>> found = drying_film(20.0, film_c=20.0, air_c=20.0, humidity_pct=50.0)
    >>> round(found.drying_min, 1)
    7.2
    """
    checks = Checks()
    checks.number("film_g_m2", film_g_m2, N_("above 0 g/m2, up to 10 000"), above=0.0, high=1e4)
    checks.number("film_c", film_c, N_("1 to 60 °C"), low=1.0, high=60.0)
    checks.number("air_c", air_c, N_("1 to 60 °C"), low=1.0, high=60.0)
    checks.number("humidity_pct", humidity_pct, N_("0 to 100 %"), low=0.0, high=100.0)
    checks.done()
    each = evaporation_kg_m2_s_kpa(air_m_s, latent_kj_kg=latent_kj_kg)
    difference = 1000.0 * (saturation_pressure_mpa(film_c) - humidity_pct / 100.0 * saturation_pressure_mpa(air_c))
    rate = max(0.0, each * difference)
    return DryingFilm(rate, film_g_m2 / 1000.0 / rate / 60.0 if rate else math.inf)


def strength_in_film(name: str, film_c: float, water_left_frac: float) -> float:
    """Return by what factor an active is stronger (above 1) or weaker in what is left of a drying film.

    Source
    ------
    Rayleigh's equation with the volatility by Henry's law (:mod:`tersum.chemistry.henry`): a drying film loses its
    peracid and concentrates its peroxide.

    Examples
    --------
    >>> [round(strength_in_film(name, 25.0, 0.5), 1) for name in ("peracetic acid", "acetic acid", "hydrogen peroxide")]
    [0.5, 1.5, 2.0]
    """
    return left_behind(volatility(name, film_c).alpha, water_left_frac)

"""States of water and steam by IAPWS IF97: saturation, liquid, vapour; pressures are absolute."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from tersum.chemistry.accepted import Checks, number
from tersum.errors import N_, OutOfRange

KELVIN = 273.15
ATMOSPHERE_MPA = 0.101325
GAS_CONSTANT_KJ = 0.461526  # kJ/(kg K), IF97
LOWEST_MPA, HIGHEST_MPA = 0.000612, 16.5
HIGHEST_C = 350.0  # the end of region 1
HIGHEST_STEAM_K = 1073.15


@dataclass(frozen=True)
class Saturation:
    """Water and steam side by side at one pressure."""

    pressure_mpa: float
    temp_c: float
    liquid_kj_kg: float
    vapour_kj_kg: float
    liquid_kg_m3: float
    vapour_kg_m3: float

    @property
    def temp_k(self) -> float:
        """Boiling point, K."""
        return self.temp_c + KELVIN

    @property
    def evaporation_kj_kg(self) -> float:
        """Heat that turns the liquid into steam, kJ/kg."""
        return self.vapour_kj_kg - self.liquid_kj_kg


@dataclass(frozen=True)
class State:
    """One phase at a temperature and a pressure: ``phase`` is ``liquid`` or ``vapour``."""

    phase: str
    temp_k: float
    pressure_mpa: float
    volume_m3_kg: float
    enthalpy_kj_kg: float
    entropy_kj_kg_k: float


def saturation_pressure_mpa(temp_c: float) -> float:
    """Return the pressure at which water boils at a temperature, 0 to 350 °C.

    Source
    ------
    iapws-r7-97, equation 30 (region 4).

    Examples
    --------
    >>> round(1000 * saturation_pressure_mpa(26.85), 5)
    3.53659
    """
    number("temp_c", temp_c, N_("0 to 350 °C"), low=0.0, high=HIGHEST_C)
    return float(_boiling().Psat_IAPWS(temp_c + KELVIN)) / 1e6


@lru_cache(maxsize=256)
def saturation(pressure_mpa: float) -> Saturation:
    """Return water and steam at their boiling point.

    Parameters
    ----------
    pressure_mpa : float
        Absolute, 0.000612 to 16.5 MPa; a gauge reads 0.1013 MPa less.

    Source
    ------
    iapws-r7-97, regions 1, 2 and 4, through the package ``chemicals``.

    Examples
    --------
    >>> at = saturation(0.101325)
    >>> round(at.temp_c, 2), round(at.liquid_kj_kg, 2), round(at.vapour_kj_kg, 1), round(at.evaporation_kj_kg, 1)
    (99.97, 418.99, 2675.5, 2256.5)
    """
    number("pressure_mpa", pressure_mpa, N_("0.000612 to 16.5 MPa absolute"), low=LOWEST_MPA, high=HIGHEST_MPA)
    temp_k = float(_boiling().Tsat_IAPWS(pressure_mpa * 1e6))
    liquid, vapour = _liquid(temp_k, pressure_mpa), _vapour(temp_k, pressure_mpa)
    return Saturation(pressure_mpa, temp_k - KELVIN, liquid.enthalpy_kj_kg, vapour.enthalpy_kj_kg,
                      1.0 / liquid.volume_m3_kg, 1.0 / vapour.volume_m3_kg)


def state(temp_k: float, pressure_mpa: float) -> State:
    """Return water or steam at a temperature and a pressure.

    Parameters
    ----------
    temp_k : float
        273.15 to 1073.15 K; liquid up to 623.15 K.
    pressure_mpa : float
        Absolute, 0.000612 to 16.5 MPa for steam, up to 100 MPa for liquid.

    Source
    ------
    iapws-r7-97, tables 5 and 15 check regions 1 and 2.

    Examples
    --------
    >>> round(state(300.0, 3.0).enthalpy_kj_kg, 6), round(state(300.0, 0.0035).enthalpy_kj_kg, 5)
    (115.331273, 2549.91145)
    """
    checks = Checks()
    checks.number("temp_k", temp_k, N_("273.15 to 1073.15 K"), low=KELVIN, high=HIGHEST_STEAM_K)
    checks.number("pressure_mpa", pressure_mpa, N_("0.0001 to 100 MPa absolute"), low=0.0001, high=100.0)
    checks.done()
    if temp_k - KELVIN <= HIGHEST_C and pressure_mpa >= saturation_pressure_mpa(temp_k - KELVIN):
        return _liquid(temp_k, pressure_mpa)
    if pressure_mpa > HIGHEST_MPA:
        raise OutOfRange("pressure_mpa", pressure_mpa, N_("up to 16.5 MPa for steam"))
    return _vapour(temp_k, pressure_mpa)


def liquid_kj_kg(temp_c: float) -> float:
    """Return the enthalpy of feed water at air pressure, kJ/kg, 0 to 99 °C.

    >>> round(liquid_kj_kg(15.0), 1)
    63.1
    """
    number("temp_c", temp_c, N_("0 to 99 °C"), low=0.0, high=99.0)
    return _liquid(temp_c + KELVIN, ATMOSPHERE_MPA).enthalpy_kj_kg


def _liquid(temp_k: float, pressure_mpa: float) -> State:
    formulas, tau, pi = _formulas(), 1386.0 / temp_k, pressure_mpa / 16.53
    by_tau = tau * float(formulas.iapws97_dG_dtau_region1(tau, pi))
    by_pi = pi * float(formulas.iapws97_dG_dpi_region1(tau, pi))
    return State("liquid", temp_k, pressure_mpa, GAS_CONSTANT_KJ * temp_k / pressure_mpa / 1000.0 * by_pi,
                 GAS_CONSTANT_KJ * temp_k * by_tau,
                 GAS_CONSTANT_KJ * (by_tau - float(formulas.iapws97_G_region1(tau, pi))))


def _vapour(temp_k: float, pressure_mpa: float) -> State:
    formulas, tau, pi = _formulas(), 540.0 / temp_k, pressure_mpa
    by_tau = tau * float(formulas.iapws97_dG0_dtau_region2(tau, pi) + formulas.iapws97_dGr_dtau_region2(tau, pi))
    by_pi = 1.0 + pi * float(formulas.iapws97_dGr_dpi_region2(tau, pi))
    gibbs = float(formulas.iapws97_G0_region2(tau, pi) + formulas.iapws97_Gr_region2(tau, pi))
    return State("vapour", temp_k, pressure_mpa, GAS_CONSTANT_KJ * temp_k / pressure_mpa / 1000.0 * by_pi,
                 GAS_CONSTANT_KJ * temp_k * by_tau, GAS_CONSTANT_KJ * (by_tau - gibbs))


def _formulas() -> Any:
    # Imported here: the package takes a third of a second, and only steam and vapour need it. It has no types.
    import chemicals.iapws as formulas  # noqa: PLC0415

    return formulas


def _boiling() -> Any:
    import chemicals.vapor_pressure as boiling  # noqa: PLC0415

    return boiling

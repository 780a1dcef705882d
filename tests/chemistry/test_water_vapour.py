"""Water and steam by IF97."""

import math

import pytest

from tersum.chemistry.water_vapour import liquid_kj_kg, saturation, saturation_pressure_mpa, state
from tersum.errors import Faults, OutOfRange

# Absolute MPa, °C, kJ/kg: computed with an independent IF97 implementation.
TABLE = [(0.2, 120.2, 504.7, 2706.2), (0.3, 133.5, 561.5, 2724.9), (0.4, 143.6, 604.7, 2738.1),
         (0.5, 151.8, 640.2, 2748.1), (0.6, 158.8, 670.5, 2756.1), (0.8, 170.4, 721.0, 2768.3),
         (1.0, 179.9, 762.7, 2777.1)]


@pytest.mark.parametrize(("pressure_mpa", "temp_c", "liquid", "vapour"), TABLE)
def test_saturation_is_that_of_the_steam_table(pressure_mpa, temp_c, liquid, vapour):
    at = saturation(pressure_mpa)
    assert (at.temp_c, at.liquid_kj_kg, at.vapour_kj_kg) == (
        pytest.approx(temp_c, abs=0.06), pytest.approx(liquid, abs=0.06), pytest.approx(vapour, abs=0.06))


def test_water_and_steam_at_the_boil_have_one_free_enthalpy():
    """g = h - T s is equal in both phases: regions 1, 2 and 4 agree where they meet."""
    for temp_c in (20.0, 100.0, 180.0, 300.0):
        pressure = saturation_pressure_mpa(temp_c)
        water, steam = state(temp_c + 273.15, pressure * 1.0000001), state(temp_c + 273.15, pressure * 0.9999999)
        assert water.phase == "liquid" and steam.phase == "vapour"
        free = [one.enthalpy_kj_kg - one.temp_k * one.entropy_kj_kg_k for one in (water, steam)]
        assert free[0] == pytest.approx(free[1], abs=0.05)


def test_boiling_pressure_and_temperature_are_inverse():
    for temp_c in (5.0, 60.0, 100.0, 200.0, 340.0):
        assert saturation(saturation_pressure_mpa(temp_c)).temp_c == pytest.approx(temp_c, abs=1e-6)


def test_density_of_cold_water_is_that_of_the_catalogue():
    assert 1.0 / state(293.15, 0.101325).volume_m3_kg == pytest.approx(998.2, abs=0.05)


def test_feed_water_at_fifteen_degrees():
    assert liquid_kj_kg(15.0) == pytest.approx(63.1, abs=0.05)


@pytest.mark.parametrize("pressure", [0.0, -1.0, 17.0, math.nan])
def test_pressure_outside_the_formulation_is_refused(pressure):
    with pytest.raises(OutOfRange, match="absolute"):
        saturation(pressure)


def test_states_outside_the_formulation_are_refused():
    with pytest.raises(Faults):
        state(100.0, 200.0)
    with pytest.raises(OutOfRange, match="16.5 MPa for steam"):
        state(900.0, 50.0)
    with pytest.raises(OutOfRange):
        liquid_kj_kg(120.0)

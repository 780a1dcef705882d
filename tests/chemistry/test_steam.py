"""What a small steam boiler can give."""

import pytest

from tersum.chemistry.steam import absolute_mpa, dose, dryness, nozzle, steam_rate, wet_steam
from tersum.chemistry.water_vapour import saturation
from tersum.errors import Faults, OutOfRange


def test_gauge_reads_the_air_pressure_less():
    assert absolute_mpa(0.0) == 0.101325 and absolute_mpa(0.4, ambient_mpa=0.09) == pytest.approx(0.49)


def test_dryness_and_rate_are_inverse():
    for x in (0.1, 0.5, 0.95, 1.0):
        rate = steam_rate(3.0, pressure_mpa=0.5, dryness_frac=x, feed_c=20.0, efficiency_frac=0.9).rate_kg_h
        found = dryness(3.0, consumption_kg_h=rate, pressure_mpa=0.5, feed_c=20.0, efficiency_frac=0.9)
        assert found.dryness_frac == pytest.approx(x, abs=1e-9)


def test_three_kilowatt_cannot_make_more_than_four_and_a_half_kilograms_an_hour():
    assert steam_rate(3.0, pressure_mpa=0.5).rate_kg_h < 3.0 * 3600.0 / 2300.0


def test_claim_beyond_the_power_is_water_carried_over():
    assert dryness(3.0, consumption_kg_h=12.0, pressure_mpa=0.5).answer == "water-carried-over"
    assert dryness(3.0, consumption_kg_h=60.0, pressure_mpa=0.5).answer == "no-steam"
    assert dryness(3.0, consumption_kg_h=2.0, pressure_mpa=0.5).answer == "superheated"
    assert dryness(3.0, consumption_kg_h=4.5, pressure_mpa=0.5).answer == "wet-steam"


def test_wet_steam_leaves_the_nozzle_at_the_boiling_point_whatever_the_boiler():
    for pressure in (0.2, 0.5, 1.0):
        out = nozzle(pressure, 0.9)
        assert out.temp_c == pytest.approx(99.97, abs=0.01) and out.superheat_k == 0.0 and out.dryness_frac > 0.9


def test_dry_steam_leaves_the_nozzle_superheated_with_the_enthalpy_it_had():
    out = nozzle(1.0, 1.0)
    assert out.dryness_frac == 1.0 and 40.0 < out.superheat_k < 60.0
    assert wet_steam(1.0, 1.0).enthalpy_kj_kg == pytest.approx(saturation(1.0).vapour_kj_kg)


def test_nozzle_on_a_mountain_is_cooler():
    assert nozzle(0.5, 0.95, ambient_mpa=0.08).temp_c < 94.0


def test_dose_is_unknown_until_the_carry_over_is_measured():
    unknown = dose(200.0, consumption_l_h=1.5, area_m2_h=30.0)
    assert unknown.dose_mg_m2 is None and unknown.answer == "carry-over-unknown"
    known = dose(200.0, consumption_l_h=1.5, area_m2_h=30.0, carry_over_frac=0.05)
    assert known.dose_mg_m2 == pytest.approx(0.5) and known.answer == "measured"


def test_all_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        steam_rate(0.0, pressure_mpa=99.0, feed_c=150.0, efficiency_frac=1.5)
    assert {fault.field for fault in told.value.faults} == {"pressure_mpa", "power_kw", "feed_c", "efficiency_frac"}
    with pytest.raises(Faults):
        dose(-1.0, consumption_l_h=0.0, area_m2_h=30.0, carry_over_frac=2.0)


@pytest.mark.parametrize("call", [lambda: steam_rate(3.0, pressure_mpa=0.5, dryness_frac=0.0),
                                  lambda: dryness(3.0, consumption_kg_h=0.0, pressure_mpa=0.5),
                                  lambda: nozzle(0.5, 1.1), lambda: absolute_mpa(-0.1),
                                  lambda: nozzle(0.5, 0.9, ambient_mpa=0.2)])
def test_what_no_machine_does_is_refused(call):
    with pytest.raises(OutOfRange):
        call()

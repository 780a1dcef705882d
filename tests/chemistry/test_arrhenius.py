"""Rates at other temperatures, and published rates as warnings."""

import math

import pytest

from tersum.chemistry.arrhenius import (
    activation_energy,
    decay_at,
    kj_mol_from_kcal,
    published_order,
    published_rates,
    q10,
    rate_at,
    warnings,
)
from tersum.chemistry.decay import decay
from tersum.chemistry.uncertainty import Quantity
from tersum.chemistry.use_by import use_by
from tersum.errors import Faults, OutOfRange


def test_rate_and_back_is_the_rate():
    warm = rate_at(Quantity(0.001, 0.0001), energy_kj_mol=Quantity(66.2), from_c=25.0, to_c=40.0)
    back = rate_at(warm, energy_kj_mol=Quantity(66.2), from_c=40.0, to_c=25.0)
    assert back.value == pytest.approx(0.001) and back.relative == pytest.approx(0.1)


def test_doubt_about_the_energy_grows_with_the_step():
    near, far = (rate_at(Quantity(0.001), energy_kj_mol=Quantity(66.2, 5.0), from_c=25.0, to_c=to_c).relative
                 for to_c in (30.0, 45.0))
    assert 0.0 < near < far


def test_energy_of_made_rates_is_found_again():
    temps = [15.0, 25.0, 35.0, 45.0]
    rates = [rate_at(Quantity(0.001), energy_kj_mol=Quantity(80.0), from_c=25.0, to_c=to_c).value for to_c in temps]
    found = activation_energy(temps, rates)
    assert found.value == pytest.approx(80.0) and found.standard_uncertainty == pytest.approx(0.0, abs=1e-6)


def test_two_rates_give_an_energy_without_an_uncertainty():
    assert math.isinf(activation_energy([25.0, 45.0], [1.71e-3, 9.64e-3]).standard_uncertainty)


def test_hypochlorite_goes_four_times_faster_ten_kelvin_warmer():
    assert q10(kj_mol_from_kcal(24.8)) == pytest.approx(3.89, abs=0.01)


def test_published_rates_carry_their_source_and_their_ph():
    shortest, *_rest, longest = published_rates("peracetic acid")
    assert (shortest.at_ph, shortest.sourced.source) == (9.0, "echa-14885")
    assert longest.half_life_h == pytest.approx(405.3, abs=0.1) and longest.sourced.known == "read"
    assert published_rates("ethanol") == () and published_order("sodium hypochlorite")[0].value == 2


def test_published_half_life_shorter_than_a_use_by_is_a_warning():
    assert len(warnings("peracetic acid", 72.0)) == 4 and warnings("peracetic acid", 3.0) == ()


def test_faults_are_told_at_once():
    with pytest.raises(Faults) as told:
        rate_at(Quantity(0.0), energy_kj_mol=Quantity(999.0), from_c=-5.0, to_c=200.0)
    assert len(told.value.faults) == 4
    with pytest.raises(OutOfRange, match="two rates or more"):
        activation_energy([25.0], [0.1])
    with pytest.raises(OutOfRange, match="different temperatures"):
        activation_energy([25.0, 25.0], [0.1, 0.2])


def test_series_moved_to_a_warmer_place_is_used_for_a_shorter_time():
    series = decay([0, 24, 48, 72, 96], [1000, 905, 822, 738, 672])
    warm = decay_at(series, energy_kj_mol=Quantity(66.2, 5.0), from_c=20.0, to_c=30.0)
    assert use_by(warm, floor_mg_l=800.0).hours < use_by(series, floor_mg_l=800.0).hours / q10(66.2, at_c=20.0)
    same = decay_at(series, energy_kj_mol=Quantity(66.2, 5.0), from_c=20.0, to_c=20.0)
    assert use_by(same, floor_mg_l=800.0).hours == pytest.approx(use_by(series, floor_mg_l=800.0).hours)


def test_series_that_cannot_tell_promises_less_in_a_warmer_place():
    flat = decay([0, 24, 48, 72], [1000, 1010, 990, 1005])
    warm = decay_at(flat, energy_kj_mol=Quantity(66.2, 5.0), from_c=20.0, to_c=30.0)
    assert use_by(flat, floor_mg_l=500.0).hours == 72.0
    assert use_by(warm, floor_mg_l=500.0).hours < 72.0 / 2.4

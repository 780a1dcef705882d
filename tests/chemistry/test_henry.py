"""Volatility relative to water."""

import math

import pytest

from tersum.chemistry.henry import left_behind, relative_volatility, solubility, volatility
from tersum.errors import Faults, OutOfRange, UnknownName


@pytest.mark.parametrize(("name", "alpha"), [("acetic acid", 0.43), ("hydrogen peroxide", 0.021),
                                             ("peracetic acid", 2.1), ("ammonia", 30.0)])
def test_volatility_at_room_temperature(name, alpha):
    found = volatility(name, 25.0)
    assert found.alpha == pytest.approx(alpha, rel=0.04) and found.basis == "henry" and not found.flags


@pytest.mark.parametrize(("name", "alpha"), [
    ("acetic acid", 0.91), ("hydrogen peroxide", 0.09), ("peracetic acid", 2.3), ("ammonia", 15.0)])
def test_extrapolation_of_henry_to_the_boil(name, alpha):
    known = solubility(name)
    assert relative_volatility(known.at_25c, known.slope_k, 100.0) == pytest.approx(alpha, rel=0.05)


def test_what_was_measured_at_the_boil_goes_before_the_extrapolation():
    acetic, peroxide = volatility("acetic acid", 100.0), volatility("hydrogen peroxide", 98.0)
    assert (acetic.alpha, acetic.low, acetic.high) == (0.7, pytest.approx(0.5), pytest.approx(0.9))
    assert acetic.basis == peroxide.basis == "measured-at-the-boil"


def test_peracid_at_the_boil_is_an_extrapolation_and_says_so():
    found = volatility("peracetic acid", 100.0)
    assert found.basis == "henry-extrapolated" and found.flags[0].code == "henry-extrapolated"
    assert found.high / found.alpha == pytest.approx(2.0)


def test_drying_film_loses_peracid_and_concentrates_peroxide():
    half = [left_behind(volatility(name, 25.0).alpha, 0.5)
            for name in ("peracetic acid", "acetic acid", "hydrogen peroxide")]
    assert half == pytest.approx([0.47, 1.48, 1.97], abs=0.02) and left_behind(0.0, 0.25) == 4.0


def test_what_is_as_volatile_as_water_keeps_its_strength():
    assert left_behind(1.0, 0.1) == 1.0 and left_behind(0.5, 1.0) == 1.0


def test_unknown_substance_and_bad_numbers_are_refused():
    with pytest.raises(UnknownName, match="did you mean acetic acid"):
        solubility("acetic acide")
    with pytest.raises(OutOfRange, match="0 to 110 °C"):
        volatility("ammonia", 150.0)
    with pytest.raises(Faults):
        relative_volatility(0.0, math.nan, 500.0)
    with pytest.raises(OutOfRange):
        left_behind(1.0, 0.0)

"""Soil takes from each active its own share."""

import numpy as np
import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.carrier_dose import logistic_dose, soil_factor


def test_half_strength_gives_half_the_effect():
    assert logistic_dose(2.0, top=6.0, bottom=0.0, slope=3.0, half_strength=2.0) == pytest.approx(3.0)


def test_more_strength_never_gives_less():
    found = logistic_dose(np.linspace(0.0, 5.0, 50), top=6.59, bottom=-0.011, slope=3.168, half_strength=0.506)
    assert (np.diff(found) >= 0).all() and found[0] == pytest.approx(-0.011)


def test_milk_costs_hypochlorite_forty_times_and_yolk_peracid_less_than_two():
    assert soil_factor("sodium hypochlorite", "whole milk").factor == pytest.approx(40, abs=1)
    assert 1.5 < soil_factor("peracetic acid", "egg yolk").factor < 2.0


def test_soil_that_took_the_effect_away_gives_no_factor():
    with pytest.raises(OutOfRange, match="the effect was lost"):
        soil_factor("sodium hypochlorite", "egg yolk")


def test_what_was_not_tested_is_refused():
    with pytest.raises(UnknownName, match="egg yolk"):
        soil_factor("peracetic acid", "blood")
    with pytest.raises(UnknownName, match="peracetic acid"):
        soil_factor("ethanol", "none")
    with pytest.raises(UnknownName, match="soil"):
        soil_factor("peracetic acid", "egg yolk", at_c=5.0)


@pytest.mark.parametrize("wrong", [{"slope": 0.0}, {"half_strength": 0.0}, {"top": float("nan")}])
def test_curve_that_is_none_is_refused(wrong):
    with pytest.raises(OutOfRange, match=next(iter(wrong))):
        logistic_dose(1.0, **{"top": 6.0, "bottom": 0.0, "slope": 3.0, "half_strength": 2.0, **wrong})

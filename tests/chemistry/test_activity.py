"""Activity coefficients: the published points, the limits, and where they stop."""

import math

import pytest

from tersum.chemistry.activity import ActivityModel, coefficient, debye_slope, log10_coefficient, permittivity
from tersum.errors import OutOfRange


def test_davies_gives_the_textbook_coefficients_of_single_charges():
    assert coefficient(0.001, 1) == pytest.approx(0.965, abs=0.001)
    assert coefficient(0.01, 1) == pytest.approx(0.902, abs=0.001)
    assert coefficient(0.1, -1) == pytest.approx(0.7815, abs=0.0005)


def test_nothing_departs_from_one_without_ions():
    assert coefficient(0.0, 1) == 1.0 and coefficient(0.0, -3) == 1.0


def test_double_charge_counts_four_times():
    assert log10_coefficient(0.05, 2) == pytest.approx(4.0 * log10_coefficient(0.05, -1))


def test_the_other_textbook_constant_lowers_the_coefficient_by_a_percent_at_a_tenth_molal():
    other = ActivityModel(linear=0.2)
    ratio = 10 ** (log10_coefficient(0.1, 1, model=other) - log10_coefficient(0.1, 1))
    assert ratio == pytest.approx(0.988, abs=0.0005)


def test_ion_size_gives_the_extended_form_for_the_named_species_only():
    model = ActivityModel(ion_size_a={"H+": 9.0})
    root = math.sqrt(0.1)
    assert log10_coefficient(0.1, 1, model=model, species="H+") == pytest.approx(
        -0.5092 * root / (1 + 0.3285 * 9 * root))
    assert log10_coefficient(0.1, 1, model=model, species="OH-") == log10_coefficient(0.1, 1)


def test_neutral_species_stay_at_one_unless_the_model_says_otherwise():
    assert log10_coefficient(0.3, 0) == 0.0
    assert log10_coefficient(0.3, 0, model=ActivityModel(neutral_linear=0.1)) == pytest.approx(0.03)


def test_slope_follows_the_permittivity_of_water():
    assert permittivity(25.0) == pytest.approx(78.30, abs=0.01)
    # PHREEQC's own slope, from another equation for the permittivity: 0.4908, 0.5100, 0.5459 at 0, 25, 60 °C.
    for temp_c, phreeqc in ((0.0, 0.4908), (25.0, 0.5100), (60.0, 0.5459)):
        assert debye_slope(temp_c) == pytest.approx(phreeqc, rel=0.003)


@pytest.mark.parametrize("temp_c", [-0.1, 60.1, math.nan])
def test_slope_outside_its_range_is_refused(temp_c):
    with pytest.raises(OutOfRange, match="0 to 60 °C"):
        debye_slope(temp_c)

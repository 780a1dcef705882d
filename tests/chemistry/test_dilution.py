"""Working solutions: volumes, strengths, their uncertainty, and what is refused."""

import math

import pytest

from tersum.chemistry.dilution import Active, Ratio, active, mixture, parse_ratio, parts_water_for, powder_solution
from tersum.errors import OutOfRange, TersumError

PAA = Active("peracetic acid", 43600.0, 2517.2)
NOT_NUMBERS = [float("nan"), float("inf"), -1.0, 0.0, True, "5000", None]


def test_mixture_is_shown_three_ways_that_agree():
    made = mixture(5000.0, parse_ratio("1+20"), [PAA], density_kg_l=1.09)
    assert made.concentrate_ml + made.water_ml == pytest.approx(5000.0, rel=1e-15)
    assert made.water_ml / made.concentrate_ml == pytest.approx(made.ratio.parts_water, rel=1e-12)
    assert 100.0 * made.concentrate_ml / made.volume_ml == pytest.approx(made.ratio.percent, rel=1e-12)
    assert made.concentrate_g == pytest.approx(made.concentrate_ml * 1.09, rel=1e-15)


def test_strength_of_each_active_follows_from_one_fraction():
    stock = [active("a", 5.0, "% w/w", density_kg_l=1.1), active("b", 20.0, "g/L"), active("c", 2.0, "% w/v")]
    made = mixture(1000.0, Ratio(0.02), stock)
    assert [one.strength_mg_l for one in made.strengths] == pytest.approx([1100.0, 400.0, 400.0], rel=1e-12)


def test_uncertainty_is_the_relative_ones_in_quadrature():
    made = mixture(5000.0, Ratio(0.05), [PAA], concentrate_half_width_ml=25.0, volume_half_width_ml=500.0)
    (one,) = made.strengths
    relative = math.sqrt((2517.2 / 43600.0) ** 2 + (25.0 / 250.0) ** 2 / 3.0 + (500.0 / 5000.0) ** 2 / 3.0)
    assert one.standard_uncertainty_mg_l == pytest.approx(2180.0 * relative, rel=1e-12)
    assert one.expanded_mg_l == 2.0 * one.standard_uncertainty_mg_l


def test_uncertainty_agrees_with_a_simulation():
    """GUM, first order, against the spread of 200 000 simulated mixes; 1 % of it is their own scatter."""
    import numpy as np
    random = np.random.default_rng(20260111)
    size = 200_000
    made = mixture(5000.0, Ratio(0.05), [PAA], concentrate_half_width_ml=12.5, volume_half_width_ml=250.0)
    stock = random.normal(43600.0, 2517.2, size)
    drawn = stock * random.uniform(237.5, 262.5, size) / random.uniform(4750.0, 5250.0, size)
    assert made.strengths[0].standard_uncertainty_mg_l == pytest.approx(drawn.std(), rel=0.01)


def test_exact_measures_leave_only_the_label():
    (one,) = mixture(1000.0, Ratio(0.1), [PAA]).strengths
    assert one.standard_uncertainty_mg_l == pytest.approx(251.72, rel=1e-12)


def test_neat_concentrate_takes_no_water():
    assert mixture(100.0, parse_ratio("1+0"), [PAA]).water_ml == 0.0


@pytest.mark.parametrize("name", ["ethanol", "propan-2-ol", "Ethanol"])
def test_alcohol_is_made_up_to_volume_since_its_volumes_do_not_add_up(name):
    stock = [active(name, 789.0, "g/L")]
    made = mixture(1000.0, parse_ratio("70 %"), stock)
    assert made.water_ml is None and made.no_water_because == "contracts-on-mixing"
    assert made.concentrate_ml == pytest.approx(700.0) and made.strengths[0].strength_mg_l == pytest.approx(552300.0)
    with pytest.raises(TersumError) as refused:
        mixture(1000.0, parse_ratio("7+3"), stock)
    assert refused.value.code == "not-additive" and "made up to volume" in str(refused.value)


@pytest.mark.parametrize("volume_ml", [*NOT_NUMBERS, 1e9])
def test_volume_that_is_none_is_refused(volume_ml):
    with pytest.raises(OutOfRange, match="volume_ml"):
        mixture(volume_ml, Ratio(0.05))


@pytest.mark.parametrize("name", ["concentrate_half_width_ml", "volume_half_width_ml"])
@pytest.mark.parametrize("wide", [-1.0, float("nan"), float("inf"), 5000.0, True])
def test_tolerance_wider_than_what_is_measured_is_refused(name, wide):
    with pytest.raises(OutOfRange, match=name):
        mixture(5000.0, Ratio(0.05), [PAA], **{name: wide})


@pytest.mark.parametrize("density", [0.0, -1.0, float("nan"), 10.0])
def test_density_that_no_liquid_has_is_refused(density):
    with pytest.raises(OutOfRange, match="density_kg_l"):
        mixture(5000.0, Ratio(0.05), [PAA], density_kg_l=density)


@pytest.mark.parametrize(("strength", "unit"), [(0.0, "% w/w"), (-4.0, "% w/w"), (101.0, "% w/w"), (101.0, "% w/v"),
                                                (float("nan"), "g/L"), (4.0, "%"), (4.0, "ppm")])
def test_strength_that_cannot_be_is_refused(strength, unit):
    with pytest.raises(TersumError):
        active("a", strength, unit, density_kg_l=1.0)


def test_strength_by_mass_needs_a_density():
    with pytest.raises(OutOfRange, match="density_kg_l"):
        active("a", 4.0, "% w/w")


def test_concentrate_weaker_than_the_target_is_refused():
    assert parts_water_for(3.5, 0.5) == 6.0 and parts_water_for(5.0, 0.1) == pytest.approx(49.0, rel=1e-12)
    with pytest.raises(OutOfRange, match="no stronger than the concentrate"):
        parts_water_for(0.5, 3.5)


def test_powder_is_weighed_and_made_up():
    made = powder_solution(2000.0, 14.3, [("active", 35.0)], dose_half_width_g=0.5, volume_half_width_ml=100.0)
    assert made.powder_g == pytest.approx(28.6) and made.strengths[0].strength_mg_l == pytest.approx(5005.0)
    relative = math.sqrt((0.5 / 28.6) ** 2 / 3.0 + 0.05 ** 2 / 3.0)
    assert made.strengths[0].standard_uncertainty_mg_l == pytest.approx(5005.0 * relative, rel=1e-9)


@pytest.mark.parametrize(("dose", "pct"), [(0.0, 35.0), (-1.0, 35.0), (14.3, 0.0), (14.3, 101.0), (float("nan"), 35.0)])
def test_powder_that_cannot_be_is_refused(dose, pct):
    with pytest.raises(OutOfRange):
        powder_solution(2000.0, dose, [("active", pct)])

"""Topping up a tank, and the ratio that a measured strength betrays."""

import pytest

from tersum.chemistry.topping_up import ratio_made, top_up
from tersum.errors import OutOfRange


def test_topped_up_tank_is_full_and_at_strength():
    made = top_up(4.0, 0.8, tank_l=10.0, target_g_l=1.0, stock_g_l=50.0)
    assert 4.0 + made.stock_l + made.water_l == pytest.approx(10.0, rel=1e-15)
    assert 4.0 * 0.8 + made.stock_l * 50.0 == pytest.approx(10.0 * 1.0, rel=1e-15)


def test_empty_tank_takes_the_plain_mixture():
    made = top_up(0.0, 0.0, tank_l=10.0, target_g_l=1.0, stock_g_l=50.0)
    assert made.stock_l == pytest.approx(0.2) and made.water_l == pytest.approx(9.8)


def test_full_tank_at_strength_takes_nothing():
    made = top_up(10.0, 1.0, tank_l=10.0, target_g_l=1.0, stock_g_l=50.0)
    assert (made.stock_l, made.water_l) == (0.0, 0.0)


@pytest.mark.parametrize(("left_l", "left_g_l"), [(6.0, 2.0), (9.99, 0.1), (11.0, 1.0), (-1.0, 1.0), (4.0, -1.0),
                                                  (4.0, float("nan")), (float("nan"), 1.0)])
def test_remainder_that_cannot_be_brought_to_strength_is_refused(left_l, left_g_l):
    with pytest.raises(OutOfRange):
        top_up(left_l, left_g_l, tank_l=10.0, target_g_l=1.0, stock_g_l=50.0)


def test_concentrate_weaker_than_the_target_is_refused():
    with pytest.raises(OutOfRange, match="no stronger than the concentrate"):
        top_up(0.0, 0.0, tank_l=10.0, target_g_l=51.0, stock_g_l=50.0)
    with pytest.raises(OutOfRange, match="no stronger than the concentrate"):
        ratio_made(55.0, 55.1)


@pytest.mark.parametrize(("measured", "as_planned"), [(0.95, True), (0.85, False), (1.15, False)])
def test_ratio_beyond_three_uncertainties_is_not_the_planned_one(measured, as_planned):
    made = ratio_made(55.0, measured, stock_relative=0.02, measured_relative=0.02, planned_parts=54.0)
    assert made.as_planned is as_planned
    assert made.standard_uncertainty == pytest.approx((made.parts_water + 1.0) * 0.02 * 2 ** 0.5, rel=1e-12)


def test_without_plan_or_uncertainty_nothing_is_said():
    assert ratio_made(55.0, 0.95, planned_parts=54.0).as_planned is None
    assert ratio_made(55.0, 0.95, stock_relative=0.02).as_planned is None

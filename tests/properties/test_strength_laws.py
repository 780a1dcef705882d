"""Laws of strength: what goes in comes out."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tersum.chemistry.ratio import Ratio
from tersum.chemistry.serial import serial
from tersum.chemistry.strength import peroxide_g_l_of_volumes, volume_strength
from tersum.chemistry.topping_up import ratio_made, top_up
from tersum.chemistry.uncertainty import Quantity

SHARES = st.floats(1e-4, 1.0)


@given(SHARES, SHARES)
def test_diluting_then_concentrating_returns_the_start(first, second):
    """The strength after two dilutions, taken back by their shares, is that of the concentrate."""
    left = serial([Quantity(first), Quantity(second)], stock_g_l=Quantity(50.0)).strength_g_l.value
    assert left / (first * second) == pytest.approx(50.0)
    assert Ratio(first).then(Ratio(second)).concentrate_frac == pytest.approx(first * second)


@given(SHARES)
def test_ratio_made_gives_back_the_ratio_that_was_mixed(share):
    """A strength measured without error betrays exactly the ratio behind it."""
    assert ratio_made(50.0, 50.0 * share).parts_water == pytest.approx(Ratio(share).parts_water, rel=1e-9, abs=1e-9)


@given(st.floats(0.0, 9.0), st.floats(0.0, 1.0), st.floats(0.5, 2.0))
def test_topped_up_tank_holds_the_target(left_l, left_g_l, target_g_l):
    """What is left, what is added and nothing else make the strength wanted."""
    assume(left_g_l <= target_g_l)
    added = top_up(left_l, left_g_l, tank_l=10.0, target_g_l=target_g_l, stock_g_l=50.0)
    assert left_l + added.stock_l + added.water_l == pytest.approx(10.0)
    assert left_l * left_g_l + added.stock_l * 50.0 == pytest.approx(10.0 * target_g_l)


@given(st.floats(0.0, 1000.0))
def test_volumes_of_oxygen_go_both_ways(peroxide_g_l):
    """The strength in volumes, turned back, is the strength in g/L."""
    assert peroxide_g_l_of_volumes(volume_strength(peroxide_g_l)) == pytest.approx(peroxide_g_l)

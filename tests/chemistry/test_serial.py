"""Dilutions in steps."""

import math

import pytest

from tersum.chemistry.serial import serial
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import Faults, OutOfRange


def test_shares_multiply_and_relative_variances_add():
    made = serial([Quantity(0.1, 0.002), Quantity(0.05, 0.0005)], stock_g_l=Quantity(40.0, 0.4))
    assert made.concentrate_frac.value == pytest.approx(0.005)
    assert made.concentrate_frac.relative == pytest.approx(math.hypot(0.02, 0.01))
    assert made.strength_g_l.value == pytest.approx(0.2)
    assert made.strength_g_l.relative == pytest.approx(math.hypot(0.02, 0.01, 0.01))
    assert made.after_each == (0.1, pytest.approx(0.005))


def test_order_of_steps_changes_nothing():
    steps = [Quantity(0.1, 0.001), Quantity(0.02, 0.001)]
    assert serial(steps).concentrate_frac.value == pytest.approx(serial(steps[::-1]).concentrate_frac.value, rel=1e-15)


def test_no_steps_and_shares_over_one_hundred_percent_are_refused():
    with pytest.raises(OutOfRange, match="one step or more"):
        serial([])
    with pytest.raises(Faults) as told:
        serial([Quantity(1.2), Quantity(0.0, -1.0)], stock_g_l=Quantity(0.0))
    assert [fault.field for fault in told.value.faults] == ["step 1", "step 2", "u(step 2)", "stock_g_l"]

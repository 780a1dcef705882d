"""Uncertainty: distributions, sums and products after the GUM."""

import math

import pytest
import uncertainties

from tersum.chemistry.uncertainty import Quantity, expansion, in_quadrature, quotient, rectangular, triangular
from tersum.errors import OutOfRange


def test_distributions_have_the_spread_of_their_shape():
    """The standard deviation, integrated over each density on a grid of its own."""
    steps = 20_001
    grid = [-1.0 + 2.0 * step / (steps - 1) for step in range(steps)]
    flat = math.sqrt(sum(x * x for x in grid) / steps)
    peak = math.sqrt(sum((1 - abs(x)) * x * x for x in grid) / sum(1 - abs(x) for x in grid))
    assert rectangular(1.0) == pytest.approx(flat, rel=1e-3) and triangular(1.0) == pytest.approx(peak, rel=1e-3)


def test_quotient_agrees_with_an_independent_program():
    """Against the open package `uncertainties`, which differentiates instead of adding relative squares."""
    over, under = [(100.28, 0.05), (0.9999, 5.8e-5)], [(100.0, 0.07), (3.0, 0.2)]
    made = quotient([Quantity(*one) for one in over], [Quantity(*one) for one in under], scale=1000.0)
    other = 1000.0
    for value, spread in over:
        other = other * uncertainties.ufloat(value, spread)
    for value, spread in under:
        other = other / uncertainties.ufloat(value, spread)
    assert made.value == pytest.approx(other.nominal_value, rel=1e-12)
    assert made.standard_uncertainty == pytest.approx(other.std_dev, rel=1e-12)


@pytest.mark.parametrize(("half_width", "reads_low"), [(0.1, 0.007), (0.3, 0.067)])
def test_how_low_the_first_order_reads_is_as_stated(half_width, reads_low):
    """The spread of 1/x for x uniform around 1 is known in closed form."""
    low, high = 1.0 - half_width, 1.0 + half_width
    mean = math.log(high / low) / (2.0 * half_width)
    exact = math.sqrt(1.0 / (low * high) - mean ** 2)
    first_order = quotient([Quantity(1.0)], [Quantity(1.0, rectangular(half_width))]).standard_uncertainty
    assert 1.0 - first_order / exact == pytest.approx(reads_low, abs=0.002)


def test_independent_parts_add_in_quadrature():
    assert in_quadrature([3.0, 4.0, 12.0]) == 13.0 and in_quadrature([]) == 0.0


def test_relative_uncertainty_is_of_the_size_of_the_value():
    assert Quantity(-50.0, 1.0).relative == 0.02


@pytest.mark.parametrize("wrong", [
    lambda: rectangular(-1.0), lambda: triangular(float("nan")), lambda: in_quadrature([1.0, -1.0]),
    lambda: quotient([Quantity(0.0, 1.0)]), lambda: quotient([Quantity(float("inf"))]),
    lambda: quotient([Quantity(1.0)], [Quantity(0.0)]), lambda: quotient([Quantity(1.0, -0.1)]),
    lambda: expansion(0.0, coefficient_per_k=2e-4, half_width_k=4.0),
    lambda: expansion(100.0, coefficient_per_k=2e-4, half_width_k=-4.0),
])
def test_uncertainty_without_meaning_is_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()

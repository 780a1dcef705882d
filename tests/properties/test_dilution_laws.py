"""Laws of dilution, one a test, and an exact-fraction oracle for the whole computation."""

import os
import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.chemistry.dilution import Active, Bounds, Ratio, mixture, parse_ratio, ratio_for_targets
from tersum.chemistry.topping_up import ratio_made, top_up

CASES = 200_000 if os.environ.get("TERSUM_TEST_PROFILE") == "soak" else 3_000
FRACS = st.floats(1e-6, 1.0)
VOLUMES = st.floats(1.0, 1e7)
STRENGTHS = st.floats(1.0, 1e6)
PARTS = st.integers(1, 5000)


@given(VOLUMES, FRACS, STRENGTHS)
def test_dilute_then_concentrate_returns_the_start(volume_ml, frac, strength_mg_l):
    """The strength of a dilution, and its ratio, give back the strength of the concentrate."""
    made = mixture(volume_ml, Ratio(frac), [Active("a", strength_mg_l)])
    parts = ratio_made(strength_mg_l, made.strengths[0].strength_mg_l * (1.0 - 1e-12)).parts_water
    assert made.strengths[0].strength_mg_l * (parts + 1.0) == pytest.approx(strength_mg_l, rel=1e-9)


@given(VOLUMES, FRACS)
def test_volumes_sum(volume_ml, frac):
    """Concentrate and water make the volume, and neither is negative."""
    made = mixture(volume_ml, Ratio(frac))
    assert made.concentrate_ml + made.water_ml == pytest.approx(volume_ml, rel=1e-14)
    assert made.concentrate_ml > 0.0 and made.water_ml >= 0.0


@given(PARTS)
def test_parts_of_water_are_never_parts_of_the_whole(n):
    """"1+n" holds less concentrate than "1 in n", exactly as much as "1 in n+1"."""
    assert parse_ratio(f"1 + {n}").concentrate_frac == Ratio(1 / (n + 1)).concentrate_frac
    assert parse_ratio(f"1 + {n}").concentrate_frac < parse_ratio(f"1 in {n}").concentrate_frac
    assert parse_ratio(f"1+{n}") == parse_ratio(f"1 in {n + 1}")


@given(PARTS)
def test_one_to_n_is_what_the_product_says(n):
    """"1:n" is "1+n" for one product and "1 in n" for another."""
    assert parse_ratio(f"1:{n}", reading="parts") == parse_ratio(f"1+{n}")
    assert parse_ratio(f"1:{n}", reading="whole") == parse_ratio(f"1 in {n}")


@given(FRACS, FRACS)
def test_fractions_of_serial_dilutions_multiply(one, other):
    """Twice diluted is diluted by the product of both, in either order."""
    assert Ratio(one).then(Ratio(other)) == Ratio(other).then(Ratio(one)) == Ratio(one * other)


@given(FRACS, VOLUMES, st.floats(1e-3, 1e3))
def test_strength_does_not_depend_on_the_volume_made(frac, volume_ml, times):
    """A bucket and a tank of the same ratio are equally strong."""
    stock = [Active("a", 1000.0)]
    assert mixture(volume_ml, Ratio(frac), stock).strengths[0].strength_mg_l == pytest.approx(
        mixture(min(volume_ml * times, 1e8), Ratio(frac), stock).strengths[0].strength_mg_l, rel=1e-12)


@given(st.lists(STRENGTHS, min_size=1, max_size=4), FRACS)
def test_ratio_for_the_strengths_of_a_mixture_is_its_own(stock_mg_l, frac):
    """Asking for exactly what a mixture holds gives its fraction back."""
    stock = [Active(str(number), strength) for number, strength in enumerate(stock_mg_l)]
    made = mixture(1000.0, Ratio(frac), stock).strengths
    asked = [Bounds(one.name, one.strength_mg_l, one.strength_mg_l) for one in made]
    assert ratio_for_targets(stock, asked).chosen_frac == pytest.approx(frac, rel=1e-8)


@given(st.floats(0.0, 0.99), st.floats(0.0, 1.0), STRENGTHS)
def test_topped_up_tank_is_at_strength(left_frac, left_strength_frac, target_g_l):
    """Whatever is left of a weaker solution, topping up fills the tank at the target."""
    left_l, left_g_l, stock_g_l = 10.0 * left_frac, target_g_l * left_strength_frac, 1000.0 * target_g_l
    made = top_up(left_l, left_g_l, tank_l=10.0, target_g_l=target_g_l, stock_g_l=stock_g_l)
    assert left_l + made.stock_l + made.water_l == pytest.approx(10.0, rel=1e-12)
    assert left_l * left_g_l + made.stock_l * stock_g_l == pytest.approx(10.0 * target_g_l, rel=1e-9)


def test_dilution_agrees_with_exact_fractions():
    """Ratio, volumes, strength and the ratio for a target, against the same in whole fractions, to 12 digits."""
    draw = random.Random(20260112)
    for _ in range(CASES):
        one, other = Fraction(draw.randint(1, 9999), 100), Fraction(draw.randint(0, 999_999), 100)
        volume, stock = Fraction(draw.randint(1, 10**8), 100), Fraction(draw.randint(1, 10**8), 100)
        shape = draw.choice(["+", " in ", " % v/v"])
        if shape == "+":
            text, exact = f"{float(one):.4f}+{float(other):.4f}", one / (one + other)
        elif shape == " in ":
            text, exact = f"{float(one):.4f} in {float(one + other):.4f}", one / (one + other)
        else:
            text, exact = f"{float(one):.4f} % v/v", one / 100
        ratio = parse_ratio(text)
        made = mixture(float(volume), ratio, [Active("a", float(stock))])
        found = [ratio.concentrate_frac, made.concentrate_ml, made.water_ml, made.strengths[0].strength_mg_l]
        wanted = [exact, exact * volume, (1 - exact) * volume, exact * stock]
        scales = [exact, exact * volume, volume, exact * stock]  # a little water is a difference of large numbers
        for number, fraction, scale in zip(found, wanted, scales, strict=True):
            assert abs(Fraction(number) - fraction) <= scale / 10**12, text
        target = float(exact * stock)
        assert ratio_for_targets([Active("a", float(stock))], [Bounds("a", target, target)]).chosen_frac == \
            pytest.approx(float(exact), rel=1e-12)

"""Most probable numbers: one root, checked by a second implementation, and the extremes as bounds."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from tersum.errors import Faults, OutOfRange
from tersum.lethality.mpn import design, information, log_likelihood, mpn, slope

THREE = design([3, 3, 3], [0.1, 0.01, 0.001])
EVERY = np.array(list(itertools.product(range(4), repeat=3)))
INNER = EVERY[1:-1]


def test_every_pattern_of_three_tubes_agrees_with_scipy():
    found = mpn(INNER, design=THREE)
    for pattern, number in zip(INNER, found.mpn, strict=True):
        def score(ln_mpn, pattern=pattern):
            doses = THREE.amounts * math.exp(ln_mpn)
            return float((pattern * doses / np.expm1(np.minimum(doses, 700))).sum() - ((3 - pattern) * doses).sum())
        assert math.log(number) == pytest.approx(brentq(score, -15, 15, xtol=1e-13), abs=1e-9), pattern


def test_odd_designs_agree_with_scipy():
    rng = np.random.default_rng(5)
    for _ in range(60):
        rows = int(rng.integers(1, 6))
        odd = design(rng.integers(1, 60, rows), 10.0 ** rng.uniform(-6, 3, rows))
        pattern = rng.integers(0, odd.tubes.astype(int) + 1)
        if not pattern.any() or (pattern == odd.tubes).all():
            continue
        centre = -math.log(float(odd.amounts.mean()))
        best = minimize_scalar(lambda at, odd=odd, pattern=pattern: -log_likelihood(
            pattern[None, :], np.array([at]), odd)[0], bounds=(centre - 25, centre + 25), method="bounded",
            options={"xatol": 1e-10})
        found = mpn(pattern, design=odd)
        assert float(slope(pattern[None, :], np.log(np.atleast_1d(found.mpn)), odd)[0]) == pytest.approx(0.0, abs=1e-6)
        assert log_likelihood(pattern[None, :], np.log(np.atleast_1d(found.mpn)), odd)[0] >= -best.fun - 1e-7


def test_information_is_minus_the_slope_of_the_slope():
    at = np.log(mpn(INNER, design=THREE).mpn)
    step = 1e-5
    numeric = -(slope(INNER, at + step, THREE) - slope(INNER, at - step, THREE)) / (2 * step)
    assert information(INNER, at, THREE) == pytest.approx(numeric, rel=1e-5)


def test_more_growth_never_lowers_the_number():
    numbers = dict(zip(map(tuple, EVERY), mpn(EVERY, design=THREE).mpn, strict=True))
    for pattern, number in numbers.items():
        for place in range(3):
            if pattern[place] < 3:
                more = tuple(one + (at == place) for at, one in enumerate(pattern))
                assert numbers[more] > number


def test_none_grown_and_all_grown_are_bounds():
    found = mpn([[0, 0, 0], [3, 3, 3]], design=THREE)
    assert found.operator.tolist() == ["<", ">"] and found.mpn[0] == 0.0 and math.isinf(found.mpn[1])
    assert np.isnan(found.se_ln).all()


def test_one_pattern_gives_one_number():
    assert mpn([2, 2, 0], design=THREE).mpn.shape == () and mpn([[2, 2, 0]], design=THREE).mpn.shape == (1,)


def test_unit_of_the_amounts_is_the_unit_of_the_number():
    per_g = mpn([2, 2, 0], design=THREE).mpn
    per_mg = mpn([2, 2, 0], design=design([3, 3, 3], [100.0, 10.0, 1.0])).mpn
    assert per_g == pytest.approx(1000.0 * per_mg)


def test_rarity_tells_the_likely_from_the_impossible():
    assert mpn([3, 1, 0], design=THREE).trust == "usual"
    assert mpn([2, 2, 0], design=THREE).rarity == pytest.approx(0.0685, abs=1e-4)
    odd = mpn([2, 3, 4], design=design([9, 3, 4], [0.1, 0.01, 0.001]))
    assert odd.trust == "not-to-be-trusted" and odd.rarity < 1e-12
    assert mpn([1, 2, 0], design=design([5, 5, 5], [0.1, 0.01, 0.001])).trust == "suspicious"
    assert mpn([0, 0, 3], design=THREE).trust in ("questionable", "not-to-be-trusted")


@pytest.mark.parametrize("pattern", [[1, 1], [4, 0, 0], [-1, 0, 0], [1.5, 0, 0], [True, 0, 0], ["a", 0, 0],
                                     [[[1, 1, 1]]]])
def test_what_is_no_pattern_is_refused(pattern):
    with pytest.raises(OutOfRange, match="positive"):
        mpn(pattern, design=THREE)


@pytest.mark.parametrize(("tubes", "amounts"), [([0, 3], [0.1, 0.01]), ([3, 3], [0.1, 0.0]), ([3], [0.1, 0.01]),
                                                ([3, 2.5], [0.1, 0.01]), ([[3]], [[0.1]])])
def test_what_is_no_design_is_refused(tubes, amounts):
    with pytest.raises(OutOfRange, match=r"tubes|amounts"):
        design(tubes, amounts)


def test_all_faults_of_a_design_are_told_at_once():
    with pytest.raises(Faults) as found:
        design([0, 3], [0.1, -1.0])
    assert [one.field for one in found.value.faults] == ["tubes", "amounts"]

"""Intervals of most probable numbers, each by its own name, and how often they hold the truth."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.mpn import design, log_likelihood, mpn
from tersum.lethality.mpn_coverage import coverage
from tersum.lethality.mpn_interval import METHODS, mpn_interval

THREE = design([3, 3, 3], [0.1, 0.01, 0.001])
FIVE = design([5, 5, 5], [0.1, 0.01, 0.001])
EVERY = np.array(list(itertools.product(range(4), repeat=3)), dtype=float)


def test_ratio_ends_lie_where_the_likelihood_has_fallen_by_half_of_chi_square():
    found = mpn(EVERY[1:-1], design=THREE)
    ends = mpn_interval(found)
    best = log_likelihood(EVERY[1:-1], np.log(found.mpn), THREE)
    for side in (ends.low, ends.high):
        assert best - log_likelihood(EVERY[1:-1], np.log(side), THREE) == pytest.approx(3.841458820694124 / 2, abs=1e-7)
    assert (ends.low < found.mpn).all() and (found.mpn < ends.high).all()


def test_one_ratio_end_agrees_with_scipy():
    found = mpn([2, 2, 0], design=THREE)
    at = math.log(float(found.mpn))

    def fallen(ln):
        both = log_likelihood(np.array([[2, 2, 0]]), np.array([at]), THREE)[0] - log_likelihood(
            np.array([[2, 2, 0]]), np.array([ln]), THREE)[0]
        return both - 3.841458820694124 / 2

    assert float(mpn_interval(found).high) == pytest.approx(math.exp(brentq(fallen, at, at + 5)), rel=1e-8)


@pytest.mark.parametrize(("method", "risk"), [("likelihood-ratio", 0.05), ("standard-error", 0.05),
                                              ("two-standard-errors", 0.025)])
def test_none_grown_has_an_upper_end_only(method, risk):
    ends = mpn_interval(mpn([0, 0, 0], design=THREE), method=method)
    assert ends.low == 0.0 and ends.high == pytest.approx(-math.log(risk) / 0.333)


def test_all_grown_has_a_lower_end_only():
    ends = mpn_interval(mpn([3, 3, 3], design=design([3, 3, 3], [1.0, 0.1, 0.01])), method="two-standard-errors")
    assert math.isinf(ends.high) and ends.low == pytest.approx(35.78, abs=0.05)


def test_methods_are_not_the_same_and_name_themselves():
    found = mpn([2, 2, 0], design=THREE)
    ends = [mpn_interval(found, method=method) for method in METHODS]
    assert len({float(one.high) for one in ends}) == 3 and [one.method for one in ends] == list(METHODS)


def test_wider_confidence_is_a_wider_interval():
    found = mpn([2, 2, 0], design=THREE)
    narrow, wide = (mpn_interval(found, confidence=one) for one in (0.9, 0.99))
    assert wide.low < narrow.low and narrow.high < wide.high


def test_chances_of_all_patterns_add_up():
    everything = coverage(THREE, [3.0, 300.0], confidence=1.0 - 1e-12)
    assert everything.coverage == pytest.approx([1.0, 1.0], abs=1e-9)


def test_what_is_no_method_or_density_is_refused():
    with pytest.raises(UnknownName, match="likelihood-ratio"):
        mpn_interval(mpn([2, 2, 0], design=THREE), method="exact")
    with pytest.raises(OutOfRange, match="confidence"):
        mpn_interval(mpn([2, 2, 0], design=THREE), confidence=1.0)
    with pytest.raises(OutOfRange, match="true_density"):
        coverage(THREE, [0.0])
    with pytest.raises(OutOfRange, match="at most 100000 patterns"):
        coverage(design([60, 60, 60], [0.1, 0.01, 0.001]), [1.0])

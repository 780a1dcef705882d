"""The product-limit curve, held against an independent implementation."""

import math

import numpy as np
import pytest
from lifelines import KaplanMeierFitter

from tersum.errors import OutOfRange
from tersum.evidence.kaplan_meier import kaplan_meier


def test_curve_agrees_with_an_independent_one():
    random = np.random.default_rng(2)
    value = random.integers(10, 60, 80).astype(float)
    above = random.random(80) < 0.3
    found = kaplan_meier(value, np.where(above, math.inf, value))
    other = KaplanMeierFitter().fit(value, ~above)
    assert found.share == pytest.approx(other.survival_function_at_times(found.value).to_numpy())
    assert found.median == other.median_survival_time_


def test_without_marks_mean_and_shares_are_plain():
    found = kaplan_meier([3, 5, 8, 10], [3, 5, 8, 10])
    assert found.mean == pytest.approx(6.5)
    assert found.share.tolist() == pytest.approx([0.75, 0.5, 0.25, 0.0])
    assert not found.mean_is_bound


def test_below_marks_are_the_mirror_of_above_marks():
    low, high = np.array([0.0, 3.0, 5.0, 0.0, 9.0]), np.array([4.0, 3.0, 5.0, 7.0, 9.0])
    turned = kaplan_meier(10 - high, np.where(low == 0, math.inf, 10 - high))
    found = kaplan_meier(low, high)
    assert found.mean == pytest.approx(10 - turned.mean)
    assert found.value == pytest.approx(10 - turned.value[::-1])


@pytest.mark.parametrize(("low", "high"), [([3, 5, 8], [3, 5, math.inf]), ([0, 5, 8], [4, 5, 8])])
def test_mean_is_a_bound_where_the_last_reading_is_a_mark(low, high):
    assert kaplan_meier(low, high).mean_is_bound


def test_median_is_not_a_number_where_the_curve_stays_above_half():
    found = kaplan_meier([3, 5, 8, 8, 8, 8], [3, 5] + [math.inf] * 4)
    assert math.isnan(found.median)


@pytest.mark.parametrize(("low", "high"), [([0, 5, 8, 9], [4, 5, 8, math.inf]), ([0, 5, 8, 6], [4, 5, 8, 7])])
def test_marks_of_both_sides_are_refused(low, high):
    with pytest.raises(OutOfRange):
        kaplan_meier(low, high)

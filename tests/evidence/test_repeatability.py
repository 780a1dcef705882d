"""Repeatability from duplicates, and what few duplicates leave open."""

import math

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.repeatability import (
    Repeatability,
    cv_to_log10,
    difference_trend,
    from_duplicates,
    repeatability_limit,
    rounding_spread,
    upper_bound,
    within_sd,
)


def test_pairs_give_one_degree_of_freedom_each():
    found = from_duplicates([100, 200, 50], [200, 100, 50])
    assert found.spread_log10 == pytest.approx(math.sqrt(2 * math.log10(2) ** 2 / 6))
    assert (found.degrees_of_freedom, found.basis) == (3.0, "duplicates")


def test_the_order_within_pairs_and_the_unit_do_not_matter():
    first, second = np.array([120.0, 80.0, 310.0]), np.array([90.0, 130.0, 250.0])
    wanted = from_duplicates(first, second).spread_log10
    assert from_duplicates(second, first).spread_log10 == wanted
    assert from_duplicates(7.5 * first, 7.5 * second).spread_log10 == pytest.approx(wanted)


def test_duplicates_alike_to_a_step_get_the_rounding_of_the_display_as_spread():
    """Two of three pairs equal and one a step apart: rounding alone, 1 / sqrt(12) RLU, spreads them more."""
    found = from_duplicates([100, 400, 1000], [100, 400, 1001])
    by_hand = math.sqrt(sum(2 * (1 / math.sqrt(12) / x / math.log(10)) ** 2 for x in (100, 400, 1000)) / 6)
    assert found.at_floor
    assert found.spread_log10 == pytest.approx(by_hand, rel=1e-3)
    assert math.log10(1001 / 1000) / math.sqrt(6) < found.spread_log10


def test_duplicates_that_scatter_are_not_at_the_floor():
    found = from_duplicates([100, 200, 50], [200, 100, 50])
    assert not found.at_floor
    assert found.spread_log10 == pytest.approx(math.sqrt(2 * math.log10(2) ** 2 / 6), rel=1e-12)


def test_the_floor_follows_the_step_of_the_display():
    coarse, fine = from_duplicates([10, 20], [10, 20.0001]), from_duplicates([10.5, 20], [10.5, 20.1])
    assert fine.spread_log10 == pytest.approx(math.log10(20.1 / 20) / 2, rel=1e-12) and not fine.at_floor
    assert coarse.at_floor and coarse.spread_log10 < 1e-4
    readings = np.full(100_000, 30.0) + np.random.default_rng(3).uniform(0, 40, 100_000)
    error = np.log10(np.round(readings)) - np.log10(readings)
    assert rounding_spread(readings) == pytest.approx(float(np.std(error)), rel=0.02)


def test_duplicates_find_the_spread_they_were_drawn_with():
    rng = np.random.default_rng(6)
    first, second = 10.0 ** rng.normal(2.2, 0.205, (2, 20_000))
    assert from_duplicates(first, second).spread_log10 == pytest.approx(0.205, rel=0.02)


def test_within_sd_works_on_any_scale_and_on_many_sets_of_pairs():
    pairs = np.random.default_rng(1).normal(400, 15, (2, 4, 17))
    found = within_sd(pairs[0], pairs[1])
    assert found.shape == (4,)
    assert found[2] == pytest.approx(math.sqrt(np.sum((pairs[0, 2] - pairs[1, 2]) ** 2) / 34))


@pytest.mark.parametrize(("cv", "spread"), [(0.23, 0.10), (0.41, 0.17), (0.50, 0.205), (0.78, 0.30)])
def test_a_coefficient_of_variation_is_a_log_spread(cv, spread):
    assert float(cv_to_log10(cv)) == pytest.approx(spread, abs=0.003)
    assert math.sqrt(stats.lognorm(float(cv_to_log10(cv)) * math.log(10)).var()) / stats.lognorm(
        float(cv_to_log10(cv)) * math.log(10)).mean() == pytest.approx(cv)


def test_two_swabs_at_the_book_spread_differ_by_a_factor_of_nearly_four():
    assert float(10 ** repeatability_limit(0.205)) == pytest.approx(3.7, abs=0.05)


@pytest.mark.parametrize(("pairs", "factor"), [(5, 2.09), (10, 1.59), (20, 1.36), (30, 1.27)])
def test_few_pairs_leave_room_above(pairs, factor):
    assert upper_bound(0.2, pairs) / 0.2 == pytest.approx(factor, abs=0.005)


def test_a_known_spread_has_no_room_above():
    assert upper_bound(0.2, math.inf) == 0.2


def test_the_upper_bound_covers_as_often_as_it_says():
    rng = np.random.default_rng(8)
    spreads = within_sd(*rng.normal(0, 0.2, (2, 20_000, 10)))
    covered = np.mean(spreads * upper_bound(1.0, 10) >= 0.2)
    assert covered == pytest.approx(0.95, abs=3 * math.sqrt(0.05 * 0.95 / 20_000))


def test_a_spread_that_grows_at_low_readings_is_noticed():
    rng = np.random.default_rng(9)
    level = rng.uniform(0.7, 3.0, 60)
    steady, growing = (level + rng.normal(0, 1, (2, 60)) * spread for spread in (0.2, 0.6 / level**1.5))
    assert difference_trend(*10**growing).p_grows_low < 0.01 < difference_trend(*10**steady).p_grows_low


def test_the_trend_is_spearman_with_ties():
    first, second = np.array([10, 10, 30, 45, 70, 70, 140.0]), np.array([20, 15, 45, 60, 90, 85, 150.0])
    wanted = stats.spearmanr(np.abs(np.log10(first / second)), np.log10(first * second))
    assert difference_trend(first, second).rank_correlation == pytest.approx(wanted.statistic)


def test_pairs_that_all_agree_show_no_trend():
    assert difference_trend([10, 20, 30, 40], [10, 20, 30, 40]).p_grows_low == 0.5


@pytest.mark.parametrize(("field", "call"), [
    ("first_rlu", lambda: from_duplicates([0, 2], [1, 2])),
    ("first_rlu", lambda: from_duplicates([math.nan], [1])),
    ("second_rlu", lambda: from_duplicates([1, 2], [1])),
    ("second_rlu", lambda: from_duplicates([], [])),
    ("spread_log10", lambda: from_duplicates([10, 20], [10, 20])),
    ("spread_log10", lambda: Repeatability(0.0, 5, "duplicates")),
    ("spread_log10", lambda: Repeatability(math.nan, 5, "duplicates")),
    ("spread_log10", lambda: Repeatability(20.5, 5, "duplicates")),
    ("degrees_of_freedom", lambda: Repeatability(0.2, 0, "duplicates")),
    ("readings_rlu", lambda: rounding_spread([])),
    ("step_rlu", lambda: rounding_spread([1.0], step_rlu=0.0)),
    ("basis", lambda: Repeatability(0.2, 5, "hearsay")),
    ("degrees_of_freedom", lambda: upper_bound(0.2, 0.5)),
    ("confidence_frac", lambda: upper_bound(0.2, 5, confidence_frac=1.0)),
    ("cv", lambda: cv_to_log10(0.0)),
    ("second_rlu", lambda: difference_trend([1, 2, 3], [1, 2, 4])),
])
def test_what_gives_no_spread_is_refused(field, call):
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.field == field

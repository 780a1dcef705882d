"""Reduction: bounds, interval and the answer to the agreed target."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.reduction import (
    CANNOT_TELL,
    MET,
    NOT_MET,
    TOO_CLEAN,
    log10_from_percent,
    mean_reduction,
    percent_from_log10,
    reduction,
    reduction_from_percent,
)

S = 0.17


def known(before, after, **options):
    return reduction(before, before, after, after, spread_log10=S, **options)


def test_one_pair_that_reads_90_percent_shows_70_to_97():
    found = known(1000, 100)
    assert found.log10 == pytest.approx(1.0)
    assert found.factor == pytest.approx(10.0)
    assert found.percent == pytest.approx(90.0)
    assert [round(end.item(), 1) for end in found.percent_interval] == [70.4, 96.6]


def test_exactly_90_percent_read_on_one_pair_does_not_show_90_percent():
    assert known(1000, 100, target_log10=1.0).met == CANNOT_TELL


def test_target_is_met_at_the_one_sided_95_percent_end():
    needed = 1.0 + 1.6448536269514722 * S * math.sqrt(2.0)  # 1.40, that is 96 %
    assert known(1000, 1000 / 10**needed, target_log10=1.0).met == MET
    assert known(1000, 1000 / 10 ** (needed - 0.001), target_log10=1.0).met == CANNOT_TELL


def test_less_than_the_target_is_not_met():
    assert known(1000, 101, target_log10=1.0).met == NOT_MET


def test_t_asks_for_more_than_a_known_spread():
    narrow, wide = known(1000, 50), known(1000, 50, degrees_of_freedom=5)
    assert wide.half_width_log10 / narrow.half_width_log10 == pytest.approx(2.5706 / 1.9600, abs=1e-4)
    assert known(1000, 36, target_log10=1.0).met == MET
    assert known(1000, 36, target_log10=1.0, degrees_of_freedom=5).met == CANNOT_TELL


def test_more_swabs_narrow_the_interval():
    one, four = known(1000, 100), known(1000, 100, n_before=4, n_after=4)
    assert four.half_width_log10 == pytest.approx(one.half_width_log10 / 2)


@pytest.mark.parametrize(("bounds", "operator", "log10"), [
    ((1000, 1000, 100, 100), "=", 1.0),
    ((1000, 1000, 0, 10), ">=", 2.0),  # after: below detection
    ((10000, math.inf, 100, 100), ">=", 2.0),  # before: over range
    ((10000, math.inf, 0, 10), ">=", 3.0),  # both: at least
    ((0, 10, 1, 1), "<=", 1.0),  # before: below detection
    ((1000, 1000, 10000, math.inf), "<=", -1.0),  # after: over range
], ids=["measured", "after-below", "before-over", "both", "before-below", "after-over"])
def test_a_bound_makes_the_reduction_a_bound(bounds, operator, log10):
    found = reduction(*bounds, spread_log10=S)
    assert found.operator == operator
    assert found.log10 == pytest.approx(log10)
    assert math.isinf(found.high_log10) == (operator == ">=")
    assert math.isinf(found.low_log10) == (operator == "<=")


@pytest.mark.parametrize("bounds", [(0, 10, 0, 10), (10000, math.inf, 10000, math.inf), (0, 10, 0, math.inf)])
def test_bounds_on_both_sides_cannot_tell(bounds):
    found = reduction(*bounds, spread_log10=S, target_log10=1.0, detection_rlu=0.5)
    assert found.operator == "?"
    assert math.isnan(found.log10)
    assert found.met == CANNOT_TELL


def test_too_clean_is_decided_from_the_start_alone():
    after = np.array([0.001, 1.0, 40.0, 4000.0])
    assert (known(49.0, after, target_log10=1.0).met == TOO_CLEAN).all()
    assert (known(51.0, after, target_log10=1.0).met != TOO_CLEAN).all()


def test_detection_level_of_the_instrument_sets_what_is_too_clean():
    assert known(60.0, 1.0, target_log10=1.0, detection_rlu=6.1).met == TOO_CLEAN
    assert known(60.0, 1.0, target_log10=1.0, detection_rlu=5.9).met == MET


def test_a_rise_is_a_negative_reduction():
    found = known(100, 1000)
    assert found.log10 == pytest.approx(-1.0)
    assert found.percent == pytest.approx(-900.0)


def test_arrays_and_single_numbers_agree():
    before, after = np.array([[1000.0], [200.0]]), np.array([100.0, 20.0, 5.0])
    found = known(before, after, target_log10=1.0)
    assert found.log10.shape == found.met.shape == (2, 3)
    assert found.met[1, 2] == known(200.0, 5.0, target_log10=1.0).met


@pytest.mark.parametrize("bounds", [
    (0, 0, 10, 10), (10, 10, 0, 0), (-1, 10, 1, 1), (20, 10, 1, 1), (10, 10, 5, 4), (math.inf, math.inf, 1, 1),
    (math.nan, 10, 1, 1), (10, math.nan, 1, 1), (True, True, 1, 1), ([10, True], 10, 1, 1), ("10", 10, 1, 1),
])
def test_what_has_no_logarithm_or_no_order_is_refused(bounds):
    with pytest.raises(OutOfRange):
        reduction(*bounds, spread_log10=S)


@pytest.mark.parametrize("options", [
    {"spread_log10": 0.0}, {"spread_log10": -0.1}, {"spread_log10": math.inf}, {"spread_log10": True},
    {"degrees_of_freedom": 0.0}, {"n_before": 0}, {"n_after": 1.5}, {"coverage": 1.0}, {"target_log10": 0.0},
    {"target_log10": 1.0, "detection_rlu": 0.0},
])
def test_options_outside_their_range_are_refused(options):
    with pytest.raises(OutOfRange):
        reduction(100, 100, 10, 10, **{"spread_log10": S, **options})


def test_mean_over_points_is_a_geometric_mean_with_a_t_interval():
    found = mean_reduction([1000, 1000, 1000], [100, 10, 100])
    assert found.factor == pytest.approx(10 ** (4 / 3))
    # sd of (1, 2, 1) is 0.57735, t at 2 degrees of freedom 4.30265
    assert found.half_width_log10 == pytest.approx(4.30265 * 0.57735 / math.sqrt(3), abs=1e-5)


@pytest.mark.parametrize(("before", "after"), [([100], [10]), ([100, 200], [10]), ([100, 0], [10, 10]), (100, 10),
                                               ([100, 30], [10, 3])])
def test_mean_over_points_refuses_what_has_no_spread(before, after):
    with pytest.raises(OutOfRange):
        mean_reduction(before, after)


def test_percent_and_log_turn_into_each_other():
    percents = np.array([-900.0, 0.0, 32.0, 90.0, 99.9])
    assert percent_from_log10(log10_from_percent(percents)) == pytest.approx(percents)


@pytest.mark.parametrize("percent", [100, 100.1, math.inf, math.nan, True])
def test_all_of_it_taken_away_has_no_logarithm(percent):
    with pytest.raises(OutOfRange):
        log10_from_percent(percent)


def test_a_stated_percent_must_lie_in_its_interval():
    with pytest.raises(OutOfRange):
        reduction_from_percent(50, 60, 70)

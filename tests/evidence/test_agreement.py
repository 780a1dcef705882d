"""Agreement, calibration, curves, recovery, trends, bootstrap: hard cases and what may not be said."""

import math

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.agreement import converted, deming, kappa, limits_of_agreement
from tersum.evidence.bootstrap import mean_intervals
from tersum.evidence.calibration_line import amount_read, calibration_line
from tersum.evidence.recovery import NOT_COUNTED, Policy, Recovery, corrected, mean_recovery, recovery
from tersum.evidence.roc import area_under, best_cut
from tersum.evidence.trend import carried_along, got_dirtier, mann_kendall, single_break


def test_limits_of_two_instruments_are_factors():
    found = limits_of_agreement(np.log10([200.0, 400.0, 90.0]), np.log10([100.0, 200.0, 45.0]))
    assert found.as_factors == pytest.approx((2.0, 2.0, 2.0))


def test_a_line_with_errors_on_both_sides_is_not_flattened():
    rng, true = np.random.default_rng(1), np.linspace(1.0, 3.0, 60)
    slopes, flat, held = [], [], 0
    for _ in range(150):
        x, y = true + rng.normal(0.0, 0.3, 60), true + rng.normal(0.0, 0.3, 60)
        line = deming(x, y, variance_ratio=1.0)
        slopes.append(line.slope)
        flat.append(np.polyfit(x, y, 1)[0])
        held += line.slope_interval[0] <= 1.0 <= line.slope_interval[1]
    assert np.mean(slopes) == pytest.approx(1.0, abs=0.03) and np.mean(flat) < 0.85
    assert held / 150 >= 0.95 - 3.0 * math.sqrt(0.05 * 0.95 / 150)


def test_fewer_than_forty_pairs_convert_nothing():
    x = np.linspace(1.0, 3.0, 39)
    with pytest.raises(OutOfRange, match="40 pairs or more"):
        converted(deming(x, x + 0.2 + 0.1 * np.sin(9 * x), variance_ratio=1.0), 2.0)


def test_a_line_that_hardly_rises_is_not_read_backwards():
    line = calibration_line([0.0, 1.0, 2.0, 3.0], [1.0, 1.3, 0.8, 1.1])
    assert amount_read(line, 1.1)[1:] == (-math.inf, math.inf)


def test_readings_on_a_line_are_read_back_as_often_as_stated():
    rng, x, held = np.random.default_rng(2), np.tile(np.arange(5.0), 3), 0
    for _ in range(400):
        line = calibration_line(x, 1.0 + 2.0 * x + rng.normal(0.0, 0.5, x.size))
        _, low, high = amount_read(line, 1.0 + 2.0 * 2.5 + rng.normal(0.0, 0.5))
        held += low <= 2.5 <= high
    assert held / 400 >= 0.95 - 3.0 * math.sqrt(0.05 * 0.95 / 400)


def test_kappa_depends_on_how_common_each_kind_is():
    assert kappa([[45, 5], [5, 45]]).kappa > kappa([[89, 5], [5, 1]]).kappa
    assert kappa([[45, 5], [5, 45]]).agreed_frac == kappa([[89, 5], [5, 1]]).agreed_frac


@pytest.mark.parametrize("table", [[[5, 0], [0, 0]], [[1, 2, 3]], [[1]], [[1.5, 0], [0, 1]], [[0, 0], [0, 0]]])
def test_a_table_that_is_none_is_refused(table):
    with pytest.raises(OutOfRange):
        kappa(table)


def test_the_area_is_that_of_the_rank_sum():
    rng = np.random.default_rng(3)
    clean, dirty = rng.normal(0, 1, 40).round(1), rng.normal(0.5, 1, 35).round(1)
    assert area_under(clean, dirty).area == pytest.approx(stats.mannwhitneyu(dirty, clean).statistic / (40 * 35))


def test_a_cut_chosen_from_noise_is_unsure_and_from_few_is_not_usable():
    rng = np.random.default_rng(4)
    found = best_cut(rng.normal(2.0, 0.5, 40), rng.normal(2.1, 0.5, 40), rng=rng, draws=300)
    assert found.cut_interval[1] - found.cut_interval[0] > 0.5 and found.usable
    assert not best_cut(rng.normal(2.0, 0.5, 29), rng.normal(3.0, 0.5, 40), rng=rng, draws=100).usable


def test_a_spike_that_is_not_seen_is_refused_and_not_divided_by():
    with pytest.raises(OutOfRange, match="nothing of it was read"):
        recovery(100.0, 90.0, 500.0)


def test_a_correction_widens():
    assert corrected(80.0, Recovery(0.5, 0.1), net_rel=0.2).relative_uncertainty > 0.2


def test_one_spike_at_a_visit_corrects_nothing():
    with pytest.raises(OutOfRange, match="6 values or more"):
        mean_recovery([0.5] * 5)


@pytest.mark.parametrize("bounds", [((1.1, 1.3), (0.3, 1.5)), ((0.7, 1.3), (0.8, 1.5)), ((0.7, 1.3), (0.3, 1.2))])
def test_a_policy_that_makes_no_sense_is_refused(bounds):
    with pytest.raises(OutOfRange):
        Policy(*bounds)


def test_the_policy_is_a_setting():
    assert Policy().verdict(0.25) == NOT_COUNTED != Policy(counted=(0.2, 1.5)).verdict(0.25)


def test_a_jump_makes_a_trend_too_and_is_found_as_a_jump():
    series = np.r_[np.full(15, 2.0), np.full(15, 2.6)] + np.random.default_rng(5).normal(0.0, 0.1, 30)
    assert mann_kendall(series).p_two_sided < 0.01 and single_break(series).last_before == 15


@pytest.mark.parametrize("test", [mann_kendall, single_break])
def test_a_series_without_change_is_refused(test):
    with pytest.raises(OutOfRange):
        test([1.0] * 8)


def test_no_trend_is_found_where_there_is_none():
    rng = np.random.default_rng(6)
    wrong = np.mean([mann_kendall(rng.normal(0, 1, 20)).p_two_sided <= 0.05 for _ in range(600)])
    assert wrong <= 0.05 + 3.0 * math.sqrt(0.05 * 0.95 / 600)


def test_dirt_carried_along_is_seldom_found_where_there_is_none():
    rng = np.random.default_rng(7)
    wrong = np.mean([carried_along(rng.normal(0, 1, 10), rng=rng, draws=400).p <= 0.05 for _ in range(400)])
    assert wrong <= 0.05 + 3.0 * math.sqrt(0.05 * 0.95 / 400)


def test_points_are_named_dirtier_no_more_often_than_stated_for_all_together():
    rng = np.random.default_rng(8)
    named = np.mean([got_dirtier(rng.normal(2, 0.2, 12), rng.normal(2, 0.2, 12), spread_log10=0.2).any()
                     for _ in range(1000)])
    assert named <= 0.05 + 3.0 * math.sqrt(0.05 * 0.95 / 1000)


def test_bootstrap_intervals_agree_with_scipy():
    groups = np.random.default_rng(9).normal(2.0, 0.3, (5, 25))
    low, high = mean_intervals(groups, rng=np.random.default_rng(1), draws=4000)
    theirs = stats.bootstrap((groups,), np.mean, axis=1, n_resamples=4000, method="percentile",
                             rng=np.random.default_rng(2)).confidence_interval
    assert low == pytest.approx(theirs.low, abs=0.01) and high == pytest.approx(theirs.high, abs=0.01)

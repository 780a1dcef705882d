"""Readings that are inequalities."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.censoring import lognormal_fit, marked_bounds, suggested_method
from tersum.evidence.likelihood import CensoredLogs


def test_marks_become_bounds():
    low, high = marked_bounds([5, 7, 9], below=[True, False, False], above=[False, False, True])
    assert low.tolist() == [0.0, 7.0, 9.0]
    assert high.tolist() == [5.0, 7.0, math.inf]


@pytest.mark.parametrize("given", [
    {"values": [0.0]}, {"values": [5], "below": [1]}, {"values": [5], "below": [True, False]},
    {"values": [5], "below": [True], "above": [True]}, {"values": [True]},
])
def test_marks_that_are_none_are_refused(given):
    with pytest.raises(OutOfRange):
        marked_bounds(**given)


@pytest.mark.parametrize(("n", "censored", "method"), [
    (10, 0, "plain"), (49, 24, "ros"), (50, 24, "likelihood"), (50, 25, "likelihood-wide"), (10, 8, "likelihood-wide"),
    (10, 9, "share-only"), (3, 3, "share-only"),
])
def test_method_follows_the_share_that_is_censored(n, censored, method):
    assert suggested_method(n, censored) == method


@pytest.mark.parametrize(("n", "censored"), [(0, 0), (5, 6), (5, -1), (5.5, 1)])
def test_method_refuses_impossible_counts(n, censored):
    with pytest.raises(OutOfRange):
        suggested_method(n, censored)


def test_fit_finds_the_truth_of_a_censored_sample():
    """A sample of 4000 with known median and spread: a fifth below detection, a tenth over range."""
    true = np.random.default_rng(11).normal(2.0, 0.4, 4000)
    lowest, highest = np.quantile(true, [0.2, 0.9])
    low = np.where(true < lowest, 0.0, np.minimum(10**true, 10**highest))
    high = np.where(true > highest, math.inf, np.maximum(10**true, 10**lowest))
    found = lognormal_fit(low, high)
    assert found.censored == 1200
    assert found.mean_log10 == pytest.approx(2.0, abs=0.02)
    assert found.spread_log10 == pytest.approx(0.4, abs=0.02)


def test_half_the_level_in_place_of_a_mark_would_move_the_answer():
    """What the likelihood is for: the made-up number gives another median and another spread."""
    values, below = [50, 50, 50, 60, 80, 90, 120, 200], [True] * 3 + [False] * 5
    fit = lognormal_fit(*marked_bounds(values, below=below))
    made_up = np.log10(np.where(below, 25.0, values))
    assert abs(fit.mean_log10 - made_up.mean()) > 0.02
    assert abs(fit.spread_log10 - made_up.std()) > 0.02


def test_intervals_between_two_levels_enter_as_they_are():
    """Readings known only to a power of ten still give the median of what was rounded."""
    true = np.random.default_rng(3).normal(1.7, 0.5, 2000)
    measured = true[:50]
    low = np.concatenate([10**measured, 10 ** np.floor(true[50:])])
    high = np.concatenate([10**measured, 10 ** (np.floor(true[50:]) + 1)])
    assert lognormal_fit(low, high).mean_log10 == pytest.approx(1.7, abs=0.04)


def test_interval_covers_the_truth_as_often_as_it_says():
    random, hits, trials = np.random.default_rng(5), 0, 100
    for _ in range(trials):
        true = random.normal(1.0, 0.3, 20)
        reading = 10**true
        fit = lognormal_fit(np.where(reading < 8.0, 0.0, reading), np.maximum(reading, 8.0))
        hits += fit.low_log10 <= 1.0 <= fit.high_log10
    # 95 % of 100 is 95; 3 standard deviations are 6.5
    assert 89 <= hits <= 100


def test_slope_is_the_derivative_of_the_loss():
    ends = CensoredLogs.of(np.array([0.0, 20.0, 30.0, 100.0, 5.0]), np.array([10.0, 20.0, 30.0, math.inf, 9.0]))
    at, step = np.array([1.3, -0.9]), 1e-6
    numeric = [(ends.loss(at + step * axis) - ends.loss(at - step * axis)) / (2 * step) for axis in np.eye(2)]
    assert ends.slope(at) == pytest.approx(numeric, abs=1e-6)


def test_a_mark_far_out_in_the_tail_keeps_its_likelihood():
    ends = CensoredLogs.of(np.array([10.0, 11.0, 0.0]), np.array([10.0, 11.0, 1e-3]))
    assert math.isfinite(ends.loss(np.array([1.0, math.log(0.05)])))


@pytest.mark.parametrize(("low", "high"), [
    ([0, 0, 10], [5, 5, 10]), ([10, 10, 0], [10, 10, 5]), ([0, 0], [5, 5]), ([10, 20], [10]), ([10, 30], [10, 20]),
    ([10, 20], [10, math.nan]), ([-1, 20], [10, 20]), (10, 10), ([10, True], [10, 20]),
])
def test_fit_refuses_what_has_no_median_and_spread(low, high):
    with pytest.raises(OutOfRange):
        lognormal_fit(low, high)

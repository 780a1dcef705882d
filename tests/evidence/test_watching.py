"""One chart and one rule: limits from raw first values, run lengths against published ones, and what cannot be told."""

import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.trend import mann_kendall
from tersum.evidence.watching import CANNOT_TELL, KINDS, STEADY, run_lengths, watch, whitened_trend
from tersum.evidence.watching_counts import watch_counts

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
RUNS, FIRST = (2_000, 1_000) if SOAK else (60, 400)


@pytest.mark.parametrize(("kind", "published", "shifted"), [
    ("individuals", 370.4, 43.9), ("ewma", 500.0, 10.5), ("cusum", 465.0, 10.4)])
def test_run_lengths_are_the_published_ones(kind, published, shifted):
    # Lucas & Crosier 1982, Table 1 (h = 5: 465 and 10.4); Lucas & Saccucci 1990 (0.2, 2.962: 500 and 10.5).
    alarm, found = run_lengths(kind)
    assert alarm == pytest.approx(published, rel=0.003) and found == pytest.approx(shifted, abs=0.06)


@pytest.mark.parametrize("kind", KINDS)
def test_simulated_streams_run_as_long_as_stated(kind, record_property):
    """With limits from very many values the mean time to a signal after a shift of one is the one stated."""
    random = np.random.default_rng(71)
    ends = []
    for _ in range(RUNS):
        later = watch(np.concatenate([random.normal(size=FIRST), 1.0 + random.normal(size=200)]), kind=kind,
                      baseline=FIRST)
        ends.append(later.signals[0] - FIRST + 1 if later.signals else 200)
    mean, error = float(np.mean(ends)), float(np.std(ends) / len(ends) ** 0.5)
    record_property("mean_run_length", mean)
    # Limits from some hundred values are a few percent off, which moves the run length with them.
    assert abs(mean - run_lengths(kind)[1]) < 4.0 * error + 0.12 * run_lengths(kind)[1]


def test_the_spread_comes_from_raw_values_and_not_from_what_is_smoothed():
    """A steady stream must stay quiet: 40 values ring in less than a quarter of cases even with estimated limits."""
    random = np.random.default_rng(72)
    alarms = [watch(random.normal(size=60), kind="ewma").verdict != STEADY for _ in range(150)]
    assert np.mean(alarms) < 0.35


def test_few_first_values_ring_more_often_and_that_is_said(record_property):
    random = np.random.default_rng(73)
    rates = {}
    for first in (20, 100):
        rates[first] = np.mean([bool(watch(random.normal(size=first + 40), kind="ewma", baseline=first).signals)
                                for _ in range(150)])
    record_property("alarms_in_40", str(rates))
    assert rates[20] > rates[100]
    assert watch(random.normal(size=30)).remarks[0][0] == "short-baseline"


def test_neighbours_that_hang_together_are_told_and_residuals_quieten_them():
    random = np.random.default_rng(74)
    series = np.zeros(400)
    for place in range(1, 400):
        series[place] = 0.7 * series[place - 1] + random.normal()
    raw, after = (watch(series, baseline=100, residuals=residuals) for residuals in (False, True))
    assert "hangs-together" in [code for code, _numbers in raw.remarks]
    assert len(after.signals) < len(raw.signals)


def test_what_cannot_be_told_says_why():
    assert watch([]).why == "too-few" and watch([1.0] * 19).why == "too-few"
    assert watch([2.0] * 30).why == "constant"
    assert watch(np.arange(20.0)).why == "nothing-since"
    assert watch(np.arange(30.0), left_out=8).why == "inequalities"
    assert all(watch(values).verdict == CANNOT_TELL for values in ([], [2.0] * 30))
    with pytest.raises(OutOfRange):
        watch([1.0, 2.0], baseline=5)


def test_a_trend_of_values_that_hang_together_is_whitened():
    """Without a trend, a test at 5 % that takes neighbours as separate news rings far too often."""
    random = np.random.default_rng(75)
    plain, white = 0, 0
    for _ in range(200):
        series = np.zeros(60)
        for place in range(1, 60):
            series[place] = 0.6 * series[place - 1] + random.normal()
        plain += mann_kendall(series).p_two_sided < 0.05
        white += whitened_trend(series).p_two_sided < 0.05
    assert white < 0.6 * plain


def test_small_groups_get_exact_limits_that_ring_no_more_often_than_they_may():
    random = np.random.default_rng(76)
    found = watch_counts(random.binomial(8, 0.06, 4_000), np.full(4_000, 8), baseline=2_000)
    assert found.exact and len(found.signals) / 2_000 <= 0.00135 * 2 + 3 * (0.0027 / 2_000) ** 0.5
    assert found.run_length > 370


def test_counts_that_cannot_be_charted_say_why():
    assert watch_counts([0] * 30, [8] * 30).why == "all-or-none"
    assert watch_counts([1, 2]).why == "too-few"
    with pytest.raises(OutOfRange):
        watch_counts([9] * 30, [8] * 30)

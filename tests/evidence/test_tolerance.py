"""Levels that hold a share of all."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.tolerance import one_sided_factor, two_sided_factor, upper_tolerance_rlu


def test_level_holds_the_share_as_often_as_it_says():
    random = np.random.default_rng(9)
    logs = random.normal(1.5, 0.3, (6000, 10))
    level = logs.mean(axis=1) + one_sided_factor(10, 0.95, 0.9) * logs.std(axis=1, ddof=1)
    held = (level >= 1.5 + 1.6448536 * 0.3).mean()
    assert held == pytest.approx(0.9, abs=3 * (0.09 / 6000) ** 0.5)


def test_two_sided_factor_holds_the_share_as_often_as_it_says():
    from scipy.stats import norm

    random = np.random.default_rng(10)
    draws = random.normal(size=(6000, 12))
    mean, reach = draws.mean(axis=1), two_sided_factor(12, 0.9, 0.95) * draws.std(axis=1, ddof=1)
    held = (norm.cdf(mean + reach) - norm.cdf(mean - reach) >= 0.9).mean()
    assert held == pytest.approx(0.95, abs=3 * (0.0475 / 6000) ** 0.5)


def test_two_spreads_above_ten_readings_fall_short_nearly_one_time_in_three():
    assert one_sided_factor(10, 0.95, 0.69) < 2.0 < one_sided_factor(10, 0.95, 0.72)


def test_baseline_level_is_the_factor_on_logs():
    readings = [22, 35, 18, 41, 27, 30, 16, 25, 33, 21]
    logs = np.log10(readings)
    assert upper_tolerance_rlu(readings) == pytest.approx(10 ** (logs.mean() + 2.9110 * logs.std(ddof=1)), rel=1e-4)


@pytest.mark.parametrize("call", [
    lambda: one_sided_factor(1, 0.9, 0.9), lambda: one_sided_factor(10, 1.0, 0.9),
    lambda: two_sided_factor(1, 0.9, 0.9), lambda: upper_tolerance_rlu([5]), lambda: upper_tolerance_rlu([5, 0]),
    lambda: upper_tolerance_rlu([5, 5]),
])
def test_baselines_without_spread_are_refused(call):
    with pytest.raises(OutOfRange):
        call()

"""Drift of an electrode over its calibrations."""

import math

import numpy as np
import pytest

from tersum.chemistry.meter_drift import PastCalibration, drift
from tersum.errors import Faults, OutOfRange

DAYS = (0, 20, 40, 60, 80)


def history(rng, *, fall=0.03, scatter=0.4):
    return [PastCalibration(day, 99.0 - fall * day + scatter * rng.standard_normal(), 2.0 + rng.standard_normal())
            for day in DAYS]


def test_two_calibrations_cannot_tell_a_trend():
    found = drift([PastCalibration(0, 99.0, 1.0), PastCalibration(30, 95.0, 1.0)])
    assert found.slope_pct.answer == "cannot-tell" and math.isnan(found.slope_pct.per_30_days)
    assert found.replace_after_day is None


def test_steady_electrode_is_steady():
    assert drift([PastCalibration(day, 98.0, 1.0) for day in DAYS]).slope_pct.answer == "steady"


def test_falling_electrode_is_warned_of_before_the_line_says():
    seen = [PastCalibration(day, 99.0 - 0.05 * day + wobble, 0.0)
            for day, wobble in zip(DAYS, (0.1, -0.1, 0.1, -0.1, 0.1), strict=True)]
    found = drift(seen)
    assert found.slope_pct.answer == "falling"
    assert 80.0 < found.replace_after_day < 80.0 + (found.slope_pct.latest - 90.0) / 0.05


def test_electrode_below_the_limit_is_due_now():
    assert drift([PastCalibration(5, 89.0, 0.0)]).replace_after_day == 5


def test_interval_of_the_trend_covers_the_truth_in_95_of_100_histories():
    """Five calibrations: only Student's t gives the interval its 95 %."""
    rng, covered, rounds = np.random.default_rng(17), 0, 3000
    for _ in range(rounds):
        trend = drift(history(rng)).slope_pct
        covered += trend.low_per_30_days <= -0.9 <= trend.high_per_30_days
    assert 0.935 <= covered / rounds <= 0.965


def test_order_of_the_history_changes_nothing():
    seen = history(np.random.default_rng(1))
    assert drift(seen[::-1]) == drift(seen)


def test_two_calibrations_on_one_day_are_asked_about():
    with pytest.raises(OutOfRange, match="one calibration a day"):
        drift([PastCalibration(1, 99.0, 0.0), PastCalibration(1, 98.0, 0.0)])


def test_empty_and_impossible_histories_are_refused():
    with pytest.raises(OutOfRange, match="one calibration or more"):
        drift([])
    with pytest.raises(Faults) as told:
        drift([PastCalibration(math.inf, 200.0, 999.0)])
    assert len(told.value.faults) == 3

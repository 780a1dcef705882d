"""A limit from one's own baseline: it covers what it claims, or there is none."""

import math
import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.baseline import (
    CHANGE,
    KEEP,
    NOT_DUE,
    OwnLimit,
    lacks,
    percentile_limit,
    points_needed,
    review,
    tolerance_limit,
)
from tersum.evidence.tolerance import upper_tolerance_rlu

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
TRIALS = 2000 if SOAK else 150


def slack(count):
    return 3.0 * math.sqrt(0.05 * 0.95 / count)


@pytest.mark.parametrize("n", [59, 75, 93, 140])
def test_a_percentile_lies_above_the_share_it_claims(n, record_property):
    rng, trials = np.random.default_rng(n), 20 * TRIALS
    above = np.mean([percentile_limit(x, x).rlu >= math.exp(1.644854)
                     for x in np.exp(rng.normal(0.0, 1.0, (trials, n)))])
    record_property("covered_share", float(above))
    assert above >= 0.95 - slack(trials)


def test_its_interval_of_90_pct_covers_as_much():
    rng = np.random.default_rng(5)
    found = [percentile_limit(x, x) for x in np.exp(rng.normal(0.0, 1.0, (10 * TRIALS, 100)))]
    assert np.mean([one.low_rlu <= math.exp(1.644854) <= one.high_rlu for one in found]) >= 0.9 - slack(10 * TRIALS)


@pytest.mark.parametrize(("vehicles", "between"), [(4, 0.0), (4, 0.15), (8, 0.15), (3, 0.2)])
def test_a_log_normal_level_holds_the_differences_between_vehicles(vehicles, between, record_property):
    rng, names = np.random.default_rng([vehicles, 7]), np.repeat(np.arange(vehicles), 7)
    true, above = 1.644854 * math.hypot(between, 0.2), 0
    for _ in range(TRIALS):
        logs = rng.normal(0.0, between, vehicles)[names] + rng.normal(0.0, 0.2, names.size)
        above += math.log10(tolerance_limit(10.0**logs, names, rng=rng, draws=2000).rlu) >= true
    record_property("covered_share", above / TRIALS)
    assert above / TRIALS >= 0.95 - slack(TRIALS)


def test_points_taken_as_separate_fall_short_where_vehicles_differ():
    """What the method above is for."""
    rng, names = np.random.default_rng(8), np.repeat(np.arange(4), 7)
    logs = [rng.normal(0.0, 0.2, 4)[names] + rng.normal(0.0, 0.2, names.size) for _ in range(TRIALS)]
    true = 1.644854 * math.hypot(0.2, 0.2)
    assert np.mean([math.log10(upper_tolerance_rlu(10.0**one)) >= true for one in logs]) < 0.85


def test_fewer_points_than_the_method_needs_give_no_limit():
    assert points_needed("percentile") == 59
    with pytest.raises(OutOfRange, match="59 points or more"):
        percentile_limit(np.arange(1.0, 59.0), np.arange(1.0, 59.0))
    with pytest.raises(OutOfRange, match="20 points or more"):
        tolerance_limit(np.arange(1.0, 20.0), np.arange(19) % 3, rng=np.random.default_rng(1))
    with pytest.raises(OutOfRange, match="3 vehicles or more"):
        tolerance_limit(np.arange(1.0, 31.0), np.arange(30) % 2, rng=np.random.default_rng(1))


def test_everything_that_is_lacking_is_told_at_once():
    found = lacks("percentile", points=10, vehicles=1, people=0, days=1, only_passed=True)
    assert [one.code for one in found] == ["only-passed", "few-points", "few-vehicles", "few-people", "few-days"]
    assert lacks("percentile", points=59, vehicles=3, people=2, days=3, only_passed=False) == ()


def test_readings_below_detection_keep_their_place():
    low, high = np.arange(1.0, 61.0), np.arange(1.0, 61.0)
    low[:30], high[:30] = 0.0, 30.0
    assert percentile_limit(low, high).rlu == 60.0


def test_a_limit_over_the_range_is_none():
    high = np.append(np.arange(1.0, 59.0), np.inf)
    with pytest.raises(OutOfRange, match="inside the meter's range"):
        percentile_limit(np.append(np.arange(1.0, 59.0), 9999.0), high)


@pytest.mark.parametrize(("old", "since", "days", "told"), [
    (80.0, 12, 90, NOT_DUE), (80.0, 30, 90, KEEP), (80.0, 2, 365, KEEP), (300.0, 40, 90, CHANGE),
    (20.0, 40, 90, CHANGE)])
def test_a_frozen_limit_changes_only_where_the_new_interval_leaves_it_out(old, since, days, told):
    fresh = OwnLimit(90.0, "percentile", 70, 4, 0.95, 0.95, 70, 50.0, 100.0)
    assert review(old, fresh, points_since=since, days_since=days) == told


def test_another_swab_type_ends_a_limit():
    assert review(80.0, None, points_since=0, days_since=0, changed_equipment=True) == CHANGE

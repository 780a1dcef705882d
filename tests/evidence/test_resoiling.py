"""Soiling again: the upper prediction covers what it says, and nothing is promised beyond what was seen."""

import os

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.resoiling import resoiling

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
TRIALS = 2_000 if SOAK else 120


def _grown(random, places, intervals, *, slope=0.04, between=0.01, spread=0.15):
    names, days, left, seen = [], [], [], []
    for place in range(places):
        own = slope + between * random.normal()
        for day in random.uniform(3, 25, intervals):
            names.append(f"v{place}")
            days.append(day)
            left.append(1.2 + spread * random.normal())
            seen.append(1.2 + own * day + spread * random.normal())
    return names, days, left, seen


def test_the_upper_prediction_of_a_place_covers_what_it_says(record_property):
    random = np.random.default_rng(11)
    below = 0
    for _ in range(TRIALS):
        found = resoiling(*_grown(random, 1, 6, between=0.0), limit_log10=9.0, coverage=0.9)
        later = found.days[30]
        below += 1.2 + 0.04 * later + 0.15 * random.normal() <= found.upper[30]
    record_property("covered", below / TRIALS)
    assert abs(below / TRIALS - 0.9) < 4 * (0.09 / TRIALS) ** 0.5


def test_the_upper_prediction_of_a_new_place_covers_about_what_it_says(record_property):
    random = np.random.default_rng(12)
    below, trials = 0, TRIALS // 4
    for _ in range(trials):
        found = resoiling(*_grown(random, 8, 3), limit_log10=9.0, coverage=0.9)
        later = found.days[45]
        below += (1.2 + (0.04 + 0.01 * random.normal()) * later + 0.15 * random.normal()) <= found.upper[45]
    record_property("covered", below / trials)
    assert below / trials > 0.9 - 4 * (0.09 / trials) ** 0.5


def test_nothing_is_due_beyond_the_longest_interval_seen():
    random = np.random.default_rng(13)
    names, days, left, seen = _grown(random, 3, 4, slope=0.001, between=0.0)
    found = resoiling(names, days, left, seen, limit_log10=8.0)
    assert all(one.at_the_longest and one.days <= max(days) + 1e-9 for one in found.due)
    assert "no-growth" in found.remarks
    short = resoiling(names, days, left, seen, limit_log10=8.0, longest_days=4.0)
    assert {one.days for one in short.due} == {4.0}
    assert all(one.days == 0.0 for one in resoiling(names, days, left, seen, limit_log10=0.5).due)


def test_growth_that_levels_off_is_told():
    days = np.array([1, 2, 4, 7, 10, 14, 20, 25.0])
    seen = 1.0 + 0.8 * (1 - np.exp(-days / 3)) + 0.01 * np.cos(9 * days)
    found = resoiling(["v"] * 8, days, np.ones(8), seen, limit_log10=2.0)
    assert "levels-off" in found.remarks
    assert "levels-off" not in resoiling(["v"] * 8, days, np.ones(8), seen, limit_log10=2.0, log_time=True).remarks


def test_too_few_intervals_are_refused():
    with pytest.raises(OutOfRange):
        resoiling(["v", "v"], [3, 4], [1, 1], [2, 2], limit_log10=2.0)

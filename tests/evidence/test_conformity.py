"""Whether a point conforms, and what is to be done with it."""

import math

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.conformity import (
    CLEAN_AGAIN,
    DONE,
    NOT_READ,
    SWAB_AGAIN,
    Guard,
    conformity_of_groups,
    decide_arrays,
    p_conform,
    release_level,
    release_multiplier,
    with_shared_shift,
)

LIMIT = math.log10(300)


def decided(low, high=None, n=1, *, looks_left=1, multiplier=1.871, spread=0.205, limit=LIMIT):
    return decide_arrays(low, low if high is None else high, n, log10_limit=limit, spread_log10=spread,
                         multiplier=multiplier, looks_left=looks_left).tolist()


def test_known_spread_gives_the_normal_probability():
    assert float(p_conform(math.log10(200), 1, limit_rlu=300, spread_log10=0.17)) == pytest.approx(0.8499, abs=5e-5)


def test_estimated_spread_gives_student_t():
    found = p_conform([2.2, 2.4], [1, 2], limit_rlu=300, spread_log10=0.2, degrees_of_freedom=7)
    distance = (LIMIT - np.array([2.2, 2.4])) * np.sqrt([1, 2]) / 0.2
    assert found == pytest.approx(stats.t.cdf(distance, 7))


def test_at_the_limit_it_is_an_even_chance():
    assert p_conform(LIMIT, [1, 2, 9], limit_rlu=300, spread_log10=0.2).tolist() == [0.5, 0.5, 0.5]


@pytest.mark.parametrize("freedom", [1, 5, math.inf])
def test_unbounded_means_are_certain(freedom):
    found = p_conform([-math.inf, math.inf], 1, limit_rlu=300, spread_log10=0.2, degrees_of_freedom=freedom)
    assert found.tolist() == [1.0, 0.0]


def test_release_level_is_where_one_look_conforms_with_95_pct():
    for freedom in (1, 4, math.inf):
        level = release_level(2, limit_rlu=300, spread_log10=0.2, multiplier=release_multiplier(1, freedom))
        found = p_conform(np.log10(level), 2, limit_rlu=300, spread_log10=0.2, degrees_of_freedom=freedom)
        assert float(found) == pytest.approx(0.95, abs=1e-9)


@pytest.mark.parametrize(("spread", "wanted"), [(0.10, [205, 230, 241]), (0.17, [158, 190, 207]),
                                                (0.205, [138, 173, 192]), (0.30, [96, 134, 156])])
def test_guarded_values_of_a_limit_of_300(spread, wanted):
    assert release_level([1, 2, 3], limit_rlu=300, spread_log10=spread, multiplier=1.6449) == pytest.approx(
        wanted, abs=0.5)


def test_between_release_level_and_limit_another_swab_decides():
    assert decided([2.0, 2.3, 2.48]) == [DONE, SWAB_AGAIN, CLEAN_AGAIN]
    assert decided([2.0, 2.3, 2.48], looks_left=0) == [DONE, CLEAN_AGAIN, CLEAN_AGAIN]


def test_a_mean_on_the_line_belongs_to_the_better_side():
    level = LIMIT - 1.871 * 0.205 / math.sqrt(2)
    assert decided([level, LIMIT], n=2) == [DONE, SWAB_AGAIN]
    assert decided([level + 1e-9, LIMIT + 1e-9], n=2) == [SWAB_AGAIN, CLEAN_AGAIN]


def test_without_guard_the_limit_itself_releases():
    assert decided([math.log10(300), math.log10(301)], multiplier=0.0) == [DONE, CLEAN_AGAIN]


def test_bounds_that_disagree_ask_for_another_swab_and_on_the_last_look_for_cleaning():
    low, high = [-math.inf, -math.inf, 1.0, 2.6, -math.inf], [1.0, 2.4, math.inf, math.inf, math.inf]
    assert decided(low, high) == [DONE, SWAB_AGAIN, SWAB_AGAIN, CLEAN_AGAIN, SWAB_AGAIN]
    assert decided(low, high, looks_left=0) == [DONE, CLEAN_AGAIN, CLEAN_AGAIN, CLEAN_AGAIN, CLEAN_AGAIN]


def test_without_a_swab_nothing_is_decided():
    assert decided([-math.inf, 2.0], [math.inf, 2.0], n=[0, 1]) == [NOT_READ, DONE]


def test_each_point_may_have_its_own_limit_spread_and_looks():
    assert decided([2.0, 2.0, 2.0], limit=np.array([2.5, 2.1, 2.1]), looks_left=np.array([1, 1, 0])) == [
        DONE, SWAB_AGAIN, CLEAN_AGAIN]
    assert decided([2.0, 2.0], spread=np.array([0.1, 0.4])) == [DONE, SWAB_AGAIN]


def test_groups_are_decided_as_their_means():
    rng = np.random.default_rng(2)
    n = rng.integers(0, 4, 500)
    index = np.repeat(np.arange(500), n)
    low = rng.normal(2.3, 0.4, index.size)
    high = low + rng.choice([0.0, 0.3, math.inf], index.size, p=[0.8, 0.15, 0.05])
    low[rng.random(index.size) < 0.05] = -math.inf
    shuffled = rng.permutation(index.size)
    found = conformity_of_groups(low[shuffled], index[shuffled], 500, log10_high=high[shuffled],
                                 guard=Guard(300, 0.205, 12, looks=2))
    k = release_multiplier(2, 12)
    for point in range(500):
        mine = index == point
        assert found.n[point] == mine.sum()
        if not mine.any():
            assert found.code[point] == NOT_READ and math.isnan(found.p_conform[point])
            continue
        means = low[mine].mean(), high[mine].mean()
        assert (found.low_mean_log10[point], found.high_mean_log10[point]) == pytest.approx(means)
        assert found.code[point] == decided(*means, n=mine.sum(), looks_left=max(0, 2 - mine.sum()), multiplier=k)
        assert found.p_conform[point] == pytest.approx(float(p_conform(
            means[1], mine.sum(), limit_rlu=300, spread_log10=0.205, degrees_of_freedom=12)))


def test_blocks_of_points_join_without_a_seam():
    many = 70_000  # more than two blocks
    logs, index = np.linspace(1.0, 3.0, many), np.arange(many)
    limits = np.linspace(100, 900, many)
    found = conformity_of_groups(logs, index, many, guard=Guard(limits, 0.205))
    assert found.code.tolist() == decided(logs, multiplier=release_multiplier(2), limit=np.log10(limits))
    assert found.p_conform == pytest.approx(p_conform(logs, 1, limit_rlu=limits, spread_log10=0.205))


def test_points_after_the_last_reading_are_not_read():
    found = conformity_of_groups([2.0], [0], 3, guard=Guard(300, 0.205))
    assert found.code.tolist() == [DONE, NOT_READ, NOT_READ]
    assert found.low_mean_log10.tolist() == [2.0, -math.inf, -math.inf]


def test_readings_are_left_as_they_were():
    logs, index = np.array([2.0, 2.2, 2.4]), np.array([0, 0, 1])
    kept = logs.copy()
    conformity_of_groups(logs, index, 2, guard=Guard(300, 0.205))
    p_conform(logs, 1, limit_rlu=300, spread_log10=0.2)
    assert (logs == kept).all()


def test_a_shared_shift_is_taken_off_the_distance_to_the_limit():
    shifted = with_shared_shift(math.log10(200), 1, limit_rlu=300, spread_log10=0.17)
    assert float(shifted) == pytest.approx(float(p_conform(math.log10(240), 1, limit_rlu=300, spread_log10=0.17)))


@pytest.mark.parametrize(("field", "call"), [
    ("mean_log10", lambda: p_conform(math.nan, 1, limit_rlu=300, spread_log10=0.2)),
    ("mean_log10", lambda: p_conform(np.array([1.0, math.nan]), 1, limit_rlu=300, spread_log10=0.2)),
    ("mean_log10", lambda: p_conform([1.0, True], 1, limit_rlu=300, spread_log10=0.2)),
    ("n", lambda: p_conform(2.0, 0, limit_rlu=300, spread_log10=0.2)),
    ("n", lambda: p_conform(2.0, np.array([1, 0]), limit_rlu=300, spread_log10=0.2)),
    ("n", lambda: p_conform(2.0, 1.5, limit_rlu=300, spread_log10=0.2)),
    ("limit_rlu", lambda: p_conform(2.0, 1, limit_rlu=0, spread_log10=0.2)),
    ("spread_log10", lambda: p_conform(2.0, 1, limit_rlu=300, spread_log10=0.0)),
    ("spread_log10", lambda: p_conform(2.0, 1, limit_rlu=300, spread_log10=math.nan)),
    ("degrees_of_freedom", lambda: p_conform(2.0, 1, limit_rlu=300, spread_log10=0.2, degrees_of_freedom=0)),
    ("multiplier", lambda: release_level(1, limit_rlu=300, spread_log10=0.2, multiplier=-1.0)),
    ("low_mean_log10", lambda: decided([2.0], [1.9])),
    ("log10_limit", lambda: decided([2.0], limit=math.inf)),
    ("looks_left", lambda: decided([2.0], looks_left=-1)),
    ("group_index", lambda: conformity_of_groups([2.0], [3], 3, guard=Guard(300, 0.2))),
    ("group_index", lambda: conformity_of_groups([2.0], [-1], 3, guard=Guard(300, 0.2))),
    ("log10_readings", lambda: conformity_of_groups([2.0], [0, 1], 3, guard=Guard(300, 0.2))),
    ("log10_readings", lambda: conformity_of_groups([math.inf], [0], 1, guard=Guard(300, 0.2))),
    ("log10_high", lambda: conformity_of_groups([2.0], [0], 1, guard=Guard(300, 0.2), log10_high=[-math.inf])),
    ("shift_frac", lambda: with_shared_shift(2.0, 1, limit_rlu=300, spread_log10=0.2, shift_frac=-1.0)),
])
def test_what_is_no_number_or_out_of_range_is_refused(field, call):
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.field == field

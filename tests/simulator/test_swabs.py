"""Simulated swabs: each thing that spoils a reading moves it as it says, and the truth stands beside it."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.simulator.meter import Meter
from tersum.simulator.swabs import (
    CHEMICAL_LEFT,
    COUNTED,
    NOT_FRESH,
    VOIDED_AFTER,
    WET,
    Habits,
    counted_first,
    swabs,
)

MANY = 40_000
TRUTH = np.full(MANY, 200.0)


def taken(count=1, seed=1, **habits):
    return swabs(np.random.default_rng(seed), TRUTH, count, habits=Habits(**habits))


def shift(found, column=0):
    """Return how far the median signal lies from the truth, as a factor."""
    return float(np.median(found.signal_rlu[:, column]) / 200.0)


def test_the_same_seed_gives_the_same_swabs():
    one, two, other = taken(seed=4), taken(seed=4), taken(seed=5)
    assert (one.signal_rlu == two.signal_rlu).all() and (one.signal_rlu != other.signal_rlu).any()


def test_flawless_swabs_scatter_about_the_truth():
    found = taken()
    logs = np.log10(found.signal_rlu / found.true_rlu)
    assert logs.mean() == pytest.approx(0.0, abs=4 * 0.205 / math.sqrt(MANY))
    assert logs.std() == pytest.approx(0.205, rel=0.02)
    assert (found.fault == COUNTED).all()


def test_the_display_shows_whole_numbers_between_its_ends():
    found = swabs(np.random.default_rng(2), [3.0, 200.0, 3e5], 200)
    assert (found.high_rlu[found.high_rlu < np.inf] % 1 == 0).all()
    below, over = found.low_rlu == 0.0, found.high_rlu == np.inf
    assert (found.signal_rlu[below] < 5).all() and (found.high_rlu[below] == 5).all()
    assert (found.signal_rlu[over] > 99999).all() and (found.low_rlu[over] == 99999).all()
    assert below[0].any() and over[2].any() and not below[1].any() and not over[1].any()


def test_a_bias_is_shared_by_a_visit_and_differs_between_visits():
    visit = np.repeat(np.arange(400), 100)
    found = swabs(np.random.default_rng(3), TRUTH, 1, habits=Habits(shared_bias_log10=0.3), visit_index=visit)
    means = np.log10(found.signal_rlu[:, 0] / 200.0).reshape(400, 100).mean(axis=1)
    assert means.std() == pytest.approx(math.hypot(0.3, 0.205 / 10), rel=0.12)


@pytest.mark.parametrize("factor", [0.3, 1.6])
def test_a_chemical_left_quenches_or_enhances_what_nobody_asked_about(factor):
    found = taken(2, chemical_left_frac=1.0, chemical_factor=factor, asks_before=False)
    assert (found.fault == COUNTED).all()
    assert shift(found) == pytest.approx(factor, rel=0.01) and shift(found, 1) == pytest.approx(factor, rel=0.01)


def test_who_asks_before_rinses_and_the_next_swab_counts():
    found = taken(2, chemical_left_frac=1.0, chemical_factor=0.3)
    assert (found.fault[:, 0] == CHEMICAL_LEFT).all() and (found.fault[:, 1] == COUNTED).all()
    assert shift(found, 1) == pytest.approx(1.0, rel=0.01)


def test_each_swab_on_one_spot_lifts_its_share():
    found = taken(3, same_spot_frac=1.0, lift_frac=0.3, asks_before=False)
    assert [shift(found, column) for column in range(3)] == pytest.approx([1.0, 0.7, 0.49], rel=0.01)
    assert (found.true_rlu == 200.0).all()


def test_who_asks_for_a_fresh_area_counts_only_the_first_swab_of_a_spot():
    found = taken(3, same_spot_frac=1.0)
    assert (found.fault == [COUNTED, NOT_FRESH, NOT_FRESH]).all()


def test_wet_surfaces_are_told_as_often_as_they_occur():
    found = taken(2, wet_frac=0.2)
    assert np.mean(found.fault == WET) == pytest.approx(0.2, abs=0.01)


def test_voiding_after_the_number_drops_the_worst_and_no_more_than_allowed():
    found = taken(4, voids_after_above_rlu=200.0, voids_after_most=2)
    dropped = found.fault == VOIDED_AFTER
    assert dropped.sum(axis=1).max() == 2
    assert (found.high_rlu[dropped] > 200).all()
    assert np.mean(np.log10(found.high_rlu[~dropped])) < np.log10(200) - 0.05


def test_swabs_that_count_come_first_and_missing_ones_are_told():
    found = taken(3, wet_frac=0.5)
    low, high, there = counted_first(found, 3)
    number = (found.fault == COUNTED).sum(axis=1)
    assert (there.sum(axis=1) == number).all()
    some = int(np.flatnonzero(number == 2)[0])
    assert high[some, :2].tolist() == np.log10(found.high_rlu[some][found.fault[some] == COUNTED]).tolist()
    assert (low[there] == high[there]).all()


@pytest.mark.parametrize("wrong", [
    {"wet_frac": 1.1}, {"lift_frac": -0.1}, {"chemical_factor": math.nan}, {"voids_after_most": -1}])
def test_habits_that_cannot_be_are_refused(wrong):
    with pytest.raises(OutOfRange) as refused:
        Habits(**wrong)
    assert refused.value.field == next(iter(wrong))


@pytest.mark.parametrize("wrong", [
    {"true_rlu": []}, {"true_rlu": [0.0]}, {"true_rlu": [math.nan]}, {"true_rlu": [[1.0]]}, {"count": 0}])
def test_swabs_of_nothing_are_refused(wrong):
    with pytest.raises(OutOfRange) as refused:
        swabs(np.random.default_rng(1), **{"true_rlu": [1.0], "count": 1, **wrong})
    assert refused.value.field == next(iter(wrong))


@pytest.mark.parametrize("wrong", [{"spread_log10": 0.0}, {"detection_rlu": 0}, {"over_range_rlu": 5}])
def test_meters_that_cannot_be_are_refused(wrong):
    with pytest.raises(OutOfRange):
        Meter(**wrong)

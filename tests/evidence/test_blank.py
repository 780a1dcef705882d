"""Blanks: what they take off a reading, and from where a reading means something."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.blank import blank_levels, levels_from_blanks, net_bounds


def test_blank_is_taken_off_a_measured_reading():
    low, high = net_bounds(120, 120, 20)
    assert (low, high) == (100.0, 100.0)


def test_reading_at_the_blank_becomes_at_most_the_gross_reading():
    assert [end.item() for end in net_bounds(20, 20, 20)] == [0.0, 20.0]
    assert [end.item() for end in net_bounds(12, 12, 20)] == [0.0, 12.0]


def test_reading_not_above_the_decision_level_becomes_at_most_that_level():
    assert [end.item() for end in net_bounds(48, 48, 20, decision_level_rlu=28)] == [0.0, 28.0]
    assert [end.item() for end in net_bounds(48.1, 48.1, 20, decision_level_rlu=28)] == pytest.approx([28.1, 28.1])


def test_blank_of_half_the_reading_or_more_leaves_at_most_what_the_meter_showed():
    assert [end.item() for end in net_bounds(41, 41, 20)] == [21.0, 21.0]
    assert [end.item() for end in net_bounds(40, 40, 20)] == [20.0, 40.0]
    assert [end.item() for end in net_bounds(28, 28, 20, decision_level_rlu=8)] == [0.0, 28.0]
    assert [end.item() for end in net_bounds(12, 12, 20, decision_level_rlu=30)] == [0.0, 30.0]


def test_marks_keep_their_side():
    assert [end.item() for end in net_bounds(0, 50, 20)] == [0.0, 30.0]
    assert [end.item() for end in net_bounds(0, 10, 20)] == [0.0, 10.0]
    assert [end.item() for end in net_bounds(9999, math.inf, 20)] == [9979.0, math.inf]


def test_interval_that_begins_below_the_level_says_nothing_of_its_lower_end():
    assert [end.item() for end in net_bounds(22, 48, 20, decision_level_rlu=8)] == [0.0, 28.0]


def test_arrays_go_through_at_once():
    low, high = net_bounds([120, 20], [120, 20], [[20], [0]])
    assert low.tolist() == [[100.0, 0.0], [120.0, 20.0]]
    assert high.tolist() == [[100.0, 20.0], [120.0, 20.0]]


@pytest.mark.parametrize("given", [(0, 0, 1), (5, 4, 1), (-1, 4, 1), (5, 5, -1), (5, 5, math.inf), (5, 5, True),
                                   (math.inf, math.inf, 1)])
def test_what_no_meter_shows_is_refused(given):
    with pytest.raises(OutOfRange):
        net_bounds(*given)


def test_decision_level_of_one_blank_is_1_645_root_2_spreads():
    levels = blank_levels(2.0)
    assert levels.decision_rlu == pytest.approx(1.6449 * math.sqrt(2) * 2.0, abs=1e-3)
    assert levels.detection_rlu == 2 * levels.decision_rlu


def test_decision_level_takes_a_blank_for_residue_in_5_percent_of_blanks():
    """Three blanks, t with two degrees of freedom: the share of further blanks above the level is the one accepted."""
    random = np.random.default_rng(7)
    blanks = random.normal(50.0, 3.0, (40_000, 4))
    spread, mean = blanks[:, :3].std(axis=1, ddof=1), blanks[:, :3].mean(axis=1)
    factor = blank_levels(1.0, degrees_of_freedom=2, n_blanks=3).decision_rlu
    mistaken = (blanks[:, 3] - mean > factor * spread).mean()
    assert mistaken == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / 40_000))


def test_levels_from_blanks_use_their_own_spread():
    found = levels_from_blanks([2, 5, 3, 4, 6])
    spread = np.std([2, 5, 3, 4, 6], ddof=1)
    assert found == blank_levels(spread, degrees_of_freedom=4, n_blanks=5)


@pytest.mark.parametrize("blanks", [[1, 2], [3, 3, 3], [1, 2, -1], [1, 2, math.nan], 5])
def test_blanks_that_say_nothing_of_their_spread_are_refused(blanks):
    with pytest.raises(OutOfRange):
        levels_from_blanks(blanks)

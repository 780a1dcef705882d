"""Test strips are intervals."""

import math

import pytest

from tersum.chemistry.strips import strip_reading
from tersum.errors import OutOfRange

STEPS = (0.0, 250.0, 500.0, 1000.0)


@pytest.mark.parametrize(("shown", "low", "high"), [(0.0, 0.0, 125.0), (250.0, 125.0, 375.0), (500.0, 375.0, 750.0),
                                                    (1000.0, 750.0, math.inf)])
def test_step_stands_for_half_way_to_its_neighbours(shown, low, high):
    found = strip_reading(STEPS, shown)
    assert (found.low_mg_l, found.high_mg_l) == (low, high)


def test_uncertainty_is_rectangular_and_none_at_the_top():
    assert strip_reading(STEPS, 250.0).standard_uncertainty_mg_l == pytest.approx(125.0 / math.sqrt(3.0))
    assert math.isinf(strip_reading(STEPS, 1000.0).standard_uncertainty_mg_l)


@pytest.mark.parametrize(("floor", "answer"), [(300.0, "meets"), (375.0, "meets"), (400.0, "cannot-tell"),
                                               (750.0, "cannot-tell"), (751.0, "below")])
def test_strip_meets_a_floor_only_with_its_whole_interval(floor, answer):
    assert strip_reading(STEPS, 500.0).against(floor) == answer


def test_strip_that_answers_to_both_oxidisers_says_so():
    both = ("peracetic acid", "hydrogen peroxide")
    assert strip_reading(STEPS, 500.0, answers_to=both).answers_to == both


@pytest.mark.parametrize(("steps", "shown"), [((100.0,), 100.0), ((100.0, 100.0), 100.0), ((200.0, 100.0), 100.0),
                                              ((-1.0, 100.0), 100.0), (STEPS, 300.0), ((0.0, math.nan), 0.0)])
def test_steps_that_do_not_rise_or_hold_the_reading_are_refused(steps, shown):
    with pytest.raises(OutOfRange):
        strip_reading(steps, shown)

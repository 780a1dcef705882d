"""Past readings in order: one value a visit, and what lay between two visits."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.evidence.streams import PastReading, intervals, streams_of, wiping_residuals


def _row(day, level, *, point="a", stage="cleaned", high=None, turn=None):
    return PastReading(f"visit {day}", float(day), "van", point, stage, level, level if high is None else high,
                       "smooth", "M", turn=turn)


def test_a_visit_is_one_value():
    found = streams_of([_row(1, 1.0), _row(1, 2.0, point="b"), _row(2, 3.0)], "cleaned")[0]
    assert found.values == (1.5, 3.0) and not found.by_median
    with pytest.raises(OutOfRange):
        streams_of([_row(1, 1.0)], "treated")


def test_inequalities_turn_means_into_medians_and_are_never_numbers():
    below = [_row(1, -math.inf, high=0.7), _row(1, 1.0, point="b"), _row(1, 2.0, point="c"),
             _row(2, -math.inf, high=0.7)]
    found = streams_of(below, "cleaned")[0]
    assert found.by_median and found.values == (1.0,) and found.left_out == 1


def test_an_interval_runs_from_what_was_left_to_what_was_found():
    rows = [_row(1, 2.5, stage="as_found"), _row(1, 1.0), _row(8, 2.0, stage="as_found"), _row(8, 1.1),
            _row(1, 9.0, point="never read again")]
    assert intervals(rows) == (("van", 7.0, 1.0, 2.0),)


def test_what_is_usual_at_a_point_is_taken_off():
    rows = [_row(day, base + (0.5 if day == 3 else 0.0), point=point, turn=turn) for day in (1, 2, 3)
            for turn, (point, base) in enumerate((("b", 3.0), ("a", 1.0)), 1)]
    assert wiping_residuals(rows, "cleaned")["visit 3"] == pytest.approx([0.5, 0.5])

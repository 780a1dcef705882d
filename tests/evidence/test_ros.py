"""Robust regression on order statistics."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.censoring import marked_bounds
from tersum.evidence.ros import ros


def test_measured_readings_stay_as_they_are():
    found = ros(*marked_bounds([5, 5, 12, 17, 22, 8, 54], below=[True, True] + [False] * 5))
    assert found.imputed[2:] == pytest.approx([8, 12, 17, 22, 54])
    assert (found.imputed[:2] < 5).all()
    assert found.mean == pytest.approx(found.imputed.mean())


def test_nothing_below_leaves_the_readings():
    values = np.array([12.0, 17.0, 22.0, 8.0])
    assert ros(values, values).imputed == pytest.approx(np.sort(values))


@pytest.mark.parametrize(("low", "high"), [
    ([0, 0, 0, 0, 0, 0, 0, 0, 0, 8, 9], [5] * 9 + [8, 9]),  # more than four fifths below
    ([0, 8, 9], [20, 8, 9]),  # a level above every measured reading
    ([8, 9, 10], [8, 9, math.inf]),  # over range
    ([4, 8, 9], [5, 8, 9]),  # between two ends
], ids=["too-many-below", "level-too-high", "above", "between"])
def test_what_the_line_cannot_fill_in_is_refused(low, high):
    with pytest.raises(OutOfRange):
        ros(low, high)

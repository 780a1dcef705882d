"""One value far from the others."""

import numpy as np
import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.evidence.outlier import grubbs

READINGS = [2.1, 2.2, 2.0, 2.1, 2.3, 2.15, 3.4]


def test_the_farthest_value_is_found_and_flagged():
    found = grubbs(READINGS)
    assert (found.index, found.value, found.flagged) == (6, 3.4, True)


def test_sides_are_told_apart():
    assert grubbs(READINGS, side="low").index == 2
    assert not grubbs(READINGS, side="low").flagged
    mirrored = grubbs([-one for one in READINGS], side="low")
    assert (mirrored.index, mirrored.flagged) == (6, True)


def test_plain_samples_are_flagged_as_often_as_accepted():
    random = np.random.default_rng(4)
    flagged = sum(grubbs(random.normal(size=8)).flagged for _ in range(4000))
    assert flagged / 4000 == pytest.approx(0.05, abs=3 * (0.05 * 0.95 / 4000) ** 0.5)


def test_impossible_samples_are_refused():
    for values in ([1, 2], [1, 1, 1], [1, 2, float("nan")]):
        with pytest.raises(OutOfRange):
            grubbs(values)
    with pytest.raises(UnknownName):
        grubbs([1, 2, 3], side="left")

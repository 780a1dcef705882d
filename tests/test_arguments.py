"""The door of the room: what is a number, and what is none."""

import math

import numpy as np
import pytest

from tersum.arguments import probability, real, reals, sample, whole, wholes
from tersum.errors import OutOfRange


@pytest.mark.parametrize("value", [True, np.True_, [1.0, True], [[1.0], [False]], np.array([True]), "1", None, 1j,
                                   math.nan, [1.0, math.nan], math.inf, object()])
def test_what_is_no_finite_number_is_refused(value):
    with pytest.raises(OutOfRange) as refusal:
        reals("spread", value)
    assert refusal.value.field == "spread"
    assert "spread" in str(refusal.value)


def test_infinity_is_a_number_where_it_is_asked_for():
    assert reals("x", [1, math.inf], infinite=True).tolist() == [1.0, math.inf]
    with pytest.raises(OutOfRange):
        reals("x", math.nan, infinite=True)


@pytest.mark.parametrize(("limits", "inside", "outside", "words"), [
    ({"above": 0.0}, 0.001, 0.0, "above 0"),
    ({"at_least": 0.0}, 0.0, -0.001, "0 or more"),
    ({"above": 0.0, "below": 1.0}, 0.5, 1.0, "above 0 and below 1"),
    ({"above": 0.0, "at_most": 1.0}, 1.0, 0.0, "above 0, up to 1"),
    ({"at_least": 0.0, "below": 1.0}, 0.0, 1.0, "0 or more and below 1"),
    ({"at_least": 0.0, "at_most": 1.0}, 1.0, 1.001, "0 to 1"),
    ({"below": 1.0}, 0.999, 1.0, "below 1"),
    ({"at_most": 1.0}, 1.0, 1.001, "up to 1"),
])
def test_refusal_names_field_value_and_range(limits, inside, outside, words):
    assert real("x", inside, **limits) == inside
    with pytest.raises(OutOfRange) as refusal:
        real("x", outside, **limits)
    assert str(refusal.value) == f"x is out of range: got {outside:.6g}; accepted: {words}."


def test_one_number_is_asked_for_where_one_is_meant():
    for call in (real, whole):
        with pytest.raises(OutOfRange):
            call("x", [1, 2])


def test_wholes_are_whole():
    assert wholes("n", [0, 3]).tolist() == [0.0, 3.0]
    assert whole("n", np.int64(3)) == 3
    for odd in (1.5, -1, [1, 2.5]):
        with pytest.raises(OutOfRange):
            wholes("n", odd)


def test_a_sample_is_a_flat_list_of_enough_values():
    assert sample("x", [1, 2], count=2).tolist() == [1.0, 2.0]
    for few in ([1], 1, [[1, 2], [3, 4]]):
        with pytest.raises(OutOfRange):
            sample("x", few, count=2)


@pytest.mark.parametrize("value", [0.0, 1.0, -0.1, 1.1, True])
def test_a_probability_lies_between_0_and_1(value):
    with pytest.raises(OutOfRange):
        probability("confidence", value)

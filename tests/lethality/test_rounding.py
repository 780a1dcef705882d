"""Two significant digits, by each convention."""

import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.rounding import significant


@pytest.mark.parametrize(("value", "rounded"), [(12700, 13000), (12400, 12000), (15500, 16000), (14500, 14000),
                                                (24409, 24000), (0.0455, 0.046), (99600, 100000), (7, 7), (0, 0)])
def test_third_digit_decides_and_a_five_makes_the_second_even(value, rounded):
    assert significant(value, halves="to-even") == pytest.approx(rounded)


@pytest.mark.parametrize(("value", "rounded"), [(14500, 15000), (19181.8, 19000), (26681.8, 27000), (0.0445, 0.045),
                                                (99500, 100000), (1, 1)])
def test_halves_go_up(value, rounded):
    assert significant(value) == pytest.approx(rounded)


def test_rounding_twice_changes_nothing():
    for value in (14500.0, 15500.0, 19181.8, 0.00455):
        for halves in ("up", "to-even"):
            once = significant(value, halves=halves)
            assert significant(once, halves=halves) == once


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), float("inf"), True])
def test_what_is_no_count_is_refused(wrong):
    with pytest.raises(OutOfRange, match="value"):
        significant(wrong)


def test_another_convention_is_refused():
    with pytest.raises(UnknownName, match="to-even"):
        significant(1.0, halves="down")

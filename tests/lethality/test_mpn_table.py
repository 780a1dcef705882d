"""A published table of most probable numbers is looked up as printed, and only where it is the table's design."""

import math

import pytest

from tersum.catalogue import load
from tersum.lethality.mpn import design, mpn
from tersum.lethality.mpn_interval import mpn_interval
from tersum.lethality.mpn_table import tabulated

THREE = design([3, 3, 3], [0.1, 0.01, 0.001])


@pytest.mark.parametrize("name", [one for one in load.table("mpn_limits") if one not in ("0-0-0", "3-3-3")])
def test_number_of_each_row_is_the_most_probable_one(name):
    pattern = [int(one) for one in name.split("-")]
    row = tabulated(pattern, design=THREE)
    assert row.number == pytest.approx(float(mpn(pattern, design=THREE).mpn), rel=0.03)
    assert 0.0 < row.low < row.number < row.high < math.inf


def test_rows_without_or_with_all_tubes_are_bounds():
    none, all_ = tabulated([0, 0, 0], design=THREE), tabulated([3, 3, 3], design=THREE)
    assert (none.operator, none.low, none.high) == ("<", 0.0, 9.5)
    assert (all_.operator, all_.low, all_.high) == (">", 420.0, math.inf)


def test_ten_times_the_amounts_is_a_tenth_of_the_number():
    row = tabulated([2, 2, 0], design=design([3, 3, 3], [1.0, 0.1, 0.01]))
    assert (row.number, row.low, row.high) == pytest.approx((2.1, 0.45, 4.2))


def test_table_is_not_the_likelihood_interval():
    ends = mpn_interval(mpn([2, 2, 0], design=THREE))
    assert tabulated([2, 2, 0], design=THREE).high < float(ends.high)


@pytest.mark.parametrize(("pattern", "other"), [
    ([2, 2, 0], design([5, 5, 5], [0.1, 0.01, 0.001])), ([2, 2, 0], design([3, 3, 3], [0.1, 0.01, 0.002])),
    ([0, 3, 3], THREE), ([2], design([3], [0.1])),
])
def test_another_design_or_row_is_not_in_the_table(pattern, other):
    assert tabulated(pattern, design=other) is None

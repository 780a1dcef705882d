"""What may be said of all points together."""

import math

import numpy as np
import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.whole_visit import all_conform, drawn_stratum_share, each_needed


def test_ten_points_of_95_pct_make_60_pct():
    assert [round(all_conform([0.95] * points), 4) for points in (1, 5, 10, 20)] == [0.95, 0.7738, 0.5987, 0.3585]


def test_shared_errors_hold_the_points_together():
    found = [all_conform([0.95] * 10, correlation=shared) for shared in (0.0, 0.3, 0.6)]
    assert found == pytest.approx([0.5987, 0.6928, 0.7837], abs=5e-5)


def test_two_points_agree_with_the_bivariate_normal():
    wanted = stats.multivariate_normal([0, 0], [[1, 0.45], [0.45, 1]]).cdf(stats.norm.ppf([0.9, 0.7]))
    assert all_conform([0.9, 0.7], correlation=0.45) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("shared", [0.0, 0.3, 0.99, 1.0])
def test_certain_points_do_not_count_and_impossible_ones_decide(shared):
    assert all_conform([1.0, 1.0], correlation=shared) == pytest.approx(1.0, abs=1e-9)
    assert all_conform([0.99, 0.0], correlation=shared) == 0.0


def test_fully_shared_errors_leave_the_worst_point():
    assert all_conform([0.9, 0.7, 0.99], correlation=1.0) == 0.7
    assert all_conform([0.9, 0.7, 0.99], correlation=0.999) == pytest.approx(0.7, abs=0.003)


def test_what_each_point_needs_gives_back_the_whole():
    assert all_conform([each_needed(10)] * 10) == pytest.approx(0.95)
    assert round(each_needed(10), 4) == 0.9949


def test_a_list_of_twenty_needs_the_printed_numbers_of_swabs():
    """20 listed: to be 95 % sure that fewer than 1, 2, 3, 4, 5 do not conform, 19, 16, 12, 10, 9 must all pass."""
    for fewer_than, drawn in ((1, 19), (2, 16), (3, 12), (4, 10), (5, 9)):
        assert drawn_stratum_share(20, drawn, drawn).at_least == 20 - fewer_than + 1
        assert drawn_stratum_share(20, drawn - 1, drawn - 1).at_least < 20 - fewer_than + 1


@pytest.mark.parametrize("released", range(7))
def test_a_draw_bounds_the_stratum_as_the_hypergeometric_says(released):
    found = drawn_stratum_share(15, 6, released)
    beyond = stats.hypergeom.sf(released - 1, 15, np.arange(16), 6)
    assert found.at_least == int(np.argmax(beyond > 0.05 + 1e-12))
    assert found.share_frac == found.at_least / 15


def test_a_full_count_is_exact_and_no_draw_says_nothing():
    assert drawn_stratum_share(7, 7, 5).at_least == 5
    assert drawn_stratum_share(7, 0, 0).at_least == 0


@pytest.mark.parametrize("call", [
    lambda: all_conform([]), lambda: all_conform([1.1]), lambda: all_conform([math.nan]),
    lambda: all_conform([0.9], correlation=-0.1), lambda: each_needed(0), lambda: each_needed(3, 1.0),
    lambda: drawn_stratum_share(0, 0, 0), lambda: drawn_stratum_share(5, 6, 0), lambda: drawn_stratum_share(5, 3, 4),
    lambda: drawn_stratum_share(5, 3, 3, confidence_frac=1.0)])
def test_what_cannot_be_is_refused(call):
    with pytest.raises(OutOfRange):
        call()

"""A sealed draw by strata: the same seed the same points, the points of high touch and risk always."""

import pytest

from tersum.errors import OutOfRange
from tersum.visit.strata_draw import ListedPoint, strata_draw

POINTS = [ListedPoint("wheel", "high", "high", "smooth"), *(ListedPoint(f"seat {n}", "medium", "low", "textile")
                                                            for n in range(8)),
          *(ListedPoint(f"ledge {n}", "low", "low", "smooth") for n in range(4))]


def test_the_same_seed_draws_the_same_whatever_the_order_of_the_list():
    one, two = (strata_draw(listed, 5, bytes(16)) for listed in (POINTS, POINTS[::-1]))
    assert one.strata == two.strata and one.always == ("wheel",)
    assert sum(len(drawn) for _name, _size, drawn in one.strata) == 5


def test_each_point_of_a_stratum_comes_up_equally_often():
    counts = dict.fromkeys((f"seat {n}" for n in range(8)), 0)
    for seed in range(2000):
        for name in strata_draw(POINTS, 3, seed.to_bytes(16)).strata[1][2]:
            counts[name] += 1
    expected = sum(counts.values()) / 8
    assert all(abs(count - expected) < 5 * expected**0.5 for count in counts.values())


def test_doubles_and_too_many_are_refused():
    for listed, draw in ((POINTS * 2, 1), (POINTS, 13)):
        with pytest.raises(OutOfRange):
            strata_draw(listed, draw, bytes(16))

"""When to wet again: always before the surface dries, and often enough for the whole contact time."""

import pytest

from tersum.errors import OutOfRange
from tersum.visit.contact import wet_again_at


@pytest.mark.parametrize("contact_min", [1.0, 5.0, 10.0, 15.0, 30.0])
@pytest.mark.parametrize("dries_min", [2.0, 3.0, 4.0, 7.5, 40.0])
def test_surface_wetted_when_told_never_dries_within_the_time(contact_min, dries_min):
    again = wet_again_at(contact_min, dries_min)
    if again is None:
        assert contact_min > 15 * dries_min * 0.8
        return
    coats = (0.0, *again)
    assert all(later - earlier < dries_min for earlier, later in zip(coats, coats[1:], strict=False))
    assert coats[-1] + dries_min >= contact_min
    assert len(coats) == 1 or coats[-2] + dries_min < contact_min  # and no coat is told that is not needed


def test_surface_that_dries_far_too_fast_gets_no_number_of_coats():
    assert wet_again_at(60.0, 1.0) is None


@pytest.mark.parametrize("dries_min", [0.0, -1.0, float("nan")])
def test_no_drying_time_is_refused(dries_min):
    with pytest.raises(OutOfRange):
        wet_again_at(5.0, dries_min)

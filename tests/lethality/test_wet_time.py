"""Wet time as observed: wetted before dry goes on, once dried it starts again, unseen drying leaves it open."""

import math

import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.wet_time import WetTime, contact_met, film_wet_min, wet_time


def test_wetted_again_before_it_dries_it_has_stayed_wet():
    assert wet_time([(0, "wet"), (4, "wet"), (8, "dry")], ended_min=9).low_min == 8.0


def test_once_dried_the_time_starts_again():
    found = wet_time([(0, "wet"), (4, "dry"), (5, "wet"), (8, "dry")], ended_min=9)
    assert (found.low_min, found.high_min, found.times_dried) == (4.0, 4.0, 2)


def test_two_short_coats_are_no_long_one():
    found = wet_time([(0, "wet"), (3, "dry"), (3, "wet"), (6, "dry")], ended_min=6)
    assert contact_met(found, 5.0).answer == "not-met"


def test_surface_not_seen_dry_counts_until_the_end():
    assert wet_time([(1, "wet")], ended_min=6).low_min == 5.0


def test_drying_that_nobody_saw_leaves_it_open():
    found = wet_time([(0, "wet"), (3, "wet"), (6, "dry")], ended_min=6, watched=False)
    assert (found.low_min, found.high_min) == (3.0, 6.0)
    assert contact_met(found, 5.0).answer == "cannot-tell"
    assert contact_met(found, 3.0).answer == "met" and contact_met(found, 7.0).answer == "not-met"


def test_wiping_off_ends_the_time_as_it_is_done():
    assert wet_time([(0, "wet"), (2, "wiped")], ended_min=9, watched=False).low_min == 2.0


def test_never_wet_is_no_time():
    found = contact_met(wet_time([(1, "dry")], ended_min=5), 2.0)
    assert found.answer == "not-met" and found.coats == 0


def test_time_equal_to_the_label_meets_it():
    assert contact_met(WetTime(0.1 + 0.2, 0.1 + 0.2, 0), 0.3).answer == "met"


def test_coats_cover_the_label():
    assert contact_met(WetTime(3.0, 3.0, 1), 10.0).coats == 4
    assert contact_met(WetTime(5.0, 5.0, 1), 10.0).coats == 2


@pytest.mark.parametrize(("marks", "ended"), [
    ([(3, "wet"), (1, "dry")], 5), ([(3, "wet")], 2), ([(math.nan, "wet")], 2), ([(1, "wet")], math.inf),
])
def test_times_out_of_order_are_refused(marks, ended):
    with pytest.raises(OutOfRange, match="accepted"):
        wet_time(marks, ended_min=ended)


def test_another_word_is_refused():
    with pytest.raises(UnknownName, match="wet"):
        wet_time([(0, "moist")], ended_min=1)


def test_film_and_evaporation_give_a_time_to_plan_with():
    assert film_wet_min(20.0, 240.0) == 5.0
    with pytest.raises(OutOfRange, match="evaporation"):
        film_wet_min(20.0, 0.0)

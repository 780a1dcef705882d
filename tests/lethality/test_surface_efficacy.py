"""Surfaces, wipes and rooms: drying is not credited, spreading fails, half a test is none."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.efficacy import requirement
from tersum.lethality.log_reduction import exactly, more_than
from tersum.lethality.surface_efficacy import (
    Recovered,
    carriers_reduction,
    reported,
    room_test,
    surface_test,
    wipe_test,
)

SURFACE, WIPE, ROOM = (requirement(one) for one in ("EN 13697 bactericidal", "EN 16615 bactericidal",
                                                    "EN 17272 medical bactericidal"))


def test_reduction_starts_from_the_water_control():
    found = surface_test(SURFACE, [Recovered(1e6), Recovered(1e7)], [Recovered(1e2), Recovered(1e3)])
    assert found.reduction.value == pytest.approx(4.0) and found.answer == "met"


def test_one_carrier_without_growth_makes_the_mean_a_bound():
    found = surface_test(SURFACE, [Recovered(1e7)], [Recovered(1e3), Recovered(0.0, 10.0)])
    assert found.reduction.operator == ">" and found.reduction.value == pytest.approx(5.0)


def test_control_too_low_cannot_show_it():
    assert surface_test(SURFACE, [Recovered(3e4)], [Recovered(0.0, 10.0)]).answer == "not-assessable"


def test_control_without_growth_is_refused():
    with pytest.raises(OutOfRange, match="water"):
        surface_test(SURFACE, [Recovered(0.0)], [Recovered(1.0)])
    with pytest.raises(OutOfRange, match="one carrier or more"):
        surface_test(SURFACE, [], [Recovered(1.0)])
    with pytest.raises(OutOfRange, match="cfu"):
        surface_test(SURFACE, [Recovered(-1.0)], [Recovered(1.0)])


def test_lower_limit_over_the_carriers_stands_beside_the_mean():
    water, treated = [Recovered(one) for one in (3e6, 5e6, 8e6)], [Recovered(one) for one in (30, 200, 900)]
    found = surface_test(SURFACE, water, treated)
    assert found.answer == "met" and found.details["lower_log10"] < 4.0 < found.reduction.value
    assert "lower-limit-below-the-requirement" in found.flags
    assert "no-replicates" in surface_test(SURFACE, [Recovered(1e7)], [Recovered(10.0)]).flags


def test_logs_where_counts_are_asked_are_refused():
    with pytest.raises(OutOfRange, match="not their logarithm"):
        carriers_reduction([Recovered(6.5), Recovered(6.6)], [Recovered(1.3)])


def test_wipe_that_spreads_fails_whatever_its_reduction():
    found = wipe_test(WIPE, reported(exactly(6.9)), spread_cfu_25cm2=62.0, transfer_cfu_field=200.0)
    assert found.answer == "not-met" and "spread" in found.flags
    assert wipe_test(WIPE, reported(exactly(6.9)), spread_cfu_25cm2=50.0, transfer_cfu_field=200.0).answer == "met"


def test_wipe_that_carries_nothing_even_with_water_shows_nothing():
    found = wipe_test(WIPE, reported(more_than(6.0)), spread_cfu_25cm2=62.0, transfer_cfu_field=9.0)
    assert found.answer == "invalid" and found.failing[0].code == "transfer-control"


def test_room_needs_both_of_its_tests_and_its_size():
    assert room_test(ROOM, reported(exactly(6.9)), room_m3=40.0, distribution_met=True).answer == "met"
    assert room_test(ROOM, reported(exactly(6.9)), room_m3=40.0, distribution_met=False).answer == "not-met"
    assert room_test(ROOM, reported(exactly(6.9)), room_m3=40.0, distribution_met=None).answer == "invalid"
    for size, valid in ((3.9, True), (4.0, False), (29.0, False), (150.0, True), (151.0, False)):
        found = room_test(ROOM, reported(exactly(6.9)), room_m3=size, distribution_met=True)
        assert (found.answer == "met") is valid, size


@pytest.mark.parametrize("wrong", [math.nan, -1.0, True])
def test_what_is_no_count_or_size_is_refused(wrong):
    with pytest.raises(OutOfRange, match="accepted"):
        wipe_test(WIPE, reported(exactly(6.0)), spread_cfu_25cm2=wrong, transfer_cfu_field=100.0)
    with pytest.raises(OutOfRange, match="room_m3"):
        room_test(ROOM, reported(exactly(6.0)), room_m3=wrong, distribution_met=True)

"""Whether disinfection was carried out as planned, and what failed."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest

from tersum.visit.carried_out import SolutionNeeds, Work, carried_out, contacts
from tersum.visit.contact import WetMark, seen_wet
from tersum.visit.heat_step import HeatOnRecord

ZONE = timezone(timedelta(hours=1))


def at(minute, hour=10):
    return datetime(2026, 3, 2, hour, minute, tzinfo=ZONE)


def wet(*marks):
    return tuple(WetMark(at(minute), surface) for minute, surface in marks)


def test_wetted_again_before_it_dries_has_stayed_wet():
    assert seen_wet(wet((0, "wet"), (4, "wet"), (11, "wet")), at(0), at(20)).low_min == 11.0


def test_once_dried_the_contact_time_starts_again():
    seen = seen_wet(wet((0, "wet"), (5, "wet"), (6, "dry"), (8, "wet"), (14, "wet")), at(0), at(20))
    assert (seen.low_min, seen.times_dried) == (6.0, 1)


def test_surface_found_dry_dried_somewhere_since_the_last_look():
    seen = seen_wet(wet((0, "wet"), (4, "wet"), (11, "dry")), at(0), at(20))
    assert (seen.low_min, seen.high_min) == (4.0, 11.0)


def test_drying_that_was_watched_counts_to_its_moment():
    seen = seen_wet(wet((0, "wet"), (4, "wet"), (11, "dry")), at(0), at(20), watched=True)
    assert (seen.low_min, seen.high_min) == (11.0, 11.0)


def test_after_the_last_look_nobody_saw_it_wet():
    assert seen_wet(wet((0, "wet")), at(0), at(9)).high_min == 0.0
    assert seen_wet(wet((0, "wet"), (6, "wet")), at(0), at(20)).high_min == 6.0


def test_marks_outside_the_step_count_for_nothing():
    assert seen_wet(wet((0, "wet"), (11, "dry")), at(5), at(20)).high_min == 0.0
    assert seen_wet(wet((6, "wet"), (30, "dry")), at(5), at(20)).high_min == 0.0


def test_marks_in_any_order_give_the_same_time():
    assert seen_wet(wet((11, "dry"), (0, "wet")), at(0), at(20)).high_min == 11.0


def test_nothing_seen_wet_is_no_time_at_all():
    assert seen_wet(wet((5, "dry")), at(0), at(20)).high_min == 0.0


NEEDS = {"disinfect": SolutionNeeds(0.04762, 0.045, 0.06, 8.0)}


def work(step="disinfect", *, start=10, concentrate_ml=50.0, water_ml=1000.0, mixed_at=None, marks=None):
    return Work(step, at(start), at(start + 20), concentrate_ml, water_ml, mixed_at or at(0),
                wet=wet((start, "wet"), (start + 11, "wet"), (start + 12, "dry")) if marks is None else marks)


def clean():
    return Work("clean", at(0), at(8))


def codes(result):
    return [(one.step, one.reason.code) for one in result.shortfalls]


def test_all_steps_in_order_at_strength_and_wet_long_enough_is_as_planned(plan):
    assert carried_out(plan, [clean(), work()], NEEDS).answer == "as-planned"


def test_nothing_recorded_is_not_a_yes(plan):
    assert carried_out(plan, [], NEEDS).answer == "not-recorded"


@pytest.mark.parametrize(("change", "code"), [
    ({"concentrate_ml": 30.0}, "too-weak"), ({"concentrate_ml": 90.0}, "too-strong"),
    ({"concentrate_ml": None}, "strength-not-recorded"), ({"mixed_at": at(0, hour=1)}, "past-its-use-by"),
    ({"mixed_at": at(59, hour=12)}, "mixed-after-use"),
    ({"marks": wet((10, "wet"), (15, "dry"))}, "wet-too-short"),
    ({"marks": wet((10, "wet"), (15, "wet"), (22, "dry"))}, "dried-unseen"), ({"marks": ()}, "wet-time-not-recorded")])
def test_each_shortfall_is_named(plan, change, code):
    result = carried_out(plan, [clean(), work(**change)], NEEDS)
    assert (result.answer, codes(result)) == ("not-as-planned", [("disinfect", code)])


def test_step_left_out_is_named(plan):
    assert codes(carried_out(plan, [work()], NEEDS)) == [("clean", "step-not-carried-out")]


def test_disinfecting_before_cleaning_is_out_of_order(plan):
    early = work(start=1)
    late = Work("clean", at(30), at(40))
    assert codes(carried_out(plan, [late, early], NEEDS)) == [("disinfect", "out-of-order")]


def test_step_nobody_planned_is_named(plan):
    other = Work("polish", at(50), at(55))
    assert ("polish", "step-not-in-the-plan") in codes(carried_out(plan, [clean(), work(), other], NEEDS))


def test_plan_of_the_first_version_keeps_its_reading_of_a_dry_mark(plan):
    marks = wet((10, "wet"), (15, "wet"), (22, "dry"))
    assert carried_out(replace(plan, wet_rule=1), [clean(), work(marks=marks)], NEEDS).answer == "as-planned"


def test_contact_times_are_told_for_each_step_that_has_one(plan):
    found = contacts(plan, [clean(), work(marks=wet((10, "wet"), (14, "wet"), (17, "dry")))])
    assert [(one.step, one.answer, one.low_min, one.high_min, one.coats) for one in found] == [
        ("disinfect", "not-met", 4.0, 7.0, 3)]


def test_disinfection_without_a_strength_to_check_is_not_as_planned(plan):
    assert codes(carried_out(plan, [clean(), work()], {})) == [("disinfect", "strength-cannot-be-checked")]


def heat(low, high):
    return HeatOnRecord("t.csv", "0" * 64, "temp_c", 1, 9, 90.0, 80.0, 91.0, 100.0, low, high, 65.0, 80.0, 10.0)


@pytest.mark.parametrize(("found", "code"), [
    (heat(61.0, 150.0), None), (heat(40.0, 59.0), "heat-too-low"), (heat(50.0, 70.0), "heat-cannot-tell"),
    (heat(None, None), "heat-cannot-tell"), (None, "heat-not-recorded")])
def test_planned_heat_is_reached_only_whatever_the_sensors_error(plan, found, code):
    step = replace(plan.steps[0], id="steam", kind="steam", a0=60.0)
    done = carried_out(replace(plan, steps=(step,)), [Work("steam", at(0), at(8), heat=found)], {})
    assert codes(done) == ([("steam", code)] if code else [])


def test_rinse_that_was_planned_between_but_not_recorded_is_named(plan):
    places = {"surfaces": ("smooth",), "vessels": ("one",), "cloths": ("blue",)}
    first, second = (replace(step, **places, contact_min=0.0) for step in plan.steps)
    first = replace(first, product="Demo Cleaner B")
    rinse = replace(first, id="rinse", kind="rinse", product="")
    apart = replace(plan, steps=(first, rinse, second), kept_apart=(("clean", "disinfect"),))
    done = [clean(), Work("rinse", at(9), at(10)), work()]
    assert carried_out(apart, done, NEEDS).answer == "as-planned"
    left_out = codes(carried_out(apart, [done[0], done[2]], NEEDS))
    assert left_out.count(("disinfect", "met-without-rinsing")) == 3
    late = [done[0], work(), Work("rinse", at(40), at(41))]
    assert ("disinfect", "met-without-rinsing") in codes(carried_out(apart, late, NEEDS))

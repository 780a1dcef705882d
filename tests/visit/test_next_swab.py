"""The swab to take next follows from what is on record: nobody types stage, round or swab."""

from dataclasses import replace

import pytest

from tersum.visit.decision import Terms
from tersum.visit.next_swab import Swab, cleaning_is_over, far_from_last, last_here
from tersum.visit.plan import Instrument, Limit, Plan, SamplingPoint, drawn
from tersum.visit.readings import Reading
from tersum.visit.walk import END, SHOW_DRAW, SWAB, Task, walk

SEED = bytes(range(32))
LIMIT = Limit("Meter", "Swab", 100.0, "smooth", 240.0, "agreed", "practice")


def plan(*points, drawn_points=0, terms=None):
    return Plan("v", "example", "Place", "room", "UTC", True, points, drawn_points, (), terms or Terms(),
                Instrument("Meter", "Swab"), (LIMIT,))


def point(name="a", **more):
    return SamplingPoint(name, "smooth", "high", more.pop("fixed", True), **more)


def read(rlu, swab="cleaned.1.1", name="a", **more):
    stage, round_, number = swab.split(".")
    return Reading(name, stage, rlu, rlu, f"{rlu:g}", int(round_), int(number), **more)


def next_at(made, *readings, seed=None):
    return walk(made, seed, readings).standings[0].next


@pytest.mark.parametrize(("readings", "swab", "why"), [
    ((), "cleaned.1.1", "first"),
    ((read(150.0),), "cleaned.1.2", "again"),
    ((read(900.0),), "cleaned.2.1", "cleaned-again"),
    ((read(900.0), read(150.0, "cleaned.2.1")), "cleaned.2.2", "again"),
    ((read(0.0, dry=False),), "cleaned.1.2", "again"),
])
def test_next_swab_follows_from_the_verdict(readings, swab, why):
    following = next_at(plan(point()), *readings)
    assert (str(following.swab), following.why) == (swab, why)


@pytest.mark.parametrize("readings", [
    (read(20.0),), (read(150.0), read(20.0, "cleaned.1.2")),
    (read(900.0), read(900.0, "cleaned.2.1"), read(900.0, "cleaned.3.1"))])
def test_no_swab_follows_where_nothing_more_can_be_done(readings):
    assert next_at(plan(point()), *readings) is None


def test_point_to_be_read_as_found_is_asked_for_before_the_draw_only():
    made = plan(point(also_as_found=True), point("b"), point("c", fixed=False), drawn_points=1)
    before = walk(made, None, ())
    assert str(before.standings[0].next.swab) == "as_found.1.1"
    assert before.standings[0].next.instead is None
    assert before.standings[1].next is None
    assert str(walk(made, SEED, ()).standings[0].next.swab) == "cleaned.1.1"


def test_as_found_swab_that_does_not_count_is_asked_for_again():
    made = plan(point(also_as_found=True), point("c", fixed=False), drawn_points=1)
    assert str(next_at(made, read(50.0, "as_found.1.1", dry=False)).swab) == "as_found.1.2"
    assert next_at(made, read(50.0, "as_found.1.1")) is None


def test_without_a_draw_a_point_cleaned_already_can_be_said_to_be():
    following = next_at(plan(point(also_as_found=True)))
    assert (str(following.swab), str(following.instead)) == ("as_found.1.1", "cleaned.1.1")


def test_first_reading_when_cleaned_ends_the_time_of_as_found_where_nothing_is_drawn():
    made = plan(point(), point("b", also_as_found=True))
    assert not cleaning_is_over(made, None, [read(50.0, "as_found.1.1", "b")])
    walked = walk(made, None, [read(20.0)])
    assert walked.cleaning_over and str(walked.standings[1].next.swab) == "cleaned.1.1"


def test_planned_duplicate_is_taken_whatever_the_first_swab_shows():
    made = plan(point(duplicate=True))
    low, high = next_at(made, read(20.0)), next_at(made, read(900.0))
    assert (str(low.swab), low.why, low.instead) == ("cleaned.1.2", "duplicate", None)
    assert (str(high.swab), high.why, str(high.instead)) == ("cleaned.1.2", "duplicate", "cleaned.2.1")
    assert next_at(made, read(20.0), read(25.0, "cleaned.1.2")) is None


def test_planned_duplicate_is_not_asked_for_where_no_fresh_area_is_left():
    assert next_at(plan(point(duplicate=True, fresh_areas=1)), read(20.0)) is None


def test_point_may_be_cleaned_again_instead_of_swabbed_again_as_often_as_agreed():
    assert str(next_at(plan(point()), read(150.0)).instead) == "cleaned.2.1"
    no_more = plan(point(), terms=replace(Terms(), clean_agains=0))
    assert next_at(no_more, read(150.0)).instead is None


def test_reading_as_found_that_came_too_late_is_not_asked_for():
    terms = Terms(rule="limit and reduction", reduction_target_log10=1.0)
    made = plan(point(also_as_found=True), point("c", fixed=False), drawn_points=1, terms=terms)
    assert walk(made, SEED, [read(20.0)]).standings[0].next is None


def test_task_is_what_can_only_be_read_as_found_then_the_draw_then_the_walk_then_the_end():
    made = plan(point(), point("b", also_as_found=True), point("c", fixed=False), point("d", fixed=False),
                drawn_points=1)
    found = [read(50.0, "as_found.1.1", "b")]
    assert walk(made, None, ()).task == Task(SWAB, 2)
    assert walk(made, None, found).task == Task(SHOW_DRAW)
    assert walk(made, SEED, found).task == Task(SWAB, 1)
    names = ["a", "b", *drawn(made, SEED)]
    everything = found + [read(20.0, name=name) for name in names]
    assert walk(made, SEED, everything).task == Task(END)


def test_places_are_those_of_the_plan_and_a_point_not_drawn_has_none():
    made = plan(point("a", fixed=False), point("b", fixed=False), point("c"), drawn_points=1)
    walked = walk(made, SEED, ())
    chosen = {"a": 1, "b": 2}[drawn(made, SEED)[0]]
    assert [one.place for one in walked.standings] == [chosen, 3]
    assert walked.at(3 - chosen) is None and walked.at(99) is None


def test_the_point_after_a_place_goes_round_once():
    walked = walk(plan(point("a"), point("b"), point("c")), None, [read(20.0, name="b")])
    assert walked.after(1).place == 3 and walked.after(3).place == 1


@pytest.mark.parametrize(("now", "last", "cleaned", "far"), [
    (380.0, 38.0, False, True), (379.0, 38.0, False, False), (3.8, 38.0, False, True), (4.0, 38.0, False, False),
    (3.8, 38.0, True, False), (380.0, 38.0, True, True), (380.0, None, False, False)])
def test_ten_times_or_a_tenth_is_asked_about(now, last, cleaned, far):
    assert far_from_last(now, now, last, cleaned_since=cleaned) is far


def test_bound_is_not_asked_about():
    assert not far_from_last(0.0, 5.0, 900.0, cleaned_since=False)


def test_last_value_here_is_the_newest_that_counts_and_is_a_number():
    readings = [read(50.0, "as_found.1.1"), read(20.0), read(70.0, "cleaned.1.2", dry=False),
                replace(read(0.0, "cleaned.1.3"), high_rlu=5.0)]
    assert last_here(readings).low_rlu == 20.0
    assert last_here(()) is None


def test_swab_is_written_as_stage_round_and_number():
    assert str(Swab("cleaned", 2, 1)) == "cleaned.2.1"

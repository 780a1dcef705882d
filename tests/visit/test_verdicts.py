"""The decisions of one visit: planned points only, and no swab on a spot that was swabbed before."""

from tersum.visit.plan import plan_from
from tersum.visit.readings import Reading
from tersum.visit.verdicts import duplicates_missing, verdicts


def swab(rlu, number, **more):
    return Reading("grip", "cleaned", float(rlu), float(rlu), str(rlu), swab=number, **more)


def decision(table, *readings):
    table["point"][1]["fresh_areas"] = 1
    plan = plan_from(table, book_spread_log10=0.205)
    return next(one for one in verdicts(plan, None, readings).decisions if one.point == "grip")


def test_second_swab_where_one_area_is_fresh_does_not_count(table):
    made = decision(table, swab(150, 1), swab(5, 2))
    assert (made.verdict, made.n) == ("clean-again", 1)
    assert made.reason.code == "no-fresh-area-left"


def test_swab_that_was_never_opened_leaves_the_area_fresh(table):
    assert decision(table, swab(150, 1, dry=False), swab(5, 2)).verdict == "done"


def test_swab_that_was_never_opened_takes_no_area_from_the_next_look(table):
    table["point"][1]["fresh_areas"] = 2
    plan = plan_from(table, book_spread_log10=0.205)
    readings = [swab(150, 1), swab(150, 2, dry=False)]
    made = next(one for one in verdicts(plan, None, readings).decisions if one.point == "grip")
    assert (made.verdict, made.looks_left) == ("swab-again", 1)


def test_points_outside_the_plan_and_not_drawn_are_not_decided(table):
    plan = plan_from(table, book_spread_log10=0.205)
    made = verdicts(plan, None, [Reading("roof", "cleaned", 9000.0, 9000.0, "9000")])
    assert [one.point for one in made.decisions] == ["wheel", "grip"]


def test_point_done_on_one_of_two_planned_swabs_is_named(table):
    plan = plan_from(table, book_spread_log10=0.205)
    one = Reading("wheel", "cleaned", 5.0, 5.0, "5")
    two = Reading("wheel", "cleaned", 6.0, 6.0, "6", swab=2)
    assert duplicates_missing(plan, verdicts(plan, None, [one]).decisions) == ("wheel",)
    assert duplicates_missing(plan, verdicts(plan, None, [one, two]).decisions) == ()
    assert duplicates_missing(plan, verdicts(plan, None, []).decisions) == ()

"""What all points say together, what is left to do, and how a visit ends."""

import pytest

from tersum.errors import Faults
from tersum.visit.decision import LimitInForce, Terms
from tersum.visit.outcome import ended, ending_from, statement, work_list
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point


def decision(name, *values):
    readings = [Reading(name, "cleaned", float(value), float(value), str(value), swab=place)
                for place, value in enumerate(values, start=1)]
    return decide_point(name, readings, terms=Terms(), limit=LimitInForce(300.0, "option"))


def test_statement_counts_swabbed_and_done():
    said = statement([decision("a", 20), decision("b", 900), decision("c")], Terms())
    assert (said.swabbed, said.done, said.planned) == (2, 1, 3)
    assert said.all_conform_independent is None


def test_correlated_errors_make_all_conform_more_likely_than_the_product():
    said = statement([decision("a", 80), decision("b", 100), decision("c", 90)], Terms())
    assert said.all_conform_independent < said.all_conform_correlated < 1
    assert said.all_conform_shifted < said.all_conform_independent


def test_draw_speaks_only_for_the_list_it_was_made_from():
    said = statement([decision("a", 20), decision("b", 20), decision("c", 20)], Terms(), drawn=["b", "c"], listed=4)
    assert (said.stratum_listed, said.stratum_drawn, said.stratum_done) == (4, 2, 2)
    assert said.stratum_at_least == 2  # two of four drawn and done: with 95 % confidence no more than those two


def test_draw_without_a_limit_concludes_nothing_of_its_list():
    unjudged = decide_point("b", [Reading("b", "cleaned", 20.0, 20.0, "20")], terms=Terms(), limit=None)
    assert statement([decision("a", 20), unjudged], Terms(), drawn=["b"], listed=4).stratum_drawn == 0


def test_point_over_range_leaves_no_hope_that_all_conform():
    over = decide_point("x", [Reading("x", "cleaned", 9999.0, float("inf"), ">9999")], terms=Terms(),
                        limit=LimitInForce(300.0, "option"))
    assert statement([over], Terms()).all_conform_shifted == 0.0


def test_work_list_is_worst_first():
    listed = work_list([decision("done", 20), decision("unread"), decision("between", 200), decision("high", 900)])
    assert [one.point for one in listed] == ["high", "between", "unread"]


def test_visit_with_every_point_done_is_finished():
    assert ended([decision("a", 20)], None).kind == "finished"


def test_visit_with_open_points_and_no_ending_stays_open():
    assert ended([decision("a", 900)], None).kind == "open"
    assert ended([decision("a", 900)], None).open_points == ("a",)


def test_honest_ending_keeps_its_reason_and_names_the_open_points():
    stated = ending_from({"ending": {"kind": "handed-over-with-open-points", "reason": "customer had to leave"}})
    ending = ended([decision("a", 900), decision("b", 20)], stated)
    assert (ending.kind, ending.reason, ending.open_points) == (
        "handed-over-with-open-points", "customer had to leave", ("a",))


def test_finished_with_open_points_is_refused():
    with pytest.raises(Faults, match="points still open: 1"):
        ended([decision("a", 900)], ending_from({"ending": {"kind": "finished"}}))


def test_honest_ending_asks_for_a_reason():
    with pytest.raises(Faults, match="reason is missing"):
        ending_from({"ending": {"kind": "stopped"}})

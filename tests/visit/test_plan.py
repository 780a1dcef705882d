"""The plan: read with all its faults at once, drawn by a sealed seed, and its cost said beforehand."""

import math

import pytest

from tersum.errors import Faults
from tersum.visit.plan import commitment, drawn, effort, limit_for, plan_from, planned_points, spread_at_floor

SEED = bytes(range(32))


def faults_of(table):
    with pytest.raises(Faults) as caught:
        plan_from(table, book_spread_log10=0.205)
    return "\n".join(str(one) for one in caught.value.faults)


def test_drawn_points_come_from_those_that_are_not_fixed(plan):
    assert set(drawn(plan, SEED)) < {"seat", "window", "roof"}
    assert len(drawn(plan, SEED)) == 2


def test_same_seed_draws_the_same_points_in_any_order_of_the_list(plan, table):
    table["point"].reverse()
    assert set(drawn(plan_from(table, book_spread_log10=0.205), SEED)) == set(drawn(plan, SEED))


def test_another_seed_draws_other_points_some_of_the_time(plan):
    assert len({drawn(plan, bytes([n]) * 32) for n in range(40)}) > 3


def test_every_candidate_is_drawn_about_equally_often(plan):
    times = dict.fromkeys(("seat", "window", "roof"), 0)
    for n in range(3000):
        for name in drawn(plan, n.to_bytes(32, "big")):
            times[name] += 1
    # 2 of 3 drawn: 2000 expected each, binomial standard deviation 25.8; 4 of those
    assert all(abs(count - 2000) < 4 * math.sqrt(3000 * 2 / 9) for count in times.values()), times


def test_before_the_seed_is_shown_only_the_fixed_points_are_known(plan):
    assert [point.id for point in planned_points(plan, None)] == ["wheel", "grip"]
    assert len(planned_points(plan, SEED)) == 4


def test_commitment_tells_two_seeds_apart():
    assert commitment(SEED) != commitment(SEED[::-1])
    assert len(commitment(SEED)) == 64


def test_effort_counts_swabs_and_minutes(plan):
    cost = effort(plan)
    # 2 fixed + 2 drawn, 1 as found, 1 duplicate, 1 blank
    assert (cost.swabs, cost.second_looks_most) == (7, 3)
    assert cost.minutes == 7 * 2.0 + 10 + 10
    assert 0.5 < cost.first_time_at_a_third < cost.first_time_at_a_fifth <= 1


def test_limit_belongs_to_surface_and_area(plan, table):
    assert limit_for(plan, plan.points[0]).rlu == 200
    assert limit_for(plan, plan.points[2]) is None
    table["point"][0]["area_cm2"] = 25
    assert limit_for(plan_from(table, book_spread_log10=0.205), plan_from(
        table, book_spread_log10=0.205).points[0]) is None


def test_without_duplicates_the_spread_is_the_book_value(plan):
    assert (plan.terms.spread_log10, plan.terms.spread_basis) == (0.205, "book")


def test_own_duplicates_replace_the_book_value(table):
    table["instrument"]["duplicates"] = [[100, 200], [50, 60], [300, 310]]
    terms = plan_from(table, book_spread_log10=0.205).terms
    assert (terms.degrees_of_freedom, terms.spread_basis) == (3.0, "duplicates")


def test_own_duplicates_alike_to_a_step_are_told_from_others(table):
    table["instrument"]["duplicates"] = [[100, 100], [400, 401]]
    plan = plan_from(table, book_spread_log10=0.205)
    assert spread_at_floor(plan)
    assert plan.terms.spread_log10 > 0.0008  # a whole-number display at 100 and 400 RLU
    table["instrument"]["duplicates"] = [[100, 140], [400, 401]]
    assert not spread_at_floor(plan_from(table, book_spread_log10=0.205))


def test_all_faults_are_told_at_once(table):
    table["point"][0]["touch"] = "higher"
    table["point"][1]["area_cm2"] = -4
    table["rule"]["looks"] = 9
    table["colour"] = "red"
    del table["place"]["name"]
    told = faults_of(table)
    assert told.count("\n") == 4
    for part in ("point 1: touch is not known: got higher; did you mean high",
                 "point 2: area_cm2 is out of range: got -4", "rule: looks is out of range: got 9; accepted: 1 to 5",
                 "colour is not known", "place: name is missing"):
        assert part in told, told


def test_limit_of_another_instrument_is_refused(table):
    table["limit"][0]["instrument"] = "Other Meter"
    assert "limits of this visit's instrument and swab" in faults_of(table)


def test_more_drawn_points_than_candidates_are_refused(table):
    table["draw"]["points"] = 4
    assert "at most the 3 points that are not fixed" in faults_of(table)


def test_two_points_of_one_name_are_refused(table):
    table["point"][1]["id"] = "wheel"
    assert "each id once" in faults_of(table)


def test_drawn_point_cannot_be_planned_as_found(table):
    table["point"][2]["also_as_found"] = True
    assert "not known before the cleaning" in faults_of(table)


def test_deciding_on_treated_asks_for_a_control_of_the_chemical_left(table):
    table["rule"]["deciding_stage"] = "treated"
    assert "quench_control" in faults_of(table)
    table["quench_control"] = "spiked swab on the treated panel, invented"
    assert plan_from(table, book_spread_log10=0.205).terms.stage == "treated"


def test_rule_that_asks_for_a_reduction_needs_its_number(table):
    table["rule"]["name"] = "limit and reduction"
    assert "a reduction, since the rule asks for one" in faults_of(table)
    table["rule"]["reduction_pct"] = 90.0
    assert plan_from(table, book_spread_log10=0.205).terms.reduction_target_log10 == pytest.approx(1.0)


def test_rule_that_asks_for_a_reduction_needs_a_point_read_as_found(table):
    table["rule"] |= {"name": "limit and reduction", "reduction_pct": 90.0}
    table["point"] = [{**one, "also_as_found": False} for one in table["point"]]
    assert "rule: name is out of range: got limit and reduction" in faults_of(table)


@pytest.mark.parametrize("value", [True, "2", 2.5, {}, [2]])
def test_whole_numbers_are_whole_numbers(table, value):
    table["rule"]["looks"] = value
    assert "looks" in faults_of(table)


def test_two_limits_of_one_surface_are_refused(table):
    table["limit"].append({**table["limit"][0], "rlu": 99999})
    assert "one limit for each surface and area" in faults_of(table)


def test_number_too_large_for_any_computer_is_refused(table):
    table["limit"][0]["rlu"] = 10**400
    assert "limit 1: rlu is out of range" in faults_of(table)

"""What version 1 of the rules says of one point's readings."""

import math
from dataclasses import replace

import pytest

from tersum.visit.decision import LimitInForce, Terms
from tersum.visit.readings import Reading
from tersum.visit.rules import decide_point

LIMIT = LimitInForce(300.0, "option")
TERMS = Terms(spread_log10=0.17)  # one look: 158, two looks: first 144, second 179 (multiplier 1.871)


def swab(rlu, *, stage="cleaned", number=1, high=None, **more):
    return Reading("grip", stage, float(rlu), float(rlu if high is None else high), str(rlu), swab=number, **more)


def decide(*readings, terms=TERMS, limit=LIMIT, **more):
    return decide_point("grip", readings, terms=terms, limit=limit, **more)


def test_mean_at_or_below_the_release_level_is_done():
    decision = decide(swab(140))
    assert (decision.verdict, decision.reason.code, decision.n) == ("done", "at-or-below-release-level", 1)
    assert decision.release_level_rlu == pytest.approx(300 * 10 ** (-1.871 * 0.17), rel=2e-3)
    assert decision.geometric_mean_rlu == 140.0


def test_mean_above_the_limit_is_clean_again():
    decision = decide(swab(301))
    assert (decision.verdict, decision.reason.code) == ("clean-again", "above-limit")


def test_mean_exactly_at_the_limit_is_not_above_it():
    assert decide(swab(300)).verdict == "swab-again"


def test_mean_between_release_level_and_limit_is_swab_again_while_a_look_is_left():
    decision = decide(swab(200))
    assert (decision.verdict, decision.looks_left) == ("swab-again", 1)
    assert decision.reason.code == "between-release-level-and-limit"


def test_between_on_the_last_look_is_clean_again():
    decision = decide(swab(200), swab(200, number=2))
    assert (decision.verdict, decision.reason.code) == ("clean-again", "not-shown-on-the-last-look")
    assert decision.reason.parameters["because"] == "between-release-level-and-limit"


def test_between_without_a_fresh_area_is_clean_again():
    decision = decide(swab(200), fresh_area_left=False)
    assert (decision.verdict, decision.reason.code) == ("clean-again", "no-fresh-area-left")


def test_second_look_is_averaged_and_never_replaces_the_first():
    low = decide(swab(250), swab(110, number=2))
    assert low.geometric_mean_rlu == pytest.approx(math.sqrt(250 * 110), rel=1e-5)
    assert low.verdict == "done"
    assert decide(swab(290), swab(130, number=2)).verdict == "clean-again"


def test_first_look_above_the_limit_ends_the_round_whatever_follows():
    decision = decide(swab(320), swab(20, number=2))
    assert (decision.verdict, decision.reason.code) == ("clean-again", "was-above-limit-in-this-round")


def test_planned_duplicate_is_decided_on_both_swabs_only():
    assert decide(swab(320), swab(60, number=2), planned_duplicate=True).verdict == "done"


def test_swabs_beyond_the_planned_looks_cannot_release():
    decision = decide(swab(250), swab(170, number=2), swab(10, number=3))
    assert (decision.verdict, decision.reason.code) == ("clean-again", "not-shown-within-the-planned-looks")
    assert "more-swabs-than-planned-looks" in [remark.code for remark in decision.remarks]


def test_swabs_beyond_the_planned_looks_still_count_against():
    assert decide(swab(100), swab(100, number=2)).verdict == "done"
    assert decide(swab(100), swab(100, number=2), swab(5000, number=3)).verdict == "clean-again"


def test_only_the_latest_round_decides():
    decision = decide(swab(900), swab(60, round=2))
    assert (decision.verdict, decision.round, decision.n) == ("done", 2, 1)


def test_third_failing_round_could_not_be_brought_below():
    decision = decide(swab(900), swab(800, round=2), swab(700, round=3))
    assert decision.verdict == "could-not-be-brought-below"
    assert decision.reason.parameters["because"] == "above-limit"


def test_wet_surface_is_not_counted_and_takes_no_look():
    decision = decide(swab(40, dry=False))
    assert (decision.verdict, decision.looks_left) == ("not-counted", 2)
    assert decision.reason.parameters["faults"] == ("wet-surface",)


@pytest.mark.parametrize(("field", "code"), [
    ("rinsed", "chemical-left"), ("fresh_area", "not-a-fresh-area"), ("swab_in_date", "swab-out-of-date"),
    ("instrument_checked", "instrument-not-checked")])
def test_each_fault_before_the_number_keeps_the_swab_out(field, code):
    decision = decide(swab(40, **{field: False}))
    assert decision.verdict == "not-counted"
    assert decision.remarks[0].parameters["fault"] == code


def test_answer_that_was_not_recorded_is_neither_yes_nor_no():
    assert decide(swab(40, dry=None)).verdict == "done"


def test_number_voided_after_it_was_seen_uses_up_a_look():
    voided = swab(900, void_reason="instrument-fault", void_approved_by="lead")
    assert decide(voided).looks_left == 1
    assert decide(voided, swab(200, number=2)).verdict == "clean-again"
    twice = decide(voided, replace(voided, swab=2))
    assert (twice.verdict, twice.reason.code) == ("clean-again", "looks-used-up")


def test_point_without_a_reading_at_the_deciding_stage_is_not_read():
    decision = decide(swab(40, stage="as_found"))
    assert (decision.verdict, decision.reason.code, decision.n) == ("not-read", "no-reading", 0)
    assert decide().verdict == "not-read"


def test_point_without_a_limit_has_no_limit_yet_and_keeps_its_mean():
    decision = decide(swab(40), limit=None)
    assert (decision.verdict, decision.geometric_mean_rlu, decision.p_conform) == ("no-limit-yet", 40.0, None)


def test_below_detection_under_the_release_level_is_done():
    decision = decide(swab(0, high=5))
    assert (decision.verdict, decision.mean_operator, decision.geometric_mean_rlu) == ("done", "<=", 5.0)


def test_below_detection_above_the_release_level_is_undecided():
    decision = decide(swab(0, high=200))
    assert (decision.verdict, decision.reason.code) == ("swab-again", "bounds-on-both-sides")


def test_over_range_above_the_limit_is_clean_again():
    decision = decide(swab(99999, high=math.inf))
    assert (decision.verdict, decision.mean_operator, decision.p_conform) == ("clean-again", ">=", 0.0)


def test_over_range_below_the_limit_is_swab_again_then_clean_again():
    low_ceiling = swab(250, high=math.inf)
    assert decide(low_ceiling).verdict == "swab-again"
    assert decide(low_ceiling, replace(low_ceiling, swab=2)).verdict == "clean-again"


def test_below_and_over_range_together_have_no_mean():
    decision = decide(swab(0, high=5), swab(99999, high=math.inf, number=2), planned_duplicate=True)
    assert (decision.geometric_mean_rlu, decision.mean_operator, decision.verdict) == (None, "between", "clean-again")


def test_blank_is_taken_off():
    assert decide(swab(160, blank_rlu=20.0)).verdict == "done"
    assert decide(swab(160)).verdict == "swab-again"


def test_reading_not_above_its_blank_is_an_upper_bound_not_a_zero():
    decision = decide(swab(18, blank_rlu=20.0))
    assert (decision.verdict, decision.mean_operator, decision.geometric_mean_rlu) == ("done", "<=", 18.0)


def test_reading_not_above_the_detection_level_is_at_most_that_level():
    decision = decide(swab(3), terms=replace(TERMS, detection_rlu=8.0))
    assert (decision.mean_operator, decision.geometric_mean_rlu) == ("<=", 8.0)


def test_blank_of_half_the_reading_or_more_leaves_at_most_what_the_meter_showed():
    known = replace(TERMS, detection_rlu=5.0)
    assert decide(swab(9000, blank_rlu=9999.0), terms=known).verdict == "swab-again"
    assert decide(swab(9000, blank_rlu=8950.0), terms=known).verdict != "done"
    assert decide(swab(0, high=5000, blank_rlu=4999.0), terms=known).verdict != "done"
    assert decide(swab(8, blank_rlu=6.0), terms=known).verdict == "done"


def test_voids_beyond_the_planned_looks_cannot_lead_to_a_release():
    voided = swab(900, void_reason="instrument-fault", void_approved_by="lead")
    three = [replace(voided, swab=number) for number in (1, 2, 3)]
    decision = decide(*three, swab(10, number=4))
    assert (decision.verdict, decision.reason.code) == ("clean-again", "not-shown-within-the-planned-looks")


def test_round_beyond_the_agreed_clean_agains_cannot_release():
    earlier = [swab(900, round=number) for number in (1, 2, 3)]
    assert decide(*earlier, swab(20, round=4)).verdict == "could-not-be-brought-below"


def test_few_duplicates_lower_the_release_level():
    few = decide(swab(100), terms=replace(TERMS, degrees_of_freedom=10.0))
    assert few.release_level_rlu < decide(swab(100)).release_level_rlu


def test_plain_limit_releases_at_the_limit_itself():
    plain = replace(TERMS, rule="plain limit")
    assert decide(swab(300), terms=plain).verdict == "done"
    assert decide(swab(301), terms=plain).verdict == "clean-again"


# Reduction

def test_reduction_comes_with_its_interval():
    reduction = decide(swab(1000, stage="as_found"), swab(100)).reduction
    # 1000 -> 100 at s 0.17: 1.00 +/- 0.47, that is 70 % to 97 %
    assert (reduction.log10, reduction.factor, reduction.percent, reduction.operator) == (1.0, 10.0, 90.0, "=")
    assert reduction.low == pytest.approx(1 - 0.4712, abs=1e-3)
    assert reduction.high == pytest.approx(1 + 0.4712, abs=1e-3)


def test_reduction_from_over_range_reads_at_least():
    reduction = decide(swab(99999, high=math.inf, stage="as_found"), swab(100)).reduction
    assert (reduction.operator, reduction.log10, reduction.high) == (">=", 3.0, None)


def test_reduction_to_below_detection_reads_at_least():
    assert decide(swab(1000, stage="as_found"), swab(0, high=10)).reduction.operator == ">="


def test_reduction_from_below_to_below_detection_cannot_be_told():
    assert decide(swab(0, high=10, stage="as_found"), swab(0, high=10)).reduction.operator == "?"


def test_reduction_changes_no_verdict_unless_it_was_agreed():
    beside = replace(TERMS, reduction_target_log10=3.0)
    assert decide(swab(1000, stage="as_found"), swab(100), terms=beside).verdict == "done"
    assert decide(swab(1000, stage="as_found"), swab(100), terms=beside).reduction.met == "not-met"


AGREED = replace(TERMS, rule="limit and reduction", reduction_target_log10=1.0)


def test_agreed_reduction_not_met_is_clean_again():
    decision = decide(swab(500, stage="as_found"), swab(100), terms=AGREED)
    assert (decision.verdict, decision.reason.code) == ("clean-again", "reduction-not-met")


def test_agreed_reduction_met_at_its_own_confidence_is_done():
    assert decide(swab(9000, stage="as_found"), swab(100), terms=AGREED).verdict == "done"


def test_agreed_reduction_seen_but_not_shown_is_swab_again():
    decision = decide(swab(1500, stage="as_found"), swab(100), terms=AGREED)
    assert (decision.verdict, decision.reason.code) == ("swab-again", "reduction-not-yet-shown")


def test_too_clean_at_the_start_is_decided_by_the_limit():
    decision = decide(swab(40, stage="as_found"), swab(30), terms=AGREED)
    assert (decision.verdict, decision.reduction.met) == ("done", "too-clean-at-the-start")


def test_agreed_reduction_without_the_planned_reading_as_found_keeps_the_point_open():
    assert decide(swab(30), terms=AGREED, as_found_planned=True).verdict == "not-read"
    assert decide(swab(30), terms=AGREED).verdict == "done"


# Remarks

def test_rise_beyond_the_scatter_says_check_cloth_and_bucket():
    codes = [remark.code for remark in decide(swab(20, stage="as_found"), swab(140)).remarks]
    assert codes == ["got-dirtier"]
    assert not decide(swab(100, stage="as_found"), swab(140)).remarks


def test_swabs_that_disagree_are_told():
    codes = [remark.code for remark in decide(swab(30), swab(140, number=2)).remarks]
    assert "swabs-disagree" in codes

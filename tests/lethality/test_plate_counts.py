"""Dilution series by two conventions, which differ where plates are empty or full."""

import math

import pytest

from tersum.errors import Faults, OutOfRange, UnknownName
from tersum.lethality.plate_counts import TOO_MANY, Plates, convention, plate_count

ISO, BAM = convention("ISO 7218"), convention("BAM")


def counted(rule, *dilutions, first=0.01, volume_ml=1.0):
    return plate_count([Plates(first / 10**place, tuple(counts), volume_ml) for place, counts in enumerate(dilutions)],
                       convention=rule)


def test_two_dilutions_are_weighted_by_what_was_plated():
    found = counted(ISO, (168, 215), (14, 25))
    assert found.unrounded == pytest.approx(19181.8, abs=0.1) and found.text == "19000" and not found.flags
    assert found.low < found.unrounded < found.high


def test_plates_outside_the_range_are_left_out_alone_by_one_rule_and_with_their_dilution_by_the_other():
    assert counted(BAM, (232, 260), (33, 28)).unrounded == pytest.approx((232 + 33 + 28) / (1.2 * 0.01))
    assert counted(ISO, (290, 310), (33, 28)).unrounded == pytest.approx((33 + 28) / (2 * 0.001))


def test_empty_plates_differ_25_fold_between_the_conventions():
    assert counted(ISO, (0, 0), (0, 0)).text == "<100" and counted(BAM, (0, 0), (0, 0)).text == "<2500"


@pytest.mark.parametrize(("counts", "text", "flag"), [((7, 5), "600", "estimated"), ((3, 2), "<400", "present"),
                                                      ((4, 4), "400", "estimated"), ((0, 1), "<400", "present")])
def test_few_colonies_are_estimated_or_present(counts, text, flag):
    found = counted(ISO, counts, (0, 0))
    assert found.text == text and flag in found.flags


@pytest.mark.parametrize("rule", [ISO, BAM], ids=["iso", "bam"])
def test_crowded_plates_are_a_lower_bound(rule):
    found = counted(rule, (TOO_MANY, TOO_MANY), (600, 640))
    assert found.operator == ">" and found.unrounded == rule.upper / 0.001 and math.isnan(found.low)


def test_nothing_inside_the_range_is_estimated_and_says_so():
    found = counted(ISO, (400, 350), (8, 9))
    assert found.operator == "=" and "estimated" in found.flags and found.unrounded == pytest.approx(37500)
    assert counted(ISO, (TOO_MANY, 40)).operator == ">"


def test_plates_that_differ_and_dilutions_that_do_not_agree_are_flagged():
    assert "plates-differ" in counted(ISO, (100, 200), (15, 15)).flags
    assert "dilutions-do-not-agree" in counted(ISO, (100, 110), (40, 45)).flags


def test_volume_enters_once():
    assert counted(ISO, (100,), volume_ml=0.1).unrounded == pytest.approx(1e5)


def test_bound_never_turns_into_a_number():
    for rule in (ISO, BAM):
        for one in (counted(rule, (0,)), counted(rule, (TOO_MANY,))):
            assert one.operator in "<>" and one.text[0] == one.operator


@pytest.mark.parametrize("wrong", [
    lambda: Plates(0.0, (1,)), lambda: Plates(2.0, (1,)), lambda: Plates(0.1, ()), lambda: Plates(0.1, (-1,)),
    lambda: Plates(0.1, (1.5,)), lambda: Plates(0.1, (True,)), lambda: Plates(0.1, (math.nan,)),
    lambda: Plates(0.1, (1,), 0.0), lambda: plate_count([], convention=ISO),
    lambda: plate_count([Plates(0.01, (50,)), Plates(0.0001, (5,))], convention=ISO),
    lambda: plate_count([Plates(0.01, (50,)), Plates(0.01, (5,))], convention=ISO),
])
def test_what_is_no_series_is_refused(wrong):
    with pytest.raises(OutOfRange, match="accepted"):
        wrong()


def test_all_faults_of_a_series_are_told_at_once():
    with pytest.raises(Faults) as found:
        plate_count([Plates(0.01, (50,)), Plates(0.0001, (5,), 0.5)], convention=ISO)
    assert [one.field for one in found.value.faults] == ["dilution", "volume_ml"]


def test_another_convention_is_refused():
    with pytest.raises(UnknownName, match="ISO 7218"):
        convention("ISO")

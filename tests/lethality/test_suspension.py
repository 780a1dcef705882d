"""The suspension test: density, what is left, controls; each reading the less favourable one where it is open."""

import math

import pytest

from tersum.errors import Faults, OutOfRange
from tersum.lethality.efficacy import requirement
from tersum.lethality.suspension import (
    FUNGI,
    Controls,
    Density,
    control_failings,
    density_failings,
    residual,
    suspension_density,
    suspension_test,
)

WANTED = requirement("EN 1276 bactericidal")
GOOD = Controls(96, 60, 52, 52)
START = suspension_density([168, 213], [20, 25], dilution_first=1e-6)


def test_density_is_weighted_and_a_tenth_of_it_stands_in_the_mixture():
    assert START.reported == 1.9e8 and START.log10_in_mixture == pytest.approx(7.279, abs=1e-3)
    assert START.quotient.acceptable


def test_only_countable_plates_make_the_density():
    """A crowded plate reads too low, a sparse one too uncertain: neither is pooled."""
    assert suspension_density([168, 400], [20, 5], dilution_first=1e-6).cfu_per_ml == pytest.approx(188 / 1.1e-6)
    with pytest.raises(OutOfRange, match="14 to 330 colonies"):
        suspension_density([400, 410], [3, 5], dilution_first=1e-6)


@pytest.mark.parametrize(("counts", "report", "operator"), [
    ([3, 8], "<140", "<"), ([13, 13], "<140", "<"), ([14, 14], "140", "="), ([35, 41], "380", "="),
    ([330, 330], "3300", "="), ([331, 400], ">3300", ">"), ([math.inf, math.inf], ">3300", ">"),
    ([10, 20], "<=200", "<="), ([300, math.inf], ">3150", ">"),
])
def test_what_is_left_keeps_its_operator(counts, report, operator):
    found = residual(counts)
    assert (found.report, found.log10.operator) == (report, operator)


def test_plates_on_both_sides_of_an_end_are_read_the_less_favourable_way_and_flagged():
    assert residual([10, 20]).flags == ("one-plate-below-the-range",)
    assert residual([300, 400]).flags == ("one-plate-above-the-range",)


def test_moulds_have_a_lower_top():
    assert residual([200, 210], method=FUNGI).report == ">1650" and residual([200, 210]).report == "2100"


def test_clean_plates_make_the_reduction_a_bound():
    found = suspension_test(WANTED, START, residual([0, 0]), GOOD)
    assert found.answer == "met" and found.reduction.operator == ">" and found.reduction.value == pytest.approx(5.13,
                                                                                                               abs=0.01)


def test_crowded_plates_make_it_less_than():
    found = suspension_test(WANTED, START, residual([math.inf, math.inf]), GOOD)
    assert found.answer == "not-met" and found.reduction.operator == "<"


@pytest.mark.parametrize(("controls", "codes"), [
    (GOOD, []), (Controls(96, 60, 47, 52), ["control-b"]), (Controls(29, 20, 20, 20), ["validation-suspension"]),
    (Controls(161, 100, 100, 80), ["validation-suspension", "control-c"]),
    (Controls(96, 60, 47, 52, strong_suspension=9e4), []), (Controls(96, 60, 44, 52, strong_suspension=9e4),
                                                            ["control-b"]),
])
def test_controls_out_of_their_range_are_named(controls, codes):
    assert [one.code for one in control_failings(controls)] == codes


def test_control_out_of_range_makes_a_great_reduction_invalid():
    found = suspension_test(WANTED, START, residual([0, 0]), Controls(96, 60, 47, 52))
    assert found.answer == "invalid" and found.reduction.operator == ">"


def test_test_without_controls_is_invalid():
    assert suspension_test(WANTED, START, residual([0, 0]), None).failing[0].code == "controls-missing"


@pytest.mark.parametrize(("reported", "valid"), [(1.5e8, True), (5e8, True), (1.4e8, False), (6e8, False)])
def test_suspension_too_thin_or_too_dense_is_invalid(reported, valid):
    density = Density(reported, reported, math.log10(reported / 10), None)
    assert (not density_failings(density)) is valid
    assert (suspension_test(WANTED, density, residual([0, 0]), GOOD).answer != "invalid") is valid


def test_method_numbers_from_memory_are_named_even_where_the_requirement_was_read():
    assert any("lowest_count" in one for one in suspension_test(WANTED, START, residual([0, 0]), GOOD).from_memory)


def test_own_range_of_the_suspension_takes_the_place_of_the_remembered_one():
    thin = suspension_density([168, 213], [20, 25], dilution_first=1e-4)
    assert suspension_test(WANTED, thin, residual([0, 0]), GOOD).answer == "invalid"
    found = suspension_test(WANTED, thin, residual([0, 0]), GOOD, density_range=(1.5e6, 5e6))
    assert not found.failing and not any("_suspension" in one for one in found.from_memory)


def test_counting_alone_has_its_limit_and_says_so():
    found = suspension_test(requirement("EN 13624 fungicidal"), START, residual([80, 100]), GOOD)
    assert found.answer == "met" and found.details["lower_log10"] == pytest.approx(4.324 - 1.645 * 0.0388, abs=2e-3)
    assert "interval-of-counting-alone" in found.flags
    close = suspension_test(WANTED, START, residual([18, 19]), GOOD)
    assert close.answer == "met" and "lower-limit-below-the-requirement" in close.flags
    assert math.isnan(suspension_test(WANTED, START, residual([0, 0]), GOOD).details["lower_log10"])


def test_dilutions_that_disagree_are_flagged():
    odd = suspension_density([168, 213], [80, 75], dilution_first=1e-6)
    assert "dilutions-do-not-agree" in suspension_test(WANTED, odd, residual([0, 0]), GOOD).flags


@pytest.mark.parametrize("call", [
    lambda: residual([]), lambda: residual([-1]), lambda: residual([1.5]), lambda: residual([True]),
    lambda: residual([7.28, 7.3]),  # logs where counts are asked
    lambda: suspension_density([], [], dilution_first=1e-6), lambda: suspension_density([0], [0], dilution_first=1e-6),
    lambda: suspension_density([168], [20], dilution_first=0.0),
    lambda: suspension_density([math.inf], [20], dilution_first=1e-6),
])
def test_what_is_no_count_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()


def test_all_faults_of_the_controls_are_told_at_once():
    with pytest.raises(Faults) as found:
        control_failings(Controls(-1, math.nan, 52, 52))
    assert [one.field for one in found.value.faults] == ["suspension", "conditions"]

"""Laws of log reductions with operators: sums are associative, and nothing that is done makes a bound a number."""

import json
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tersum.lethality.log_reduction import (
    CANNOT_TELL,
    MET,
    NOT_MET,
    UNKNOWN,
    LogReduction,
    at_least,
    at_most,
    exactly,
    from_dict,
    least,
    less_than,
    mean,
    more_than,
    parse_log_reduction,
)

# Hundredths, so that sums of a few are the same in any order to the digits that are compared.
LOGS = st.integers(-300, 900).map(lambda one: one / 100.0)
MAKERS = {"=": exactly, ">": more_than, ">=": at_least, "<": less_than, "<=": at_most}


@st.composite
def reductions(draw, operators=("=", ">", ">=", "<", "<=", "between", "?")):
    operator = draw(st.sampled_from(operators))
    if operator == "?":
        return UNKNOWN
    if operator == "between":
        low, high = sorted(draw(st.tuples(LOGS, LOGS).filter(lambda ends: ends[0] != ends[1])))
        return LogReduction(low, high, draw(st.booleans()), draw(st.booleans()))
    return MAKERS[operator](draw(LOGS))


def same(one, other):
    return (one.operator == other.operator and one.low == pytest.approx(other.low, abs=1e-9)
            and one.high == pytest.approx(other.high, abs=1e-9)
            and (one.low_open, one.high_open) == (other.low_open, other.high_open))


def members(one):
    """Numbers that a reduction allows, its ends among them where they belong to it."""
    low, high = max(one.low, -50.0), min(one.high, 50.0)
    inside = [low + (high - low) * share for share in (0.25, 0.5, 0.75)]
    return inside + [low] * (not one.low_open) + [high] * (not one.high_open)


def allows(one, value):
    slack = 1e-9
    return one.low - slack <= value <= one.high + slack


@given(reductions(), reductions(), reductions())
def test_sums_are_associative(a, b, c):
    assert same((a + b) + c, a + (b + c))


@given(reductions(), reductions())
def test_sums_do_not_depend_on_the_order(a, b):
    assert same(a + b, b + a)


@given(reductions())
def test_nothing_added_changes_nothing(a):
    assert same(a + exactly(0.0), a) and same(a.times(1.0), a)


@given(reductions(), reductions())
def test_a_sum_is_a_number_only_where_both_are(a, b):
    assert ((a + b).operator == "=") is (a.operator == b.operator == "=")
    assert ((a - b).operator == "=") is (a.operator == b.operator == "=")


@given(st.lists(reductions(), min_size=1, max_size=6))
def test_one_bound_among_many_never_averages_into_a_number(values):
    assert (mean(values).operator == "=") is all(one.operator == "=" for one in values)


@given(st.lists(reductions((">", ">=")), min_size=1, max_size=4), st.lists(reductions(("=",)), max_size=4))
def test_lower_bounds_and_numbers_give_lower_bounds(bounds, numbers):
    total = bounds[0]
    for one in (*bounds[1:], *numbers):
        total = total + one
    assert total.operator == (">" if any(one.operator == ">" for one in bounds) else ">=")


@given(reductions(), reductions())
def test_a_sum_allows_every_sum_of_what_its_parts_allow(a, b):
    """The law of all arithmetic with bounds: the truth is never left out."""
    total = a + b
    assert all(allows(total, one + other) for one in members(a) for other in members(b))


@given(st.lists(reductions(), min_size=1, max_size=5))
def test_the_least_allows_every_least_of_what_its_parts_allow(values):
    found = least(values)
    picks = [members(one) for one in values]
    assert all(allows(found, min(pick[place % len(pick)] for pick in picks)) for place in range(7))


@given(reductions())
def test_taking_away_twice_returns_the_same(a):
    turned = -a
    assert same(-turned, a)


@given(reductions())
def test_storage_keeps_the_operator_and_the_number(a):
    assert same(from_dict(json.loads(json.dumps(a.as_dict()))), a)


@given(reductions(("=", ">", ">=", "<", "<=")))
def test_print_keeps_the_operator_and_claims_no_more(a):
    read = parse_log_reduction(a.text())
    assert read.operator == a.operator
    if a.operator in (">", ">="):
        assert read.value <= a.value + 1e-9
    elif a.operator in ("<", "<="):
        assert read.value >= a.value - 1e-9


@given(reductions(), LOGS)
def test_answer_to_a_requirement_holds_for_every_number_allowed(a, required):
    answer = a.reaches(required)
    reach = {one >= required - 1e-9 for one in members(a)}
    if answer == MET:
        assert reach == {True}
    elif answer == NOT_MET:
        assert not any(one >= required + 1e-9 for one in members(a))
    else:
        assert answer == CANNOT_TELL and a.operator != "="


@given(reductions(), LOGS, st.integers(1, 300))
def test_a_higher_requirement_is_never_easier(a, required, more):
    assume(a.reaches(required) == NOT_MET)
    assert a.reaches(required + more / 100.0) == NOT_MET


@given(st.lists(reductions(), min_size=2, max_size=6))
def test_sorting_loses_no_operator(values):
    ordered = sorted(values, key=lambda one: one.sort_key)
    assert sorted(one.operator for one in ordered) == sorted(one.operator for one in values)
    assert all(one.low <= other.low for one, other in zip(ordered, ordered[1:], strict=False))
    with pytest.raises(TypeError):
        sorted(values)


@given(reductions(("=", ">", ">=", "<", "<=")), st.floats(0.01, 20.0))
def test_a_positive_factor_keeps_the_operator(a, factor):
    assert a.times(factor).operator == a.operator
    assert math.isfinite(a.times(factor).value)

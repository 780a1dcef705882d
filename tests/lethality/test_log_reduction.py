"""A reduction keeps its operator through arithmetic, comparison, storage and print."""

import json
import math

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.log_reduction import (
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

EVERY = [exactly(4.7), more_than(5.38), at_least(5.2), less_than(3.1), at_most(3.2), LogReduction(3.0, 4.0),
         LogReduction(3.0, 4.0, low_open=True), UNKNOWN]


@pytest.mark.parametrize("one", EVERY, ids=str)
def test_storage_returns_the_same_reduction(one):
    assert from_dict(json.loads(json.dumps(one.as_dict()))) == one


@pytest.mark.parametrize("one", EVERY[:5], ids=str)
def test_text_is_read_back_with_its_operator(one):
    assert parse_log_reduction(one.text(3)) == one


def test_bound_plus_number_stays_a_bound():
    assert (more_than(5.0) + exactly(1.0)).operator == ">"
    assert (at_least(5.0) + more_than(1.0)).operator == ">"
    assert (exactly(6.0) - less_than(2.0)).operator == ">"
    assert (more_than(5.0) + less_than(1.0)).operator == "?"


def test_mean_of_a_clean_plate_and_a_count_is_a_bound():
    assert mean([exactly(4.0), more_than(5.0)]) == more_than(4.5)
    assert mean([exactly(4.0), exactly(5.0)]) == exactly(4.5)


def test_least_of_bounds_says_only_what_is_known():
    assert least([exactly(6.0), more_than(5.0)]) == LogReduction(5.0, 6.0, low_open=True)
    assert least([exactly(4.0), more_than(5.0)]) == exactly(4.0)
    assert least([more_than(4.0), at_least(4.0)]).operator == ">="


@pytest.mark.parametrize(("one", "required", "answer"), [
    (more_than(5.38), 5.0, "met"), (more_than(4.2), 5.0, "cannot-tell"), (exactly(5.0), 5.0, "met"),
    (exactly(4.999), 5.0, "not-met"), (less_than(5.0), 5.0, "not-met"), (at_most(5.0), 5.0, "cannot-tell"),
    (at_most(4.9), 5.0, "not-met"), (LogReduction(4.0, 6.0), 5.0, "cannot-tell"), (UNKNOWN, 5.0, "cannot-tell"),
    (exactly(0.1 + 0.2), 0.3, "met"),
])
def test_requirement_is_met_only_where_it_must_be(one, required, answer):
    assert one.reaches(required) == answer


def test_python_cannot_sort_reductions_by_their_numbers():
    with pytest.raises(TypeError):
        sorted([more_than(5.0), exactly(6.0)])
    assert sorted([exactly(6.0), more_than(5.0), less_than(4.0)], key=lambda one: one.sort_key)[0].operator == "<"


def test_print_never_rounds_a_bound_up_to_a_claim():
    assert more_than(4.999).text() == "> 4.99" and less_than(5.001).text() == "< 5.01"
    assert LogReduction(3.456, 4.561).text() == "3.45 to 4.57" and UNKNOWN.text() == "?"
    assert more_than(7.53 - 2.15).text() == "> 5.38"  # 5.38 in floats is a hair off


@pytest.mark.parametrize(("low", "high"), [(math.nan, 1.0), (2.0, 1.0), (math.inf, math.inf), (-math.inf, -math.inf)])
def test_ends_that_are_none_are_refused(low, high):
    with pytest.raises(OutOfRange, match="log_reduction"):
        LogReduction(low, high)


@pytest.mark.parametrize("text", ["", "about 5", "> ", "5 log", "=> 5", "nan", "1e3"])
def test_text_without_a_reduction_is_refused(text):
    with pytest.raises(OutOfRange, match="an operator and a number"):
        parse_log_reduction(text)


@pytest.mark.parametrize("kept", [{}, {"log10": 5.0}, {"operator": ">"}, {"operator": "~", "log10": 5.0},
                                  {"operator": ">", "log10": True}, {"operator": "between", "low": 1.0}])
def test_kept_reduction_without_its_operator_is_refused(kept):
    with pytest.raises(OutOfRange, match="operator"):
        from_dict(kept)

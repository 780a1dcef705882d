"""Ratios: each text has one reading, or is asked about."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.errors import OutOfRange, TersumError


@pytest.mark.parametrize(("text", "frac"), [
    ("1+20", 1 / 21), ("1 + 20", 1 / 21), ("3+97", 0.03), ("1+19,5", 1 / 20.5), ("1+0", 1.0), ("1 in 20", 0.05),
    ("1 IN 20", 0.05), ("1/20", 0.05), ("4.8 %", 0.048), ("4,8%", 0.048), ("5 % v/v", 0.05), ("100 %", 1.0),
])
def test_ratio_with_one_reading_is_taken(text, frac):
    assert parse_ratio(text).concentrate_frac == pytest.approx(frac, rel=1e-15)


def test_parts_of_water_and_part_of_the_whole_are_never_taken_for_each_other():
    assert parse_ratio("1+20").percent == pytest.approx(4.7619, abs=5e-5)
    assert parse_ratio("1 in 20").percent == pytest.approx(5.0, abs=1e-12)
    assert parse_ratio("1+20").parts_water == pytest.approx(20.0, rel=1e-12)
    assert parse_ratio("1 in 20").parts_water == pytest.approx(19.0, rel=1e-12)


@pytest.mark.parametrize("text", ["1:20", "1 to 20", "1 : 20", "1 TO 20", "2:5"])
def test_ratio_with_two_readings_is_asked_about_with_both(text):
    with pytest.raises(TersumError) as asked:
        parse_ratio(text)
    assert asked.value.code == "ambiguous-ratio"
    sentence = str(asked.value)
    assert text in sentence and "+" in sentence and " in " in sentence and sentence.count("%") == 2


def test_the_question_shows_what_each_reading_would_mean():
    with pytest.raises(TersumError, match=r"is it 1\+4 \(20 %\) or 1 in 4 \(25 %\)\?"):
        parse_ratio("1:4")


@pytest.mark.parametrize("text", ["1:20", "1 to 20"])
def test_product_that_says_how_it_means_its_ratio_is_not_asked(text):
    assert parse_ratio(text, reading="parts") == parse_ratio("1+20")
    assert parse_ratio(text, reading="whole") == parse_ratio("1 in 20")


@pytest.mark.parametrize("text", ["1+20", "1 in 20", "5 %"])
@pytest.mark.parametrize("reading", ["parts", "whole"])
def test_reading_of_a_product_never_changes_a_ratio_that_is_clear(text, reading):
    assert parse_ratio(text, reading=reading) == parse_ratio(text)


@pytest.mark.parametrize(("text", "code"), [
    ("0+20", "out-of-range"), ("-1+20", "out-of-range"), ("1+-20", "out-of-range"), ("1 in 0.5", "out-of-range"),
    ("1 in 0", "out-of-range"), ("0 %", "out-of-range"), ("101 %", "out-of-range"), ("-5 %", "out-of-range"),
    ("5 % w/w", "not-a-ratio"), ("", "not-a-ratio"), ("20", "not-a-ratio"), ("1+20+3", "not-a-ratio"),
    ("one in twenty", "not-a-ratio"), ("1++20", "not-a-ratio"), ("nan+1", "not-a-ratio"), ("1+1e3", "not-a-ratio"),
    ("1 in 1,000", "ambiguous-number"), ("1+2.000", "ambiguous-number"), ("1" * 100 + "+1", "not-a-ratio"),
])
def test_text_that_is_no_mixture_is_refused(text, code):
    with pytest.raises(TersumError) as refused:
        parse_ratio(text)
    assert refused.value.code == code and "got " in str(refused.value) and "ccepted: " in str(refused.value) or \
        code == "ambiguous-number"


def test_unknown_reading_is_refused():
    with pytest.raises(TersumError, match="parts, whole"):
        parse_ratio("1:20", reading="either")


@pytest.mark.parametrize("frac", [0.0, -0.1, 1.0001, float("nan"), float("inf"), True, "0.5", None])
def test_ratio_holds_only_a_fraction(frac):
    with pytest.raises(OutOfRange):
        Ratio(frac)


@given(st.text(max_size=30) | st.text(alphabet="0123456789.,+-:/% intoVv", max_size=20))
def test_any_text_is_taken_or_refused(text):
    try:
        assert 0.0 < parse_ratio(text).concentrate_frac <= 1.0
    except TersumError as refusal:
        assert refusal.code and "got " in str(refusal)

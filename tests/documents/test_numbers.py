"""Numbers on paper: few digits, but never two that differ and look the same."""

from hypothesis import given
from hypothesis import strategies as st

from tersum.documents.numbers import apart, bounded_text, decimal_mark, number_text
from tersum.documents.text import PSEUDO_LOCALE, speaking


@given(st.floats(0.001, 1e6))
def test_a_number_reads_back_within_half_a_percent(value):
    assert abs(float(number_text(value)) - value) <= 0.0051 * value


@given(st.floats(1.0, 1e5), st.floats(1.0, 1e5))
def test_two_numbers_a_thousandth_apart_never_look_alike(one, two):
    if abs(one - two) > 1e-3 * max(one, two):
        assert apart(one, (two,)) != apart(two, (one,))


def test_no_number_has_an_exponent_or_a_trailing_zero():
    for value in (1e-4, 0.5, 10.0, 120.0, 123456.0, 9.99e5):
        text = number_text(value)
        assert "e" not in text and not (("." in text) and text.endswith("0")), text


def test_bounds_say_that_they_are_bounds():
    assert bounded_text(5.0, "<=") == "≤ 5"
    assert bounded_text(9999.0, ">=") == "≥ 9999"
    assert bounded_text(240.4, "=", others=(240.0,)) == "240.4"
    assert bounded_text(None, "between") == "?"


def test_decimal_mark_survives_a_translation_in_brackets():
    with speaking(PSEUDO_LOCALE):
        assert decimal_mark() == "."

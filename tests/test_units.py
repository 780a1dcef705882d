"""Numbers as they are typed: what is taken, what is asked about, what is refused."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.errors import TersumError
from tersum.units import parse_decimal, parse_reading, parse_strength, parse_temperature_c, parse_volume_ml

PARSERS = (parse_decimal, parse_reading, parse_volume_ml, parse_strength, parse_temperature_c)


@pytest.mark.parametrize(("text", "value"), [("42.6", "42.6"), ("42,6", "42.6"), (" 7 ", "7"), ("-3", "-3"),
                                             ("+0,125", "0.125"), ("0.125", "0.125"), ("1234.567", "1234.567"),
                                             ("1,2345", "1.2345"), ("007", "7"), ("12.50", "12.50")])
def test_plain_numbers_are_taken_with_either_mark(text, value):
    assert parse_decimal(text) == Decimal(value)


@pytest.mark.parametrize("text", ["1,234", "1.234", "999.000", "-12,345", "10,000"])
def test_thousands_or_fraction_is_asked_about_and_both_answers_are_taken(text):
    with pytest.raises(TersumError) as refused:
        parse_decimal(text, field="reading")
    assert refused.value.code == "ambiguous-number"
    whole, fraction = refused.value.places["whole"], refused.value.places["fraction"]
    assert parse_decimal(whole) == 1000 * parse_decimal(fraction)
    assert whole in str(refused.value) and fraction in str(refused.value) and text in str(refused.value)


@pytest.mark.parametrize(("text", "said"), [
    ("", "empty"), ("   ", "empty"), ("1e3", "exponent"), ("1E+3", "exponent"), ("--1", "two signs"),
    ("+-1", "two signs"), ("1.2.3", "two decimal marks"), ("1,234,567", "two decimal marks"), ("1 234", "blank inside"),
    ("inf", "not a finite"), ("-Infinity", "not a finite"), ("nan", "not a finite"),
    ("4\x002", "NUL"), ("-", "no digits"),
    (".5", "both sides"), ("5.", "both sides"), ("12a", "not a digit"), ("٤٢", "not a digit"), ("４２", "not a digit"),
    ("1" * 21, "more than 20 digits"), ("1_000", "not a digit"), ("0x10", "not a digit"),
    ("\N{MINUS SIGN}1", "not a digit"),
])
def test_refusal_says_what_is_wrong_the_value_and_what_is_accepted(text, said):
    with pytest.raises(TersumError) as refused:
        parse_decimal(text, field="reading")
    sentence = str(refused.value)
    assert refused.value.code == "not-a-number" and refused.value.value == text
    assert said in sentence and "got " in sentence and "accepted: digits 0 to 9" in sentence
    assert "\x00" not in sentence


@pytest.mark.parametrize(("text", "bounds"), [("412", (412, 412)), ("42,5", (42.5, 42.5)), ("<5", (0, 5)),
                                              ("< 5", (0, 5)), (">99999", (99999, math.inf)), ("0", (0, 1)),
                                              ("0.0", (0, 0.1)), ("0,00", (0, 0.01))])
def test_reading_is_bounded_by_what_the_meter_showed(text, bounds):
    assert parse_reading(text) == bounds


@pytest.mark.parametrize("text", ["-1", "-0", "<0", ">0", "<-5", "<<5", "5<", "<", "1,234", "<1,234", "below"])
def test_reading_that_is_no_reading_is_refused(text):
    with pytest.raises(TersumError):
        parse_reading(text)


@pytest.mark.parametrize(("text", "volume_ml"), [("5 L", 5000), ("5l", 5000), ("750 ml", 750), ("750 mL", 750),
                                                 ("5000", 5000), ("0,5 litres", 500), ("33 cl", 330), ("0.2 m3", 2e5)])
def test_volume_is_read_with_its_unit(text, volume_ml):
    assert parse_volume_ml(text) == pytest.approx(volume_ml, rel=1e-15)


@pytest.mark.parametrize("text", ["0", "-5 L", "5 gal", "5 5 L", "1,500 L", "L", "nan", "1e3"])
def test_volume_without_meaning_is_refused(text):
    with pytest.raises(TersumError):
        parse_volume_ml(text)


@pytest.mark.parametrize(("text", "mg_l", "reading"), [("1000 mg/L", 1000, "mg/L"), ("0.1 g/l", 100, "g/L"),
                                                       ("0,1 % w/v", 1000, "% w/v"), ("250 µg/L", 0.25, "µg/L"),
                                                       ("2 mg/mL", 2000, "mg/mL")])
def test_strength_is_read_with_its_unit(text, mg_l, reading):
    found = parse_strength(text)
    assert found.mg_l == pytest.approx(mg_l, rel=1e-15) and found.reading == reading


@pytest.mark.parametrize("text", ["1000 ppm", "0.1 %", "1000", "4 % w/w", "1000 mg/kg"])
def test_strength_with_more_than_one_reading_is_asked_about(text):
    with pytest.raises(TersumError) as refused:
        parse_strength(text)
    assert refused.value.code == "ambiguous-strength" and "mg/L" in str(refused.value) or "w/v" in str(refused.value)


def test_ppm_is_taken_in_the_reading_stated_and_shows_it():
    assert parse_strength("1000 ppm", ppm="mg/L").mg_l == 1000
    by_mass = parse_strength("1801.8 ppm", ppm="mg/kg", density_kg_l=1.11)
    assert by_mass.reading == "mg/kg" and by_mass.mg_l == pytest.approx(2000, abs=0.01)


@pytest.mark.parametrize(("text", "temp_c"), [("20", 20), ("20 °C", 20), ("-5 C", -5), ("68 °F", 20), ("293,15 K", 20)])
def test_temperature_is_read_with_its_unit(text, temp_c):
    assert parse_temperature_c(text) == pytest.approx(temp_c, abs=1e-9)


@pytest.mark.parametrize("text", ["-274", "0 K", "-500 F", "20 R", "warm"])
def test_temperature_that_cannot_be_is_refused(text):
    with pytest.raises(TersumError):
        parse_temperature_c(text)


@given(st.text(max_size=60) | st.text(alphabet="0123456789.,+-eE<> \t\x00nafiLml%/wvpgµ°C", max_size=30))
def test_any_text_is_taken_or_refused_in_a_sentence(text):
    for parse in PARSERS:
        try:
            parse(text)
        except TersumError as refusal:
            sentence = str(refusal)
            assert refusal.code and "got " in sentence and "{field}" not in sentence and len(sentence) < 400


@given(st.decimals(min_value=-10**9, max_value=10**9, places=4), st.sampled_from([".", ","]))
def test_a_number_that_is_printed_is_read_back_as_itself(number, mark):
    assert parse_decimal(str(number).replace(".", mark)) == number


@given(st.integers(0, 999_999_999))
def test_whole_readings_are_read_back_as_themselves(rlu):
    assert parse_reading(str(rlu)) == ((rlu, rlu) if rlu else (0, 1))


@pytest.mark.parametrize("text", ["1" * 100_000, "," * 100_000, "+" * 100_000, "1 " * 50_000, "e" * 100_000,
                                  "1e" * 50_000])
def test_long_texts_are_refused_at_once(text):
    import time
    start = time.perf_counter()
    for parse in PARSERS:
        with pytest.raises(TersumError):
            parse(text)
    assert time.perf_counter() - start < 0.5

"""One value has one byte form, and what has none is refused with its place."""

import json
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

import pytest

from tersum.errors import Faults, OutOfRange, TersumError
from tersum.records import canonical


def test_keys_are_in_the_published_order():
    """Source: RFC 8785, section 3.2.3, the sorting example: by UTF-16 code units, not by code points."""
    keys = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\x80", "\xf6"]
    written = canonical.written(dict.fromkeys(keys, ""))
    assert list(json.loads(written)) == ["\r", "1", "\x80", "\xf6", "\u20ac", "\U0001f600", "\ufb33"]


def test_text_is_escaped_as_published():
    """Source: RFC 8785, section 3.2.2, the example without its numbers, which are floats."""
    value = {"string": "\u20ac$\u000f\nA'B\"\\\\\"/", "literals": [None, True, False]}
    assert canonical.canonical(value) == (
        b'{"literals":[null,true,false],"string":"\xe2\x82\xac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}')


def test_same_text_in_two_spellings_has_one_form():
    assert canonical.canonical("e\u0301") == canonical.canonical("\u00e9") == b'"\xc3\xa9"'


@pytest.mark.parametrize(("value", "place", "accepted"), [
    (1.5, "", "decimals as text"), (float("nan"), "", "decimals as text"), (Decimal("NaN"), "", "decimals as text"),
    ({"a": [0, 0.0]}, "/a/1", "decimals as text"), (2**53, "", "9007199254740991"), (-(2**53), "", "9007199254740991"),
    ("\ud800", "", "half characters"), ({"\udc00": 1}, "", "half characters"), ({1: "a"}, "", "keys that are text"),
    ({"e\u0301": 1, "\u00e9": 2}, "/\u00e9", "each key once"),
    ({"\u212a": 1, "K": "kelvin"}, "/K", "each key once"), ({"K": "kelvin", "\u212a": 1}, "/K", "each key once"),
    (b"bytes", "", "text"), ({1, 2}, "", "text"),
    (object(), "", "text"), (Decimal("1E+999999999"), "", "text"),
])
def test_what_cannot_be_written_is_refused_with_its_place(value, place, accepted):
    with pytest.raises(Faults) as caught:
        canonical.canonical(value)
    assert caught.value.faults[0].field == place
    assert accepted in str(caught.value.faults[0])


def test_all_faults_come_at_once():
    with pytest.raises(Faults) as caught:
        canonical.canonical({"a": 0.5, "b": {"c": 2**60}, "d": ["\ud800"]})
    assert [one.field for one in caught.value.faults] == ["/a", "/b/c", "/d/0"]


def test_hostile_depth_is_refused_and_does_not_exhaust_the_stack():
    deep = []
    for _ in range(5000):
        deep = [deep]
    with pytest.raises(Faults, match="levels"):
        canonical.canonical(deep)
    with pytest.raises(OutOfRange):
        canonical.parsed(b"[" * 5000 + b"]" * 5000)


def test_largest_whole_numbers_are_kept():
    assert canonical.parsed(canonical.canonical([2**53 - 1, -(2**53) + 1, 0])) == [2**53 - 1, -(2**53) + 1, 0]


@pytest.mark.parametrize("body", [
    b'{"b":1,"a":2}', b'{"a": 1}', b'{"a":1,"a":1}', b"1.0", b"1e2", b"NaN", b"-0", b"9007199254740992", b'"e\xcc\x81"',
    b'"\\u0041"', b'"\\ud800"', b"\xff", b"", b"[1,]", b"\xef\xbb\xbf1", b'{"a":1}\n', b"1" * 5000, b"Infinity",
])
def test_bytes_in_another_form_are_refused(body):
    with pytest.raises(TersumError, match="RFC 8785"):
        canonical.parsed(body)


@pytest.mark.parametrize(("value", "digits", "text"), [
    (Decimal("10.50"), None, "10.50"), (Decimal("1E+3"), None, "1000"), (Decimal("-0.0"), None, "0.0"),
    (412, None, "412"), (0.205, None, "0.205"), (1e-7, None, "0.0000001"), (412.0, None, "412"), (-0.0, None, "0"),
    (2 / 3, 4, "0.6667"), (123456.0, 2, "120000"), (Decimal("0.25"), 1, "0.2"), (-1.5, None, "-1.5"),
])
def test_numbers_become_plain_decimal_text(value, digits, text):
    assert canonical.decimal_text(value, digits=digits) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), Decimal("Infinity"), True, Decimal("1E+999999999")])
def test_numbers_that_are_none_are_refused(value):
    with pytest.raises(OutOfRange, match="finite"):
        canonical.decimal_text(value)


def test_dataclasses_become_plain_values():
    @dataclass(frozen=True)
    class Shown:
        low_rlu: float
        high_rlu: float
        parts: tuple[object, ...]

    shown = Shown(0.5, float("inf"), (MappingProxyType({"n": 3}), None, "as typed"))
    assert canonical.plain(shown) == {"low_rlu": "0.5", "high_rlu": None, "parts": [{"n": 3}, None, "as typed"]}
    with pytest.raises(OutOfRange):
        canonical.plain({"low": float("-inf")})

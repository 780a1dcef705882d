"""Laws of the canonical form."""

import json
import unicodedata

import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from tersum.errors import TersumError
from tersum.records import canonical

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | texts,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(
        texts.map(lambda key: unicodedata.normalize("NFC", key)), inner, max_size=5), max_leaves=30)
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.binary(max_size=5) | st.decimals(),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.text(max_size=5) | st.integers(), inner, max_size=5),
    max_leaves=30)


@given(values)
def test_reading_what_was_written_returns_the_value(value):
    """What is read back is the value in normal form C, and writing it again gives the same bytes."""
    body = canonical.canonical(value)
    assert canonical.parsed(body) == canonical.normalised(value)
    assert canonical.canonical(canonical.parsed(body)) == body


@given(values)
def test_fast_encoder_writes_the_bytes_of_rfc_8785(value):
    """The standard library's encoder and the RFC 8785 package agree on every value that has no floats."""
    kept = canonical.normalised(value)
    assert canonical.written(kept) == rfc8785.dumps(kept)


@given(values)
def test_order_of_keys_as_given_does_not_matter(value):
    """The same mapping has the same bytes in whatever order its keys were put in."""
    def turned(one):
        if isinstance(one, dict):
            return {key: turned(one[key]) for key in reversed(list(one))}
        return [turned(item) for item in one] if isinstance(one, list) else one

    assert canonical.canonical(turned(value)) == canonical.canonical(value)


@given(anything)
def test_anything_is_written_or_refused_in_words(value):
    """No input brings anything but bytes that read back, or a refusal."""
    try:
        body = canonical.canonical(value)
    except TersumError as refusal:
        assert str(refusal)
    else:
        assert canonical.canonical(canonical.parsed(body)) == body
        assert json.loads(body) == canonical.parsed(body)


@given(st.binary(max_size=60) | values.map(lambda value: json.dumps(value).encode()))
def test_any_bytes_are_read_or_refused_in_words(body):
    """Bytes that are read are the canonical form of what they say; all others are refused."""
    try:
        value = canonical.parsed(body)
    except TersumError as refusal:
        assert str(refusal)
    else:
        assert canonical.canonical(value) == body


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_float_reads_back_from_its_text(value):
    """The decimal text of a float, without digits asked for, is the same float again."""
    text = canonical.decimal_text(value)
    assert float(text) == value
    assert "e" not in text and "E" not in text

"""Lines of a file of any size: numbered right, whatever ends them and wherever a chunk is cut."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.records import lines
from tersum.records.lines import numbered_lines


class Slow(io.RawIOBase):
    """A stream that gives a few bytes at a time."""

    def __init__(self, data, size):
        self.data, self.size = data, size

    def read(self, _):
        piece, self.data = self.data[:self.size], self.data[self.size:]
        return piece


@given(st.lists(st.text("ab,é€\x00 ", max_size=8), max_size=6), st.sampled_from(["\n", "\r\n", "\r"]),
       st.integers(1, 7), st.booleans())
def test_lines_are_the_same_wherever_a_chunk_is_cut(texts, ending, size, closed):
    data = ending.join(texts).encode() + (ending.encode() if closed and texts else b"")
    expected = texts if closed or not texts or texts[-1] else texts[:-1]
    assert list(numbered_lines(Slow(data, size))) == list(enumerate(expected, start=1))


@given(st.binary(max_size=60), st.integers(1, 9))
def test_any_bytes_are_lines(data, size):
    whole = list(numbered_lines(io.BytesIO(data)))
    assert list(numbered_lines(Slow(data, size))) == whole
    again = b"\n".join(text.encode("utf-8", "surrogateescape") for _, text in whole)
    assert again == data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").removesuffix(b"\n")


@pytest.mark.parametrize("size", [1, 7, 1000])
def test_long_line_is_none_and_the_next_is_read(monkeypatch, size):
    monkeypatch.setattr(lines, "LONGEST_LINE", 20)
    data = b"short\n" + b"x" * 500 + b"\nnext\n" + b"y" * 21 + b"\n" + b"z" * 300
    assert list(numbered_lines(Slow(data, size))) == [(1, "short"), (2, None), (3, "next"), (4, None), (5, None)]

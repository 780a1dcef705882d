"""The lines of a file of any size, one after the other, in bounded memory."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

CHUNK = 1 << 18
LONGEST_LINE = 1 << 16  # characters; a row of readings needs a few hundred


def numbered_lines(stream: BinaryIO) -> Iterator[tuple[int, str | None]]:
    """Yield each line with its number, counted from 1, without its line end.

    Line ends are LF, CR LF or CR. Bytes that are not UTF-8 come through as lone surrogates (``surrogateescape``), so
    that the reader of a cell can name the column. A line longer than ``LONGEST_LINE`` comes as None: it was skipped
    unread, however long it is.

    Examples
    --------
    >>> import io
    >>> list(numbered_lines(io.BytesIO(b"point,rlu\\r\\nseat,412\\nlast")))
    [(1, 'point,rlu'), (2, 'seat,412'), (3, 'last')]
    """
    number, begun, too_long = 0, b"", False
    for block in _blocks(stream):
        cut = block.rfind(b"\n")
        if cut < 0:
            begun += block
            if len(begun) > LONGEST_LINE * 4:  # UTF-8 takes at most four bytes a character
                begun, too_long = b"", True
            continue
        texts: list[str] = (begun + block[:cut]).decode("utf-8", "surrogateescape").split("\n")
        begun = block[cut + 1:]
        for text in texts:
            number += 1
            yield number, None if too_long or len(text) > LONGEST_LINE else text
            too_long = False
    if begun or too_long:
        text = begun.decode("utf-8", "surrogateescape")
        yield number + 1, None if too_long or len(text) > LONGEST_LINE else text


def _blocks(stream: BinaryIO) -> Iterator[bytes]:
    """Yield the bytes with every line end as LF; a CR at the very end waits for what follows it."""
    held = b""
    while chunk := stream.read(CHUNK):
        block = held + chunk
        held = b"\r" if block.endswith(b"\r") else b""
        block = block[:len(block) - len(held)]
        yield block.replace(b"\r\n", b"\n").replace(b"\r", b"\n") if b"\r" in block else block
    if held:
        yield b"\n"

"""How commands show results: one JSON object, or a table and remarks."""

from __future__ import annotations

import json
import os
import shutil
import sys
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest
from typing import Any, TextIO

_GAP = "  "
_NARROWEST = 8


def emit_json(schema: str, body: dict[str, Any]) -> None:
    """Print one JSON object with its schema name first; numbers that do not exist become null."""
    print(json.dumps({"schema": schema, **finite(body)}, ensure_ascii=False, indent=2, allow_nan=False))


def finite(value: Any) -> Any:
    """Return the same structure with every NaN and infinity replaced by None, which JSON can carry."""
    if isinstance(value, dict):
        return {key: finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [finite(one) for one in value]
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        return None
    return value


def remark(text: str = "") -> None:
    """Print a remark beside the data, on stderr, folded where that is a terminal."""
    _say(text, sys.stderr)


def line(text: str) -> None:
    """Print a sentence, folded to the terminal, as deep set in as it begins."""
    _say(text, sys.stdout)


def _say(text: str, stream: TextIO) -> None:
    columns = shutil.get_terminal_size().columns if stream.isatty() else 0
    edge = " " * (len(text) - len(text.lstrip(" ")))
    for piece in _folded(text.lstrip(" "), columns - len(edge)) if columns > 20 else [text.lstrip(" ")]:
        print(f"{edge}{piece}", file=stream)


def table(headings: Sequence[str], rows: Iterable[Sequence[object]], *, right: Sequence[int] = ()) -> None:
    """Print a table of plain aligned columns: folded to fit the terminal there, in full width when it is piped.

    Nothing is cut off: a cell that does not fit goes on in the next line of its own column.

    Parameters
    ----------
    headings : sequence of str
        One for each column.
    rows : iterable of sequences
        Cells in the order of the headings.
    right : sequence of int
        Columns, from 0, whose cells stand at the right, as numbers do.
    """
    lines = [[_clean(heading) for heading in headings], *([_clean(str(cell)) for cell in row] for row in rows)]
    widths = [max(_width(line[place]) for line in lines) for place in range(len(headings))]
    columns = terminal_columns()
    if columns:
        widths = _narrowed(widths, columns)
    bold = bool(columns) and "NO_COLOR" not in os.environ
    for number, line in enumerate(lines):
        for text in _drawn(line, widths, right):
            print(f"\x1b[1m{text}\x1b[0m" if bold and not number else text)
        if not number:
            print(_GAP.join("-" * width for width in widths))


def blocks(texts: Iterable[Sequence[str]]) -> None:
    """Print blocks of sentences: the first line of each at the edge, what belongs to it set in, folded to the terminal.

    Blocks of several lines stand apart by an empty line, single sentences follow each other.
    """
    columns, before = terminal_columns(), 0
    for block in texts:
        if before and max(before, len(block)) > 1:
            print()
        before = len(block)
        for place, line in enumerate(block):
            edge = "" if place == 0 else "  "
            for piece in _hung(_clean(line), columns - len(edge), columns - 2) if columns else [_clean(line)]:
                print(f"{edge}{piece}")
                edge = "  "


def terminal_columns() -> int:
    """Return the width of the terminal, 0 where the output goes to a file or another program."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else 0


def _drawn(cells: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> Iterator[str]:
    folded = [_folded(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for pieces in zip_longest(*folded, fillvalue=""):
        padded = [" " * (width - _width(piece)) + piece if place in right else piece + " " * (width - _width(piece))
                  for place, (piece, width) in enumerate(zip(pieces, widths, strict=True))]
        yield _GAP.join(padded).rstrip()


def _narrowed(widths: list[int], columns: int) -> list[int]:
    """Take width from the widest columns until the table fits, or each is as narrow as can be read."""
    narrow = list(widths)
    room = columns - len(_GAP) * (len(narrow) - 1)
    while sum(narrow) > room and max(narrow, default=0) > _NARROWEST:
        narrow[narrow.index(max(narrow))] -= 1
    return narrow


def _hung(text: str, first: int, rest: int) -> list[str]:
    """Fold a sentence whose first line has another width than those set in below it."""
    head = _folded(text, first)[0]
    left = text[len(head):].lstrip()
    return [head, *(_folded(left, rest) if left else [])]


def _folded(text: str, width: int) -> list[str]:
    """Break a cell at blanks where it can be, within a word where it must be."""
    lines, left = [], text
    while _width(left) > width:
        end = len(left)
        while _width(left[:end]) > width:
            end -= 1
        blank = left.rfind(" ", 1, end + 1)
        end = max(blank if blank > 0 else end, 1)
        lines.append(left[:end].rstrip())
        left = left[end:].lstrip()
    return [*lines, left]


def _width(text: str) -> int:
    """Return how many columns of a terminal a text takes: wide characters two, combining ones none."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(mark) else 2 if unicodedata.east_asian_width(mark) in "WF" else 1
               for mark in text)


def _clean(text: str) -> str:
    """Show control characters instead of letting data write on the reader's terminal."""
    return "".join(mark if mark.isprintable() else f"\\x{ord(mark):02x}" for mark in text)

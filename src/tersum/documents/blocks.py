"""The blocks that a printed page is made of, as the templates take them: headings, texts, lists, facts, tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from tersum.documents.text import _

Block = dict[str, Any]
Cell = str | dict[str, Any]


def invented() -> str:
    """Return what stands on every page of the demo."""
    return _("Invented demo data: no such company, place, meter or product exists.")


def heading(text: str) -> Block:
    """Return a heading of the second level."""
    return {"kind": "heading", "t": text}


def text(words: str) -> Block:
    """Return a paragraph."""
    return {"kind": "text", "t": words}


def items(lines: Iterable[str]) -> list[Block]:
    """Return a list, or nothing where there is nothing to list."""
    listed = list(lines)
    return [{"kind": "list", "items": listed}] if listed else []


def facts(rows: Iterable[tuple[str, str]]) -> Block:
    """Return pairs of label and value, two pairs to a line; those without a value are left out."""
    return {"kind": "facts", "rows": [[label, value] for label, value in rows if value]}


def table(columns: Sequence[tuple[str, str]], rows: Sequence[Sequence[Cell]], *, right: Sequence[int] = ()) -> Block:
    """Return a table; ``columns`` are heading and width: ``auto`` or a share as ``2fr``; ``right`` hold numbers."""
    return {"kind": "table", "head": [head for head, _width in columns], "columns": [width for _head, width in columns],
            "rows": [list(row) for row in rows], "right": list(right)}


def picture(svg: str, alt: str) -> Block:
    """Return a picture as wide as the text."""
    return {"kind": "picture", "svg": svg, "alt": alt}

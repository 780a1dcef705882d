"""How commands show results: one JSON object, or a table and remarks."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Sequence
from typing import Any


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
    """Print a remark beside the data, on stderr."""
    print(text, file=sys.stderr)


def table(headings: Sequence[str], rows: Iterable[Sequence[object]], *, right: Sequence[int] = ()) -> None:
    """Print a table: as wide as the terminal there, and in full width when it is piped."""
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    terminal = sys.stdout.isatty()
    drawn = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False,
                  header_style="bold" if "NO_COLOR" not in os.environ else "")
    for place, heading in enumerate(headings):
        drawn.add_column(Text(heading), justify="right" if place in right else "left", overflow="fold")
    for row in rows:
        drawn.add_row(*[Text(str(cell)) for cell in row])
    Console(file=sys.stdout, width=None if terminal else 200, no_color="NO_COLOR" in os.environ,
            highlight=False).print(drawn)

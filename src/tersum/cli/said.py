"""How a verb says sentences: answers to stdout, cautions to stderr, folded between words at a terminal's width."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterable

from tersum.cli.output import remark, terminal_columns


def said(lines: Iterable[str], cautions: Iterable[str] = ()) -> None:
    """Print sentences, then the cautions that go with them."""
    for line in lines:
        print(folded(line))
    cautions = list(cautions)
    if cautions and sys.stdout.isatty() and sys.stderr.isatty():
        remark()
    sys.stdout.flush()  # the cautions come after what they are about, wherever both go
    for line in cautions:
        remark(folded(line))


def folded(text: str) -> str:
    """Return a sentence broken between words where a terminal would break inside one."""
    columns = terminal_columns()
    return textwrap.fill(text, columns, subsequent_indent="  ", break_on_hyphens=False) if columns else text

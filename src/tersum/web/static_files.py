"""The files that go with the pages: a style sheet, an icon, and the marks of the verdicts from their one definition."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tersum.documents.verdict_marks import MARKS

FOLDER = Path(__file__).resolve().parent / "static"
FOR_EVER = "public, max-age=31536000, immutable"


@dataclass(frozen=True)
class StaticFile:
    """One file as it is sent; ``version`` changes with its bytes."""

    body: bytes
    media_type: str

    @property
    def version(self) -> str:
        return hashlib.sha256(self.body).hexdigest()[:16]


@cache
def files() -> Mapping[str, StaticFile]:
    """Return every file by its name."""
    return {"style.css": StaticFile((FOLDER / "style.css").read_bytes(), "text/css; charset=utf-8"),
            "icon.svg": StaticFile((FOLDER / "icon.svg").read_bytes(), "image/svg+xml"),
            "marks.svg": StaticFile(_marks().encode(), "image/svg+xml")}


@cache
def address(name: str) -> str:
    """Return the address of a file; it names the version, so that a browser may keep the file for ever."""
    return f"/static/{files()[name].version}/{name}"


def _marks() -> str:
    """Return the marks as symbols without colours, which the style sheet gives them."""
    symbols = "".join(
        f'<symbol id="{verdict}" viewBox="-1.2 -1.2 2.4 2.4"><path d="{one.path}" stroke-width="0.14" '
        f'stroke-linejoin="round"{"" if one.filled else _HOLLOW}/></symbol>' for verdict, one in MARKS.items())
    return f'<svg xmlns="http://www.w3.org/2000/svg">{symbols}</svg>'


_HOLLOW = ' fill="none"'

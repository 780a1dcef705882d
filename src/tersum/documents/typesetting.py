"""Typesetting: data and a template of ours to a tagged PDF whose bytes depend on nothing else."""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from tersum.documents import fonts
from tersum.errors import N_, TersumError, UnknownName

TEMPLATES = Path(__file__).resolve().parent / "templates"
PAPERS = {"a4": "a4", "letter": "us-letter"}
# PDF/A-2a: keeps and reads well in years to come; PDF/UA-1: reads well aloud. typst refuses what it knows breaks them.
STANDARDS: list[Any] = ["a-2a", "ua-1"]
_lock = threading.Lock()


def typeset(template: str, data: Mapping[str, Any], *, at: datetime) -> bytes:
    """Return the PDF of a template with its data.

    Parameters
    ----------
    template : str
        Name of a template, without its ending.
    data : mapping
        JSON values. ``paper``, ``fonts`` and ``date`` are added here.
    at : datetime
        The date in the file, with an offset; never the clock's.

    Raises
    ------
    Unprintable
        Where a text has a letter that no font here has; :mod:`tersum.documents.printable` tells them all before.
    """
    utc = at.astimezone(UTC)
    whole = {**data, "paper": paper_of(data["paper"]), "fonts": list(fonts.FAMILIES),
             "date": {"year": utc.year, "month": utc.month, "day": utc.day, "hour": utc.hour, "minute": utc.minute,
                      "second": utc.second}}
    try:
        with _lock:
            made = _compiler(template).compile(
                format="pdf", pdf_standards=STANDARDS, timestamp=int(at.timestamp()),
                sys_inputs={"data": json.dumps(whole, ensure_ascii=False, sort_keys=True)})
    except typst.TypstError as trouble:
        if "could not be displayed" not in str(trouble):
            raise
        raise fonts.Unprintable(N_("A text cannot be printed: {value}. Write it in {accepted}."), field="text",
                                value=str(trouble.message), accepted=fonts.SCRIPTS) from trouble
    assert isinstance(made, bytes)
    return made


def paper_of(name: str) -> str:
    """Return typst's name of a paper, or refuse the name."""
    if name not in PAPERS:
        raise UnknownName("paper", name, tuple(PAPERS))
    return PAPERS[name]


def page_source(template: str) -> str:
    """Return the source of a template, as the benchmark compiles it bare."""
    return (TEMPLATES / f"{template}.typ").read_text(encoding="utf-8")


@cache
def _compiler(template: str) -> typst.Compiler:
    path = TEMPLATES / f"{template}.typ"
    if not path.is_file():
        raise TersumError(N_("The template {value} is missing from this installation; install Tersum again."),
                          field="template", value=template)
    return typst.Compiler(input=str(path), root=str(TEMPLATES),
                          font_paths=typst.Fonts(include_system_fonts=False, font_paths=[fonts.folder()]))

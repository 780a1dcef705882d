"""Texts in the reader's language: gettext, with a pseudo-locale that shows which texts escaped it."""

from __future__ import annotations

import gettext
import os
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

DOMAIN = "tersum"
PSEUDO_LOCALE = "en-XA"  # CLDR's code for English with accents
LOCALE_DIR = Path(__file__).resolve().parent.parent / "locale"
_spoken: ContextVar[str] = ContextVar("spoken", default="")

_ACCENTED = str.maketrans("aceinouyACEINOU", "àçéîñöüýÀÇÉÎÑÖÜ")


class PseudoTranslations(gettext.NullTranslations):
    """English in brackets and accents, so that any text left in plain English is one that no translator would see."""

    def gettext(self, message: str) -> str:
        return _pseudo(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return _pseudo(msgid1 if n == 1 else msgid2)


def language() -> str:
    """Return the reader's language: the one :func:`speaking` set, else ``TERSUM_LANG``, else the locale variables."""
    if _spoken.get():
        return _spoken.get()
    for name in ("TERSUM_LANG", "LC_ALL", "LC_MESSAGES", "LANG"):
        value = os.environ.get(name, "")
        if value:
            tag = value.split(".")[0].replace("_", "-")
            return "en" if tag in ("C", "POSIX") else tag  # the plain locale of every system names no language
    return "en"


@contextmanager
def speaking(tag: str) -> Iterator[None]:
    """Say everything inside in one language, for this task only: a record is written in its customer's language."""
    before = _spoken.set(tag)
    try:
        yield
    finally:
        _spoken.reset(before)


@cache
def translations(tag: str) -> gettext.NullTranslations:
    """Return the texts of a language; English where there are none."""
    if tag == PSEUDO_LOCALE:
        return PseudoTranslations()
    names = [tag.replace("-", "_"), tag.split("-")[0]]
    return gettext.translation(DOMAIN, LOCALE_DIR, languages=names, fallback=True)


def _(message: str) -> str:
    """Return a text in the reader's language."""
    return translations(language()).gettext(message)


def ngettext(one: str, many: str, n: int) -> str:
    """Return the singular or plural of a text in the reader's language."""
    return translations(language()).ngettext(one, many, n)


def _pseudo(message: str) -> str:
    """Accent everything but the ``{places}``, which must survive translation untouched."""
    if not message:
        return message
    parts, inside = [], False
    for piece in message.replace("{", "\0{").replace("}", "}\0").split("\0"):
        inside = piece.startswith("{") and piece.endswith("}")
        parts.append(piece if inside else piece.translate(_ACCENTED))
    return "⟦" + "".join(parts) + "⟧"

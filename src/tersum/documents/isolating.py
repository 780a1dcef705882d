"""Names written from right to left, kept from turning round the numbers beside them."""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Mapping
from typing import TypeVar, cast

T = TypeVar("T")
FIRST_STRONG, POP = "\u2068", "\u2069"  # Unicode Standard Annex 9, 2.4: a part with a direction of its own
_RIGHT_TO_LEFT = ("R", "AL", "AN")


def isolated(text: str) -> str:
    """Return a text that may stand in any sentence; one without letters from right to left as it is.

    Examples
    --------
    >>> isolated("seat"), isolated("\u05de\u05d5\u05e9\u05d1") == "\u2068\u05de\u05d5\u05e9\u05d1\u2069"
    ('seat', True)
    """
    if any(unicodedata.bidirectional(mark) in _RIGHT_TO_LEFT for mark in text):
        return f"{FIRST_STRONG}{text}{POP}"
    return text


def all_isolated(value: T) -> T:
    """Return the same structure with every text inside isolated, so that names stay equal to each other."""
    if isinstance(value, str):
        return cast(T, isolated(value))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        changed = {}
        for one in dataclasses.fields(value):
            before = getattr(value, one.name)
            after = all_isolated(before)
            if after is not before and one.init:
                changed[one.name] = after
        return cast(T, dataclasses.replace(value, **changed)) if changed else value
    if isinstance(value, Mapping):
        return cast(T, {key: all_isolated(one) for key, one in value.items()})
    if isinstance(value, tuple):
        return cast(T, tuple(all_isolated(one) for one in value))
    return value

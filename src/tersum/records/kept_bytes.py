"""Bytes as a database gives them out, also where somebody has put something else in their place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import LargeBinary


class KeptBytes(LargeBinary):
    """A column of bytes that reads whatever stands there: a changed ledger is to be told, not to end in an error."""

    cache_ok = True

    def result_processor(self, dialect: object, coltype: object) -> Callable[[Any], bytes]:
        return as_bytes


def as_bytes(value: object) -> bytes:
    """Return bytes as they are, and anything else as the bytes of its text."""
    if isinstance(value, bytes | bytearray | memoryview):
        return bytes(value)
    return str(value).encode("utf-8", "surrogatepass")

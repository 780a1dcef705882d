"""What a value in a fact may be: kinds that tell every fault at once, and that a test can walk field by field."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from functools import cache
from typing import Protocol

from tersum.errors import N_, OutOfRange, TersumError, UnknownName

_DECIMAL = re.compile(r"-?(0|[1-9][0-9]{0,29})(\.[0-9]{1,30})?\Z")
_INSTANT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z\Z")


class Kind(Protocol):
    """One kind of value: it adds what is wrong with a value to a list."""

    def faults(self, path: str, value: object) -> list[TersumError]: ...


@dataclass(frozen=True)
class Text:
    """Text up to ``longest`` characters, whole against ``pattern`` if there is one."""

    pattern: str = ""
    accepted: str = N_("text of 1 to {longest} characters")
    longest: int = 2000
    shortest: int = 1

    def faults(self, path: str, value: object) -> list[TersumError]:
        if (isinstance(value, str) and self.shortest <= len(value) <= self.longest
                and (not self.pattern or _whole(self.pattern)(value))):
            return []
        return [OutOfRange(path, value, self.accepted, longest=self.longest)]


@dataclass(frozen=True)
class DecimalText:
    """A decimal number as text, with its bounds."""

    low: str | None = None
    high: str | None = None

    def faults(self, path: str, value: object) -> list[TersumError]:
        fits = isinstance(value, str) and _DECIMAL.match(value) is not None
        if not fits:
            return [OutOfRange(path, value, N_("a decimal number as text, such as 42.6"))]
        number = Decimal(str(value))
        if number < Decimal(self.low or "-Infinity") or number > Decimal(self.high or "Infinity"):
            return [OutOfRange(path, value, N_("{low} to {high}"), low=self.low or "-∞", high=self.high or "∞")]
        return []


@dataclass(frozen=True)
class Whole:
    """A whole number with its bounds."""

    low: int = 0
    high: int = 2**53 - 1

    def faults(self, path: str, value: object) -> list[TersumError]:
        if isinstance(value, int) and not isinstance(value, bool) and self.low <= value <= self.high:
            return []
        return [OutOfRange(path, value, N_("a whole number from {low} to {high}"), low=self.low, high=self.high)]


@dataclass(frozen=True)
class Flag:
    """True or false."""

    def faults(self, path: str, value: object) -> list[TersumError]:
        return [] if isinstance(value, bool) else [OutOfRange(path, value, N_("true or false"))]


@dataclass(frozen=True)
class Instant:
    """A moment in UTC to the microsecond."""

    def faults(self, path: str, value: object) -> list[TersumError]:
        if isinstance(value, str) and _INSTANT.match(value) and _exists(value):
            return []
        return [OutOfRange(path, value, N_("UTC to the microsecond, such as 2026-03-02T09:14:00.000000Z"))]


@dataclass(frozen=True)
class OneOf:
    """One of a few words."""

    words: tuple[str, ...]

    def faults(self, path: str, value: object) -> list[TersumError]:
        return [] if isinstance(value, str) and value in self.words else [UnknownName(path, value, self.words)]


@dataclass(frozen=True)
class Maybe:
    """A kind, or null for "there is none"."""

    kind: Kind

    def faults(self, path: str, value: object) -> list[TersumError]:
        return [] if value is None else self.kind.faults(path, value)


@dataclass(frozen=True)
class ListOf:
    """A list of one kind."""

    kind: Kind
    fewest: int = 0

    def faults(self, path: str, value: object) -> list[TersumError]:
        if not isinstance(value, list) or len(value) < self.fewest:
            return [OutOfRange(path, value, N_("a list of {fewest} or more"), fewest=self.fewest)]
        return [fault for place, one in enumerate(value) for fault in self.kind.faults(f"{path}/{place}", one)]


@dataclass(frozen=True)
class MapOf:
    """A mapping from names of one's own to one kind."""

    kind: Kind

    def faults(self, path: str, value: object) -> list[TersumError]:
        if not isinstance(value, dict):
            return [OutOfRange(path, value, N_("a mapping"))]
        return [fault for key, one in value.items() for fault in self.kind.faults(f"{path}/{key}", one)]


@dataclass(frozen=True)
class Free:
    """Any canonical value: the place for details that no reader depends on."""

    def faults(self, path: str, value: object) -> list[TersumError]:
        return []  # the canonical form has refused already what cannot be written


@dataclass(frozen=True)
class Record:
    """A mapping with named fields; a field that is not named is refused."""

    required: Mapping[str, Kind]
    optional: Mapping[str, Kind] = field(default_factory=dict)

    def faults(self, path: str, value: object) -> list[TersumError]:
        if not isinstance(value, dict):
            return [OutOfRange(path, value, N_("a mapping"))]
        found: list[TersumError] = [OutOfRange(f"{path}/{name}", None, N_("a value; it is required"))
                                    for name in self.required if name not in value]
        for name, one in value.items():
            kind = self.required.get(name) or self.optional.get(name)
            if kind is None:
                found.append(UnknownName(f"{path}/{name}", name, [*self.required, *self.optional]))
            elif wrong := kind.faults(f"{path}/{name}", one):
                found += wrong
        return found


NAME = Text(longest=200, accepted=N_("a name of 1 to {longest} characters"))
CODE = Text(r"[a-z0-9]+([-_][a-z0-9]+)*", N_("a code of small letters, digits and hyphens"), 80)
UUID = Text(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", N_("a UUID in small letters"), 36)
HASH = Text(r"[0-9a-f]{64}", N_("64 hexadecimal digits"), 64)
TYPED = Text(longest=2000, shortest=0, accepted=N_("the text as it was typed, up to {longest} characters"))


@cache
def _whole(pattern: str) -> Callable[[str], object]:
    return re.compile(pattern).fullmatch


def _exists(value: str) -> bool:
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True

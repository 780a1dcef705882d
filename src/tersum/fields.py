"""Reading a table of keys with all its faults at once: each names its place, the value, and what is accepted."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeVar

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName

_KINDS = {bool: N_("yes or no (true or false)"), int: N_("a whole number"), str: N_("a text"),
          dict: N_("a table"), list: N_("a list")}

_RANGES: tuple[tuple[Callable[[float, float, float], bool], str], ...] = (
    (lambda above, least, most: math.isfinite(above) and math.isfinite(most), N_("above {above:g}, to {most:g}")),
    (lambda above, least, most: math.isfinite(least) and math.isfinite(most), N_("{least:g} to {most:g}")),
    (lambda above, least, most: math.isfinite(above), N_("above {above:g}")),
    (lambda above, least, most: math.isfinite(least), N_("{least:g} or more")),
    (lambda above, least, most: math.isfinite(most), N_("at most {most:g}")),
    (lambda above, least, most: True, N_("a finite number")),
)
T = TypeVar("T")
_LARGEST = 10**300  # beyond this a whole number of a file has no floating-point twin


class Fields:
    """One table of a file: each ``take`` notes a fault instead of stopping, and :meth:`finish` tells them all.

    Parameters
    ----------
    table : mapping
        Keys and values as read.
    place : str
        Where the table stands, as ``point 3``; goes before each key in a fault.
    faults : list of TersumError or None
        Where faults are collected; shared with the tables inside.
    """

    def __init__(self, table: object, place: str = "", faults: list[TersumError] | None = None):
        self.faults: list[TersumError] = [] if faults is None else faults
        self.place = place
        self._left: dict[str, object] = {}
        if isinstance(table, Mapping):
            self._left = {str(key): value for key, value in table.items()}
        else:
            self.faults.append(OutOfRange(place, table, _KINDS[dict]))
        self._known: list[str] = []

    def text(self, key: str, default: str | None = None, *, choices: Sequence[str] = (), most: int = 200) -> str:
        """Return a text: NFC, trimmed, without control characters, at most ``most`` characters."""
        value = self._take(key, default)
        if value is None:
            return ""
        if not isinstance(value, str) or not value.strip():
            return self._refuse(key, value, _KINDS[str], "")
        clean = unicodedata.normalize("NFC", value).strip()
        if any(unicodedata.category(mark) in ("Cc", "Cs") for mark in clean) or len(clean) > most:
            return self._refuse(key, value, N_("at most {most} characters on one line"), "", most=most)
        if choices and clean not in choices:
            self.faults.append(UnknownName(self._name(key), clean, list(choices)))
        return clean

    def number(self, key: str, default: float | None = None, *, above: float = -math.inf, least: float = -math.inf,
               most: float = math.inf) -> float:
        """Return a finite number with ``above < number``, ``least <= number <= most``."""
        value = self._take(key, default)
        if value is None:
            return math.nan
        if isinstance(value, bool) or not isinstance(value, int | float):
            return self._refuse(key, value, N_("a number"), math.nan)
        number = float(value) if abs(value) < _LARGEST else math.inf
        if not (math.isfinite(number) and number > above and least <= number <= most):
            accepted = next(text for holds, text in _RANGES if holds(above, least, most))
            return self._refuse(key, value, accepted, math.nan, above=above, least=least, most=most)
        return number

    def whole(self, key: str, default: int | None = None, *, least: int = 0, most: int = 1_000_000) -> int:
        """Return a whole number from ``least`` to ``most``."""
        value = self._take(key, default)
        if value is None:
            return least
        if isinstance(value, bool) or not isinstance(value, int):
            return self._refuse(key, value, _KINDS[int], least)
        if not least <= value <= most:
            return self._refuse(key, value, N_("{least} to {most}"), least, least=least, most=most)
        return value

    def yes(self, key: str, default: bool | None = None) -> bool:
        """Return true or false."""
        value = self._take(key, default)
        if value is None:
            return False
        return value if isinstance(value, bool) else self._refuse(key, value, _KINDS[bool], False)

    def optional_number(self, key: str, *, above: float = -math.inf, least: float = -math.inf,
                        most: float = math.inf) -> float | None:
        """Return a number, or None where the key is absent."""
        return self.number(key, above=above, least=least, most=most) if self._present(key) else None

    def optional_text(self, key: str, *, choices: Sequence[str] = (), most: int = 200) -> str | None:
        """Return a text, or None where the key is absent."""
        return self.text(key, choices=choices, most=most) if self._present(key) else None

    def optional_whole(self, key: str, *, least: int = 0, most: int = 1_000_000) -> int | None:
        """Return a whole number, or None where the key is absent."""
        return self.whole(key, least=least, most=most) if self._present(key) else None

    def texts(self, key: str, *, most: int = 400) -> tuple[str, ...]:
        """Return a list of texts on one line each, none where the key is absent."""
        value = self._take(key, [])
        if isinstance(value, list) and all(isinstance(one, str) and one.isprintable() and len(one) <= most
                                           for one in value):
            return tuple(value)
        return self._refuse(key, value, N_("a list of texts, each at most {most} characters on one line"), (),
                            most=most)

    def table(self, key: str, *, required: bool = True) -> Fields:
        """Return the table under a key; an absent one that is not required is empty."""
        value = self._take(key, None if required else {})
        return Fields({} if value is None else value, self._name(key), self.faults)

    def tables(self, key: str, *, least: int = 0, most: int = 400) -> Iterator[Fields]:
        """Yield the tables of a list of ``least`` to ``most`` tables, counted from 1 in their faults."""
        value = self._take(key, [] if not least else None)
        if value is None:
            return
        if not isinstance(value, list) or not least <= len(value) <= most:
            shown = value if not isinstance(value, list) else len(value)
            self._refuse(key, shown, N_("a list of {least} to {most} tables"), None, least=least, most=most)
            return
        for place, one in enumerate(value, start=1):
            yield Fields(one, f"{self._name(key)} {place}", self.faults)

    def has(self, key: str) -> bool:
        """Tell whether a key is there and not yet taken."""
        return self._present(key)

    def present(self) -> bool:
        """Return whether the table holds any key that was not taken yet."""
        return bool(self._left)

    def raw(self, key: str, default: object = None) -> object:
        """Return a value as it stands, or ``default``; its reader checks it."""
        self._known.append(key)
        return self._left.pop(key, default)

    def refuse(self, key: str, value: object, accepted: str, **places: object) -> None:
        """Note a fault that only the reader of several keys can see."""
        self.faults.append(OutOfRange(self._name(key), value, accepted, **places))

    def unknown(self, key: str, value: object, known: Sequence[str]) -> None:
        """Note a name that is none of those known."""
        self.faults.append(UnknownName(self._name(key), value, list(known)))

    def close(self) -> None:
        """Note every key that nobody asked for."""
        for key in self._left:
            self.faults.append(UnknownName(self._name(key), key, self._known))
        self._left = {}

    def finish(self) -> None:
        """Raise all faults that were met, if any."""
        if self.faults:
            raise Faults(self.faults)

    def _take(self, key: str, default: object) -> object:
        self._known.append(key)
        if key in self._left:
            return self._left.pop(key)
        if default is None:
            self.faults.append(TersumError(N_("{field} is missing."), field=self._name(key)))
        return default

    def _present(self, key: str) -> bool:
        self._known.append(key)
        return key in self._left

    def _name(self, key: str) -> str:
        return f"{self.place}: {key}" if self.place else key

    def _refuse(self, key: str, value: object, accepted: str, instead: T, **places: object) -> T:
        self.faults.append(OutOfRange(self._name(key), value, accepted, **places))
        return instead


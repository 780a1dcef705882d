"""The columns of a table of readings, and what a cell of each may hold."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from tersum.errors import N_, OutOfRange, TersumError, UnknownName
from tersum.records.intake import refusal
from tersum.records.moments import moment
from tersum.units import parse_decimal, parse_reading
from tersum.visit.readings import FAULTS_AFTER_THE_NUMBER, STAGES

REQUIRED = ("point", "stage", "rlu")
YES_OR_NO = ("dry", "rinsed", "fresh_area", "swab_in_date", "instrument_checked")
OPTIONAL = ("round", "swab", "surface", "instrument", "swab_lot", "blank", "at", "person", *YES_OR_NO, "void_reason",
            "void_approved_by", "note")
COLUMNS = REQUIRED + OPTIONAL
LONGEST_NAME = 200
LONGEST_NOTE = 2000
MOST_ROUNDS = 1000
MEMORY = 8192  # distinct cells remembered per column: enough for every number a meter shows, bounded for names
_NAMES_OFFERED = 30
_A_READING = N_("a number such as 412 or 412,5; <5 for below detection; >99999 for over range")
_BLANKS = " \t\xa0\u3000"  # not str.strip's own: that would drop control characters unseen

# What a name may not hold: control characters, halves of characters (bytes that were not UTF-8), line and paragraph
# separators, and the marks that turn the writing direction round, which let two names look alike.
_OTHERS = "\x7f-\x9f\ud800-\udfff\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff"
_FORBIDDEN = re.compile(f"[\x00-\x1f{_OTHERS}]")
_FORBIDDEN_IN_NOTE = re.compile(f"[\x00-\x08\x0b-\x1f{_OTHERS}]")


@dataclass(frozen=True)
class Expected:
    """What the reader of a table knows beforehand.

    Parameters
    ----------
    now : datetime
        The present, with its zone; nothing was read later than that.
    zone : tzinfo or None
        The zone of times written without one; None: such a time is refused.
    points : collection of str or None
        The planned points; None: any name.
    instruments : collection of str or None
        The instrument types that may have read; None: any name.
    over_range_rlu : float or None
        The highest number the meter shows, RLU; None: not known.
    """

    now: datetime
    zone: tzinfo | None = None
    points: Collection[str] | None = None
    instruments: Collection[str] | None = None
    over_range_rlu: float | None = None


class UnknownCell(TersumError):
    """A cell that is none of the accepted names; near ones are looked up when it is told, and not for a million."""

    code = "unknown-name"

    def __init__(self, field: str, value: str, known: Collection[str]):
        super().__init__(N_("{field} is not known: got {value}; accepted: {accepted}."), field=field, value=value,
                         accepted="{names}", names=", ".join(list(known)[:_NAMES_OFFERED]))
        self._known = known

    def sentence(self, translate: Any = str) -> str:
        names = sorted(self._known) if len(self._known) > _NAMES_OFFERED else list(self._known)
        told = UnknownName(self.field, self.value, names)
        if len(names) > _NAMES_OFFERED:
            told.places["names"] = ", ".join(names[:_NAMES_OFFERED]) + ", …"
        return told.sentence(translate)


class Cells(dict[str, Any]):
    """The cells of one column, each text read once: ``cells[text]`` is its value, or raises what is wrong with it."""

    def __init__(self, read: Callable[[str], Any]):
        super().__init__()
        self._read = read
        self._refused: dict[str, TersumError] = {}

    def __missing__(self, text: str) -> Any:
        refused = self._refused.get(text)
        if refused is not None:
            raise refused
        try:
            value = self._read(text)
        except TersumError as fault:
            if len(self._refused) >= MEMORY:
                self._refused.clear()
            if len(text) <= LONGEST_NAME:
                self._refused[text] = fault
            raise
        if len(self) >= MEMORY:
            self.clear()
        if len(text) <= LONGEST_NAME:
            self[text] = value
        return value


def reader(column: str, expected: Expected) -> Callable[[str], Any]:
    """Return the function that reads a cell of a column; a blank cell of an optional column is None."""
    if column == "point":
        return _point if expected.points is None else lambda text: _known("point", _point(text), expected.points)
    if column == "stage":
        return _stage
    if column == "rlu":
        return lambda text: _rlu(text, expected.over_range_rlu)
    return _optional(column, _of_optional(column, expected))


def _of_optional(column: str, expected: Expected) -> Callable[[str], Any]:
    if column in YES_OR_NO:
        return lambda text: _yes(column, text)
    if column in ("round", "swab"):
        return lambda text: _whole(column, text)
    if column == "blank":
        return _blank
    if column == "at":
        return lambda text: moment(text, field="at", now=expected.now, zone=expected.zone)
    if column == "void_reason":
        return lambda text: _one_of("void_reason", text, FAULTS_AFTER_THE_NUMBER)
    if column == "instrument":
        return lambda text: _known("instrument", name(text, "instrument"), expected.instruments)
    if column == "note":
        return _note
    return lambda text: name(text, column)


def _optional(column: str, read: Callable[[str], Any]) -> Callable[[str], Any]:
    def cell(text: str) -> Any:
        return read(text) if text.strip(_BLANKS) else None
    return cell


def name(text: str, field: str, *, longest: int = LONGEST_NAME) -> str:
    """Return a name as NFC without blanks around it; refuse what cannot be shown or told apart."""
    clean = unicodedata.normalize("NFC", text.strip(_BLANKS))
    found = _FORBIDDEN.search(clean)
    if found:
        raise unreadable(field, text, found.group())
    if not clean:
        raise refusal("empty", N_("{field} is empty: got {value}; accepted: {accepted}."), field, text, N_("a name"))
    if len(clean) > longest:
        raise refusal("too-long", N_("{field} is too long: got {value}; accepted: {accepted}."), field, text,
                      N_("at most {most} characters"), most=longest)
    return clean


def unreadable(field: str, text: str, mark: str) -> TersumError:
    """Return the refusal of a cell for one character that no cell may hold."""
    if "\ud800" <= mark <= "\udfff":
        return refusal("wrong-encoding", N_("{field} is not UTF-8: got {value}; accepted: {accepted}."), field,
                       readable(text), N_("a file saved as UTF-8"))
    if mark == "\x00":
        return refusal("nul-byte", N_("{field} holds a NUL byte: got {value}; accepted: {accepted}."), field, text,
                       N_("plain text"))
    return refusal("control-character", N_("{field} holds the control character {mark}: got {value}; accepted: "
                                           "{accepted}."), field, readable(text),
                   N_("text on one line without control characters"), mark=f"U+{ord(mark):04X}")


def readable(text: str) -> str:
    """Return a text in which each byte that was not UTF-8 is written out as ``\\xE9``."""
    return "".join(f"\\x{ord(mark) - 0xdc00:02X}" if "\udc80" <= mark <= "\udcff" else mark for mark in text)


def _point(text: str) -> str:
    # Plain names, which most are, need no further look; there may be millions of them.
    if text.isalnum() and text.isascii() and len(text) <= LONGEST_NAME:
        return text
    return name(text, "point")


def _known(field: str, text: str, accepted: Collection[str] | None) -> str:
    if accepted is None or text in accepted:
        return text
    raise UnknownCell(field, text, accepted)


def _stage(text: str) -> int:
    return STAGES.index(_one_of("stage", text, STAGES))


def _rlu(text: str, over_range_rlu: float | None) -> tuple[float, float, str]:
    _clean("rlu", text)
    try:
        low, high = parse_reading(text, field="rlu")
    except TersumError as refused:
        if refused.code == "not-a-number":
            refused.accepted = _A_READING
        raise
    if over_range_rlu is not None and low == high and low > over_range_rlu:
        raise OutOfRange("rlu", text, N_("at most {most:g} RLU, the meter's range; more is written as >{most:g}"),
                         most=over_range_rlu)
    return low, high, text


def _blank(text: str) -> float:
    _clean("blank", text)
    number = parse_decimal(text, field="blank")
    if number < 0:
        raise OutOfRange("blank", text, N_("0 RLU or more"))
    return float(number)


def _whole(column: str, text: str) -> int:
    bare = text.strip(_BLANKS)
    if not (bare.isascii() and bare.isdigit() and len(bare) <= 6 and 1 <= int(bare) <= MOST_ROUNDS):
        raise refusal("out-of-range", N_("{field} is not a whole number in range: got {value}; accepted: {accepted}."),
                      column, readable(text), N_("1 to {most}"), most=MOST_ROUNDS)
    return int(bare)


def _yes(column: str, text: str) -> bool:
    return _one_of(column, text, ("yes", "no")) == "yes"


def _one_of(field: str, text: str, words: tuple[str, ...]) -> str:
    _clean(field, text)
    word = text.strip(_BLANKS).casefold()
    if not word:
        raise refusal("empty", N_("{field} is empty: got {value}; accepted: {accepted}."), field, text, "{names}",
                      names=", ".join(words))
    if word not in words:
        raise UnknownCell(field, text.strip(_BLANKS), words)
    return word


def _note(text: str) -> str:
    clean = unicodedata.normalize("NFC", text.strip(_BLANKS))
    found = _FORBIDDEN_IN_NOTE.search(clean)
    if found:
        raise unreadable("note", text, found.group())
    if len(clean) > LONGEST_NOTE:
        raise refusal("too-long", N_("{field} is too long: got {value}; accepted: {accepted}."), "note", text,
                      N_("at most {most} characters"), most=LONGEST_NOTE)
    return clean


def _clean(field: str, text: str) -> None:
    found = _FORBIDDEN.search(text.strip(_BLANKS))
    if found:
        raise unreadable(field, text, found.group())

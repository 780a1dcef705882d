"""Small tables that people fill in: named columns in any order, a reader for each cell, all faults at once."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from tersum.errors import N_, Faults, TersumError, UnknownName
from tersum.records.columns import name, readable
from tersum.records.header import DELIMITERS
from tersum.records.intake import FaultList, RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.units import parse_decimal, parse_reading

MOST_ROWS = 200_000
Read = Callable[[str, str], Any]


@dataclass(frozen=True)
class Column:
    """A column: its name, how a cell is read, whether it must be there, and what a blank cell means.

    A column that must be there must also be filled in.
    """

    name: str
    read: Read
    required: bool = False
    blank: Any = None


def read_table(path: str, columns: Sequence[Column], *, most_rows: int = MOST_ROWS) -> tuple[dict[str, Any], ...]:
    """Return the rows of a CSV file as dictionaries of all columns.

    Raises
    ------
    Faults
        Everything that is wrong with the file, each with its row and column.
    """
    with open_input(path) as stream:
        return table_of(path, numbered_lines(stream), columns, most_rows=most_rows)


def table_of(path: str, numbered: Iterable[tuple[int, str | None]], columns: Sequence[Column], *,
             most_rows: int = MOST_ROWS) -> tuple[dict[str, Any], ...]:
    """Return the same from numbered lines of CSV; ``path`` is what the faults name."""
    faults = FaultList()
    rows: list[dict[str, Any]] = []
    lines = ((row, text) for row, text in numbered if text is None or text.strip())
    needed = [column.name for column in columns if column.required]
    delimiter, names = header_of(path, next(lines, (1, ""))[1] or "", needed, [one.name for one in columns], faults)
    for row, text in lines if names else ():
        if len(rows) >= most_rows:
            faults.add(RowFault(path, refusal("too-many-rows", N_("{field} holds too many rows; accepted: "
                                                                  "{accepted}."), "the table", row,
                                              N_("at most {most} rows"), most=most_rows), row=row))
            break
        found = cells_of(path, row, text, delimiter, names, faults)
        if found is not None:
            rows.append({"row": row, **_values(path, row, found, columns, faults)})
    if names and not rows and not len(faults):
        faults.add(RowFault(path, refusal("no-rows", N_("there is no row below the header; accepted: {accepted}."), "",
                                          "", N_("at least one row"))))
    if len(faults):
        raise Faults(list(faults))
    return tuple(rows)


def a_name(text: str, field: str) -> str:
    """Return a name."""
    return name(text, field)


def a_reading(text: str, field: str) -> tuple[float, float]:
    """Return what a meter shows as its bounds: 412, <5, >99999."""
    return parse_reading(text, field=field)


def a_number(text: str, field: str) -> float:
    """Return a number, 0 or more."""
    return _at_least_nothing(text, field, above=False)


def above_nothing(text: str, field: str) -> float:
    """Return a number above 0."""
    return _at_least_nothing(text, field, above=True)


def a_count(text: str, field: str) -> int:
    """Return a whole number, 0 or more."""
    bare = text.strip()
    if not (bare.isascii() and bare.isdigit() and len(bare) < 8):
        raise refusal("out-of-range", N_("{field} is not a whole number in range: got {value}; accepted: {accepted}."),
                      field, readable(text), N_("0 to {most}"), most=9_999_999)
    return int(bare)


def a_day(text: str, field: str) -> date:
    """Return the day of a date, or of a date with a time."""
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        raise refusal("not-a-date", N_("{field} is not a date: got {value}; accepted: {accepted}."), field,
                      readable(text), N_("year, month and day, such as 2026-03-05")) from None


def one_of(*words: str) -> Read:
    """Return the reader of a cell that holds one of a few words."""
    def read(text: str, field: str) -> str:
        word = text.strip().casefold()
        if word not in words:
            raise UnknownName(field, readable(text.strip()), words)
        return word
    return read


def _at_least_nothing(text: str, field: str, *, above: bool) -> float:
    number = float(parse_decimal(text, field=field))
    if number < 0.0 or (above and number == 0.0):
        raise refusal("out-of-range", N_("{field} is out of range: got {value}; accepted: {accepted}."), field,
                      readable(text), N_("more than 0") if above else N_("0 or more"))
    return number


def header_of(path: str, text: str, needed: Sequence[str], known: Sequence[str],
              faults: FaultList) -> tuple[str, tuple[str, ...]]:
    """Return the delimiter and the columns that a header names; no columns where it has a fault."""
    line = text.removeprefix("\ufeff")
    delimiter = max(DELIMITERS, key=lambda mark: len(set(_names(line, mark)) & set(known)))
    names = _names(line, delimiter)
    before = len(faults)
    for missing in (column for column in needed if column not in names):
        faults.add(RowFault(path, refusal("missing-column", N_("the column {field} is missing; the header is {value}; "
                                                               "accepted: {accepted}."), missing, readable(line),
                                          "{names}", names=", ".join(needed)), row=1, column=missing))
    for column in dict.fromkeys(names):
        if column not in known:
            faults.add(RowFault(path, UnknownName("column", readable(column), list(known)), row=1))
        elif names.count(column) > 1:
            faults.add(RowFault(path, refusal("repeated-column", N_("the column {field} stands there more than once: "
                                                                    "got {value}; accepted: {accepted}."), column,
                                              readable(line), N_("each column once")), row=1, column=column))
    return delimiter, tuple(names) if len(faults) == before else ()


def _names(line: str, delimiter: str) -> list[str]:
    return [cell.strip().casefold() for cell in next(csv.reader([line], delimiter=delimiter), [])]


def cells_of(path: str, row: int, text: str | None, delimiter: str, names: tuple[str, ...],
             faults: FaultList) -> dict[str, str] | None:
    """Return the cells of a line by column; None, and a fault, where there are more or fewer than columns."""
    cells = next(csv.reader([text], delimiter=delimiter), []) if text is not None else []
    if len(cells) != len(names):
        faults.add(RowFault(path, refusal("wrong-width", N_("the row has {value} cells; accepted: {accepted}."), "",
                                          len(cells), N_("{wanted}, one a column"), wanted=len(names)), row=row))
        return None
    return dict(zip(names, cells, strict=True))


def _values(path: str, row: int, cells: dict[str, str], columns: Sequence[Column],
            faults: FaultList) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for column in columns:
        text = cells.get(column.name, "")
        found[column.name] = column.blank
        if not text.strip() and not column.required:
            continue
        try:
            found[column.name] = column.read(text, column.name)
        except TersumError as fault:
            faults.add(RowFault(path, fault, row=row, column=column.name))
    return found

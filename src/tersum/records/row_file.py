"""Reading a small table of a bench (plates, tubes, wells, looks at a surface), CSV or TOML: all faults at once."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName
from tersum.records.header import DELIMITERS
from tersum.records.intake import FaultList, RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.records.toml_file import read_toml
from tersum.units import parse_decimal

MOST_ROWS = 10_000
TOO_MANY = ("tntc", "too many")

Cell = Callable[[str, str], Any]
Row = dict[str, Any]

_POWER = re.compile(r"(?:10\^|1e)?(-[0-9]{1,2})", re.ASCII | re.IGNORECASE)
_SHARE = re.compile(r"1\s*[/:]\s*([0-9]{1,12})", re.ASCII)


def read_rows(path: str, columns: Mapping[str, Cell], *, optional: Mapping[str, Cell] | None = None) -> list[Row]:
    """Return the rows of a table, each cell as its column reads it.

    Parameters
    ----------
    path : str
        CSV in UTF-8 with a header (comma, semicolon or tab), or TOML with a list of tables ``[[row]]``, by the end of
        its name.
    columns, optional : mapping of str to function of (field, text)
        What each column holds; an optional one that is absent or empty is left out of the row.

    Raises
    ------
    RowFault, Faults
        A missing column, an unknown key, every cell that is refused with its row, and a table without rows.
    """
    every = {**columns, **(optional or {})}
    faults = FaultList()
    texts = _toml(path, tuple(every), faults) if path.casefold().endswith(".toml") else _csv(path, columns, faults)
    found: list[Row] = []
    for place, cells in texts:
        if len(found) + len(faults) >= MOST_ROWS:
            raise RowFault(path, refusal("too-many-rows", N_("the file has more rows than {most}; accepted: "
                                                             "{accepted}."), "", "", N_("up to {most}"),
                                         most=MOST_ROWS))
        row: Row = {}
        for name, read in every.items():
            text = cells.get(name, "").strip()
            if not text and name not in columns:
                continue
            try:
                row[name] = read(name, text)
            except TersumError as fault:
                faults.add(RowFault(path, fault, row=place, column=name))
        found.append(row)
    if not found and not len(faults):
        faults.add(RowFault(path, refusal("no-rows", N_("there is no row; accepted: {accepted}."), "", "",
                                          N_("a row for each plate, tube row, dilution or look"))))
    if len(faults):
        told = list(faults)
        raise told[0] if len(told) == 1 else Faults([*told])
    return found


def whole_count(field: str, text: str) -> int:
    """Return a count; a number with decimals is asked about, for it may be a logarithm."""
    number = parse_decimal(text, field=field) if not text.isdigit() else Decimal(text)
    if number != number.to_integral_value():
        raise refusal("log-for-a-count", N_("{field} is no count: got {value}; accepted: {accepted}."), field, text,
                      N_("a whole number; if it is a logarithm, write the count that was taken"))
    if number < 0:
        raise OutOfRange(field, text, N_("0 or more"))
    return int(number)


def colonies(field: str, text: str) -> float:
    """Return colonies on a plate; infinity for ``TNTC`` or ``>300``: more than could be counted."""
    if text.casefold() in TOO_MANY or (text.startswith(">") and text[1:].strip().isdigit()):
        return math.inf
    return float(whole_count(field, text))


def number(field: str, text: str) -> float:
    """Return a plain number."""
    return float(parse_decimal(text, field=field))


def dilution(field: str, text: str) -> float:
    """Return a dilution as a share: ``0.01``, ``1/100``, ``1:100``, ``10^-2`` and ``-2`` are one.

    >>> [dilution("dilution", text) for text in ("0.01", "1/100", "10^-2", "-2", "1e-2")]
    [0.01, 0.01, 0.01, 0.01, 0.01]
    """
    power, share = _POWER.fullmatch(text), _SHARE.fullmatch(text)
    if power:
        return float(Decimal(1).scaleb(int(power.group(1))))
    if share and int(share.group(1)):
        return 1.0 / int(share.group(1))
    value = float(parse_decimal(text, field=field))
    if not 0.0 < value <= 1.0:
        raise OutOfRange(field, text, N_("above 0, up to 1: 0.01, 1/100 or 10^-2 for one in a hundred"))
    return value


def one_of(names: Sequence[str]) -> Cell:
    """Return the reader of a column that holds one of these words."""
    def read(field: str, text: str) -> str:
        if text.casefold() not in names:
            raise UnknownName(field, text, tuple(names))
        return text.casefold()
    return read


def _csv(path: str, columns: Mapping[str, Cell], faults: FaultList) -> Iterator[tuple[int, dict[str, str]]]:
    with open_input(path) as stream:
        lines = ((row, text) for row, text in numbered_lines(stream) if text is None or text.strip())
        first, heading = next(lines, (1, ""))
        line = (heading or "").removeprefix("\ufeff")
        delimiter = max(DELIMITERS, key=line.count)
        names = [name.strip().casefold() for name in next(csv.reader([line], delimiter=delimiter), [])]
        missing = [name for name in columns if name not in names]
        if missing:
            raise RowFault(path, refusal("column-missing", N_("the header lacks {value}; accepted: {accepted}."), "",
                                         ", ".join(missing), N_("a header with {names}"), names=", ".join(columns)),
                           row=first)
        for row, text in lines:
            cells = next(csv.reader([text or ""], delimiter=delimiter), [])
            if text is None or len(cells) != len(names):
                faults.add(RowFault(path, refusal("ragged-row", N_("the row has {value} cells; accepted: {accepted}."),
                                                  "", len(cells), N_("{width} cells, as many as the header"),
                                                  width=len(names)), row=row))
                continue
            yield row, dict(zip(names, cells, strict=True))


def _toml(path: str, names: tuple[str, ...], faults: FaultList) -> Iterator[tuple[int, dict[str, str]]]:
    rows = read_toml(path).get("row")
    if not isinstance(rows, list) or not all(isinstance(one, dict) for one in rows):
        raise RowFault(path, refusal("no-rows", N_("there is no list of rows; accepted: {accepted}."), "", "",
                                     N_("tables [[row]] with {names}"), names=", ".join(names)))
    for place, one in enumerate(rows, start=1):
        for key in one:
            if key not in names:
                faults.add(RowFault(path, UnknownName(f"row {place}: {key}", key, names)))
        yield place, {key: _text(value) for key, value in one.items()}


def _text(value: object) -> str:
    """Return a value of TOML as a person would have written it in a cell."""
    if isinstance(value, float) and math.isfinite(value):
        return format(Decimal(repr(value)), "f")
    return str(value)

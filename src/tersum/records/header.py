"""The header line of a table of readings: its delimiter, its columns, and what is wrong with them."""

from __future__ import annotations

import csv
from dataclasses import dataclass

from tersum.errors import N_, TersumError, UnknownName
from tersum.records.columns import COLUMNS, OPTIONAL, REQUIRED, readable, unreadable
from tersum.records.intake import refusal

DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True)
class Header:
    """What the header line says.

    ``columns`` has one entry per cell of a row: the column's name, or None for one that is not used. ``usable`` is
    False where a required column is missing, so that no row can be decided, only checked.
    """

    delimiter: str
    columns: tuple[str | None, ...]
    not_recorded: tuple[str, ...]
    usable: bool
    faults: tuple[tuple[str | None, TersumError], ...]  # column it is about, or None; what is wrong


def read_header(line: str) -> Header:
    """Return what a header line says.

    Examples
    --------
    >>> header = read_header("point;stage;rlu;dry")
    >>> header.delimiter, header.columns, header.not_recorded[:2]
    (';', ('point', 'stage', 'rlu', 'dry'), ('round', 'swab'))
    """
    garbled = _garbled(line)
    if garbled is not None:
        return Header(",", (), (), usable=False, faults=((None, garbled),))
    delimiter, names = max(((mark, _names(line, mark)) for mark in DELIMITERS),
                           key=lambda one: (len(set(one[1]) & set(COLUMNS)), len(one[1])))
    while len(names) > 1 and not names[-1]:
        names.pop()
    if not set(names) & set(COLUMNS):
        return Header(delimiter, (None,) * len(names), (), usable=False, faults=((None, _no_header(line)),))
    faults: list[tuple[str | None, TersumError]] = []
    for name in REQUIRED:
        if name not in names:
            faults.append((name, refusal("missing-column", N_("the column {field} is missing; the header is {value}; "
                                                              "accepted: {accepted}."), name, readable(line),
                                         "{names}", names=", ".join(REQUIRED))))
    repeated = sorted({name for name in names if name in COLUMNS and names.count(name) > 1})
    for name in repeated:
        faults.append((name, refusal("repeated-column", N_("the column {field} stands there {times} times: got {value};"
                                                           " accepted: {accepted}."), name, readable(line),
                                     N_("each column once"), times=names.count(name))))
    for name in names:
        if name not in COLUMNS:
            faults.append((readable(name), UnknownName("column", readable(name), COLUMNS)))
    columns = tuple(name if name in COLUMNS and name not in repeated else None for name in names)
    return Header(delimiter, columns, tuple(name for name in OPTIONAL if name not in columns),
                  usable=all(name in columns for name in REQUIRED), faults=tuple(faults))


def _names(line: str, delimiter: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=delimiter, strict=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    return [cell.strip().casefold() for cell in cells]


def _no_header(line: str) -> TersumError:
    return refusal("no-header", N_("the first line names no column: got {value}; accepted: {accepted}."), "",
                   readable(line), N_("a header with {names}, separated by a comma, a semicolon or a tab"),
                   names=", ".join(REQUIRED))


def _garbled(line: str) -> TersumError | None:
    """Return why a header line is no text at all, if it is none."""
    if line.startswith(("\udcff\udcfe", "\udcfe\udcff")):
        return refusal("wrong-encoding", N_("the file is not UTF-8: got {value}; accepted: {accepted}."), "", "UTF-16",
                       N_("a file saved as UTF-8"))
    for mark in line:
        if mark == "\x00" or "\ud800" <= mark <= "\udfff":
            return unreadable("header", line, mark)
    return None

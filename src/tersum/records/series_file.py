"""Reading a small table of numbers that a person wrote (ages and strengths, calibrations): all faults at once."""

from __future__ import annotations

import csv

from tersum.errors import N_, Faults, TersumError, UnknownName
from tersum.records.intake import RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.units import parse_decimal

DELIMITERS = (",", ";", "\t")
MOST_ROWS = 10_000


def read_series(path: str, columns: tuple[str, ...]) -> dict[str, list[float]]:
    """Return the numbers of a CSV file by column.

    Parameters
    ----------
    path : str
        UTF-8, a header line with the columns in any order; comma, semicolon or tab; a ``,`` may be the decimal mark
        where it does not part the columns.
    columns : tuple of str
        The columns needed; others are left alone.

    Raises
    ------
    RowFault, Faults
        A missing column; every cell that is no number, with its row and column.
    """
    with open_input(path) as stream:
        lines = [(row, text) for row, text in numbered_lines(stream) if text is None or text.strip()]
    if not lines or lines[0][1] is None:
        raise RowFault(path, _no_header("", columns))
    heading = lines[0][1].removeprefix("\ufeff")
    delimiter = max(DELIMITERS, key=heading.count)
    names = [name.strip().casefold() for name in next(csv.reader([heading], delimiter=delimiter), [])]
    missing = [name for name in columns if name not in names]
    if missing:
        raise RowFault(path, _no_header(heading, columns), row=lines[0][0])
    if len(lines) > MOST_ROWS:
        raise RowFault(path, refusal("too-many-rows", N_("the file has {value} rows; accepted: {accepted}."), "",
                                     len(lines), N_("up to {most}"), most=MOST_ROWS))
    found: dict[str, list[float]] = {name: [] for name in columns}
    faults: list[TersumError] = []
    for row, text in lines[1:]:
        cells = next(csv.reader([text or ""], delimiter=delimiter), [])
        for name in columns:
            place = names.index(name)
            try:
                found[name].append(float(parse_decimal(cells[place] if place < len(cells) else "", field=name)))
            except TersumError as fault:
                faults.append(RowFault(path, fault, row=row, column=name))
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(faults)
    return found


def _no_header(heading: str, columns: tuple[str, ...]) -> TersumError:
    return UnknownName("header", heading, columns)

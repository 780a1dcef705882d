"""Reading POINTS.csv: what lived at each contact time, counts or their logs, with all faults of the file at once."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName
from tersum.lethality.log_reduction import refused_log
from tersum.records.columns import readable
from tersum.records.header import DELIMITERS
from tersum.records.intake import RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.units import parse_decimal

TIMES = ("time_s", "time_min", "time_h")
COUNT, LOG = "cfu", "log10_cfu"
MOST_ROWS = 2000
_MOST_LOG = 15.0


@dataclass(frozen=True)
class SurvivorPoints:
    """Points in the order of the file: time in ``unit``, log10 of the count, whether it is the detection limit."""

    unit: str
    time: tuple[float, ...]
    log10: tuple[float, ...]
    below: tuple[bool, ...]


def read_survivors(path: str) -> SurvivorPoints:
    """Return the points of a file.

    Parameters
    ----------
    path : str
        A CSV file with a time (``time_s``, ``time_min`` or ``time_h``) and either ``cfu``, counts per any one volume or
        carrier, or ``log10_cfu``; ``<`` before a number is the detection limit where nothing grew. Other columns are
        left alone; blank lines too.

    Raises
    ------
    RowFault, Faults
        A missing column, counts that are logs, a count of 0, anything that is no number: all at once.
    """
    with open_input(path) as stream:
        lines = [(row, text) for row, text in numbered_lines(stream) if text is None or text.strip()]
    heading = lines[0][1].removeprefix("\ufeff") if lines and lines[0][1] else ""
    delimiter = max(DELIMITERS, key=heading.count)
    names = [name.strip().casefold() for name in next(csv.reader([heading], delimiter=delimiter), [])]
    clock, value = _column(path, names, TIMES, heading), _column(path, names, (COUNT, LOG), heading)
    if len(lines) > MOST_ROWS + 1:
        raise RowFault(path, refusal("too-many-rows", N_("the file has {value} rows; accepted: {accepted}."), "",
                                     len(lines) - 1, N_("up to {most}"), most=MOST_ROWS))
    faults: list[TersumError] = []
    points = [_point(path, row, text or "", (delimiter, names.index(clock), names.index(value)), (clock, value), faults)
              for row, text in lines[1:]]
    good = [one for one in points if one is not None]
    if value == COUNT and good and not faults and max(10.0**log for _time, log, _below in good) <= _MOST_LOG:
        faults.append(RowFault(path, OutOfRange(COUNT, max(10.0**log for _time, log, _below in good),
                                                N_("counts; a column of logarithms is called log10_cfu"))))
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(faults)
    return SurvivorPoints(clock.removeprefix("time_"), tuple(one[0] for one in good), tuple(one[1] for one in good),
                          tuple(one[2] for one in good))


def _column(path: str, names: list[str], known: tuple[str, ...], heading: str) -> str:
    there = [one for one in known if names.count(one)]
    if not there:
        raise RowFault(path, UnknownName("header", readable(heading), known), row=1)
    if len(there) > 1 or names.count(there[0]) > 1:
        raise RowFault(path, refusal("repeated-column", N_("the header has {value}; accepted: {accepted}."), there[0],
                                     ", ".join(there), N_("one of {names}, once"), names=", ".join(known)), row=1)
    return there[0]


def _point(path: str, row: int, text: str, places: tuple[str, int, int], columns: tuple[str, str],
           faults: list[TersumError]) -> tuple[float, float, bool] | None:
    cells = next(csv.reader([text], delimiter=places[0]), [])
    found: list[tuple[float, bool]] = []
    for place, column in zip(places[1:], columns, strict=True):
        try:
            found.append(_cell(cells[place] if place < len(cells) else "", column))
        except TersumError as fault:
            faults.append(RowFault(path, fault, row=row, column=column))
    return (found[0][0], found[1][0], found[1][1]) if len(found) == 2 else None


def _cell(text: str, column: str) -> tuple[float, bool]:
    """Return a number, and whether ``<`` stood before it; a count as its log."""
    bare = text.strip()
    if bare[:1] == ">" or (bare[:1] == "<" and column in TIMES):
        raise OutOfRange(column, readable(text), N_("a number") if column in TIMES else
                         N_("a count, or < before the detection limit; a plate beyond counting is no point"))
    below = bare[:1] == "<"
    number = _number(bare[1:] if below else bare, column)
    if column == COUNT:
        if number == 0.0 and not below:
            raise refused_log(column, number)
        if number <= 0.0:
            raise OutOfRange(column, number, N_("above 0"))
        return math.log10(number), below
    return number, below


def _number(text: str, column: str) -> float:
    try:
        return float(parse_decimal(text, field=column))
    except TersumError as fault:
        # "7.412" may mean seven thousand: not in a column of logarithms.
        if column == LOG and fault.code == "ambiguous-number" and abs(float(fault.places["whole"])) > _MOST_LOG:
            return float(fault.places["fraction"])
        raise

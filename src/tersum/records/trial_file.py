"""Reading TRIAL.csv: one row a swab of a treated part of a panel, with all faults of the file at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from tersum.errors import N_, TersumError
from tersum.evidence.blank import net_bounds
from tersum.evidence.trial import TrialReading
from tersum.records.cell_table import cells_of, header_of
from tersum.records.columns import name, readable
from tersum.records.intake import FaultList, RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.units import parse_decimal, parse_reading

REQUIRED = ("vehicle", "panel", "arm", "after")
OPTIONAL = ("part", "swab", "before", "blank", "turn", "note")
COLUMNS = REQUIRED + OPTIONAL
MOST_ROWS = 5000
T = TypeVar("T")


@dataclass(frozen=True)
class TrialTable:
    """The rows that could be read, what was left open, and every fault."""

    rows: tuple[TrialReading, ...]
    unread: int
    has_before: bool
    faults: FaultList


def read_trial(path: str) -> TrialTable:
    """Return the rows of a trial.

    Parameters
    ----------
    path : str
        A CSV file with the columns vehicle, panel, arm and after; where known also part (of the panel), swab (its
        number), before, blank, turn and note. Readings as the meter shows them: 412, <5, >99999. A row without an
        after reading is counted and left out.

    Raises
    ------
    RowFault
        If the file cannot be opened.
    """
    with open_input(path) as stream:
        return trial_table(path, numbered_lines(stream))


def trial_table(path: str, numbered: Iterable[tuple[int, str | None]]) -> TrialTable:
    """Return the rows of a trial from numbered lines of CSV; ``path`` is what the faults name."""
    faults = FaultList()
    rows: list[TrialReading] = []
    unread = 0
    lines = ((row, text) for row, text in numbered if text is None or text.strip())
    delimiter, columns = header_of(path, next(lines, (1, ""))[1] or "", REQUIRED, COLUMNS, faults)
    for row, text in lines if columns else ():
        if len(rows) + unread >= MOST_ROWS:
            faults.add(RowFault(path, refusal("too-many-rows", N_("{field} holds more rows than a trial has; "
                                                                  "accepted: {accepted}."), "the table", row,
                                              N_("at most {most} rows"), most=MOST_ROWS), row=row))
            break
        cells = cells_of(path, row, text, delimiter, columns, faults)
        if cells is None:
            continue
        if not cells["after"].strip():
            unread += 1
            continue
        found = _row(path, row, cells, faults)
        if found is not None:
            rows.append(found)
    if columns and not rows and not len(faults):
        faults.add(RowFault(path, refusal("no-rows", N_("there is no row with an after reading; accepted: {accepted}."),
                                          "", "", N_("at least one row of readings"))))
    return TrialTable(tuple(rows), unread, "before" in columns, faults)


def _row(path: str, row: int, cells: dict[str, str], faults: FaultList) -> TrialReading | None:
    def taken(column: str, read: Callable[[str, str], T], blank: T) -> T:
        text = cells.get(column, "")
        if not text.strip() and column not in REQUIRED:
            return blank
        try:
            return read(text, column)
        except TersumError as fault:
            faults.add(RowFault(path, fault, row=row, column=column))
            return blank

    before_count = len(faults)
    vehicle, panel, arm = (taken(column, name, "") for column in ("vehicle", "panel", "arm"))
    # Without a column for them, the parts of a panel are told apart by their treatments.
    part = taken("part", name, "") if "part" in cells else arm
    swab, level = taken("swab", _swab, 1), taken("blank", _blank, 0.0)
    after, before = taken("after", _reading, None), taken("before", _reading, None)
    if after is None or len(faults) > before_count:
        return None
    return TrialReading(vehicle, panel, part, arm, swab, _net(after, level),
                        None if before is None else _net(before, level))


def _reading(text: str, field: str) -> tuple[float, float] | None:
    return parse_reading(text, field=field)


def _blank(text: str, field: str) -> float:
    number = float(parse_decimal(text, field=field))
    if number < 0.0:
        raise refusal("out-of-range", N_("{field} is out of range: got {value}; accepted: {accepted}."), field, text,
                      N_("0 RLU or more"))
    return number


def _swab(text: str, field: str) -> int:
    bare = text.strip()
    if not (bare.isascii() and bare.isdigit() and len(bare) < 5 and int(bare) > 0):
        raise refusal("out-of-range", N_("{field} is not a whole number in range: got {value}; accepted: {accepted}."),
                      field, readable(text), N_("1 to {most}"), most=9999)
    return int(bare)


def _net(bounds: tuple[float, float], blank: float) -> tuple[float, float]:
    net_low, net_high = net_bounds(*bounds, blank)
    return float(net_low), float(net_high)

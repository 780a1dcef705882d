"""Reading DUPLICATES.csv: swabs of the same surfaces, planned before anything was read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.errors import N_, Faults, TersumError
from tersum.evidence.blank import net_bounds
from tersum.records.cell_table import Column, a_name, a_number, a_reading, one_of, read_table
from tersum.records.intake import RowFault, refusal

FACTORS = ("person", "day", "instrument")
COLUMNS = (Column("point", a_name, required=True), Column("rlu", a_reading, required=True),
           Column("planned", one_of("yes", "no")), Column("surface", a_name, blank=""),
           *(Column(name, a_name, blank="") for name in FACTORS), Column("blank", a_number, blank=0.0),
           Column("note", lambda text, _field: text))
MOST_ROWS = 600


@dataclass(frozen=True)
class Swab:
    """One planned swab: its surface and class, log10 net reading, and who read it, when, with which meter."""

    point: str
    surface: str
    log10_rlu: float
    person: str
    day: str
    instrument: str

    @property
    def cell(self) -> tuple[str, ...]:
        """What is alike between duplicates but for the swab."""
        return self.point, self.person, self.day, self.instrument


@dataclass(frozen=True)
class Duplicates:
    """The swabs that count, and how many were left aside: not planned, not said whether, or outside the range."""

    swabs: tuple[Swab, ...]
    unplanned: int
    not_said: int
    outside: int


def read_duplicates(path: str, *, all_planned: bool = False) -> Duplicates:
    """Return the planned swabs of a table.

    Parameters
    ----------
    path : str
        A CSV file with the columns point (one name a surface) and rlu; where known also planned (yes, no), surface
        (its class), person, day, instrument, blank and note.
    all_planned : bool
        True where somebody says that all were planned; rows marked ``no`` are left aside even then.

    Raises
    ------
    Faults
        Everything that is wrong with the table, at once.
    """
    rows = read_table(path, COLUMNS, most_rows=MOST_ROWS)
    swabs: list[Swab] = []
    unplanned = not_said = outside = 0
    for row in rows:
        if row["planned"] == "no":
            unplanned += 1
            continue
        if row["planned"] is None and not all_planned:
            not_said += 1
            continue
        low, high = (float(end) for end in net_bounds(row["rlu"][0], row["rlu"][1], row["blank"]))
        if low != high or low <= 0.0:
            outside += 1
            continue
        swabs.append(Swab(row["point"], row["surface"], math.log10(low), *(row[name] for name in FACTORS)))
    faults = _two_classes(path, swabs)
    if faults:
        raise Faults(faults)
    return Duplicates(tuple(swabs), unplanned, not_said, outside)


def _two_classes(path: str, swabs: list[Swab]) -> list[TersumError]:
    """Return the points that are given more than one class of surface."""
    classes: dict[str, set[str]] = {}
    for one in swabs:
        classes.setdefault(one.point, set()).add(one.surface)
    accepted = N_("one class of surface a point")
    return [RowFault(path, refusal("two-classes", N_("{field} {value} has more than one surface; accepted: "
                                                     "{accepted}."), "point", point, accepted), column="surface")
            for point, met in classes.items() if len(met) > 1]

"""Reading HISTORY.csv: counted readings of many visits, for charts, funnels and intervals."""

from __future__ import annotations

import math
from typing import Any

from tersum.evidence.blank import net_bounds
from tersum.evidence.streams import PastReading
from tersum.records.cell_table import (
    Column,
    a_count,
    a_day,
    a_name,
    a_number,
    a_reading,
    above_nothing,
    one_of,
    read_table,
)
from tersum.visit.readings import STAGES

COLUMNS = (
    Column("at", a_day, required=True), Column("place", a_name, required=True), Column("point", a_name, required=True),
    Column("stage", one_of(*STAGES), required=True), Column("rlu", a_reading, required=True),
    Column("visit", a_name), Column("surface", a_name, blank=""), Column("instrument", a_name, blank=""),
    Column("blank", a_number, blank=0.0), Column("turn", a_count), Column("person", a_name, blank=""),
    Column("limit", above_nothing), Column("note", a_name, blank=""))
COUNT_COLUMNS = (Column("at", a_day, required=True), Column("count", a_count, required=True),
                 Column("looked_at", a_count), Column("note", a_name, blank=""))


def read_history(path: str, *, limit_rlu: float | None = None) -> tuple[PastReading, ...]:
    """Return the readings of a history; ``limit_rlu`` stands in where a row names no limit.

    Raises
    ------
    Faults
        Everything that is wrong with the file.
    """
    return tuple(past_reading(row, limit_rlu) for row in read_table(path, COLUMNS))


def read_counts(path: str) -> tuple[dict[str, Any], ...]:
    """Return day, count and number looked at of each row, for charts of shares and counts, in the order of days."""
    return tuple(sorted(read_table(path, COUNT_COLUMNS), key=lambda row: row["at"]))


def past_reading(row: dict[str, Any], limit_rlu: float | None) -> PastReading:
    """Return a row of a history as a reading, net of its blank; ``limit_rlu`` stands in where it names no limit."""
    shown_low, shown_high = row["rlu"]
    low, high = net_bounds(shown_low, shown_high, row["blank"])
    limit = row["limit"] or limit_rlu
    return PastReading(row["visit"] or f"{row['place']} {row['at'].isoformat()}", float(row["at"].toordinal()),
                       row["place"], row["point"], row["stage"], _log10(float(low)), _log10(float(high)),
                       row["surface"], row["instrument"], row["person"], row["turn"],
                       None if limit is None else math.log10(limit))


def _log10(rlu: float) -> float:
    return -math.inf if rlu <= 0.0 else math.inf if math.isinf(rlu) else math.log10(rlu)

"""Reading SPIKES.csv, PAIRS.csv and POINTS.csv: spikes, paired readings and the list of points, all faults at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tersum.errors import N_, Faults, TersumError
from tersum.evidence.blank import net_bounds
from tersum.evidence.residue import MATRIX, PANEL, SWAB, Spike
from tersum.records.cell_table import (
    Column,
    a_count,
    a_name,
    a_number,
    a_reading,
    above_nothing,
    one_of,
    read_table,
)
from tersum.records.intake import RowFault, refusal
from tersum.visit.readings import STAGES
from tersum.visit.strata_draw import ListedPoint

_SPIKES = (
    Column("chemistry", a_name, required=True), Column("surface", a_name, required=True),
    Column("instrument", a_name, required=True), Column("stage", one_of(*STAGES), required=True),
    Column("kind", one_of(SWAB, PANEL, MATRIX), required=True), Column("unspiked", a_number, required=True),
    Column("spiked", a_number), Column("spike", above_nothing), Column("note", a_name, blank=""))
_PAIRS = (
    *(Column(name, a_reading) for name in ("first", "second", "first_again", "second_again", "rlu", "rlu_again")),
    Column("cfu", a_count), Column("cfu_again", a_count), Column("blank_first", a_number, blank=0.0),
    Column("blank_second", a_number, blank=0.0), Column("surface", a_name, blank=""), Column("note", a_name, blank=""))
_POINTS = (Column("point", a_name, required=True), Column("touch", one_of("high", "medium", "low"), required=True),
           Column("risk", one_of("high", "medium", "low"), required=True), Column("surface", a_name, required=True),
           Column("note", a_name, blank=""))


@dataclass(frozen=True)
class Pairs:
    """Rows of two instruments (``rapid`` False) or of readings and counts, net RLU as bounds, None where blank."""

    rapid: bool
    rows: tuple[dict[str, Any], ...]


def read_spikes(path: str) -> tuple[Spike, ...]:
    """Return spikes and matrix blanks; a spike needs both readings and the spike on a clean swab."""
    rows, faults = read_table(path, _SPIKES), []
    for row in rows:
        for column in ("spiked", "spike") if row["kind"] != MATRIX else ():
            if row[column] is None:
                faults.append(_missing(path, row["row"], column, N_("a reading, unless the row is a matrix blank")))
    if faults:
        raise Faults([*faults])
    return tuple(Spike(row["chemistry"], row["surface"], row["instrument"], row["stage"], row["kind"], row["unspiked"],
                       row["spiked"], row["spike"]) for row in rows)


def read_pairs(path: str) -> Pairs:
    """Return the pairs of a table that holds first and second, or rlu and cfu; not both, none half-filled."""
    rows = read_table(path, _PAIRS)
    rapid = any(row["cfu"] is not None for row in rows)
    wanted = ("rlu", "cfu") if rapid else ("first", "second")
    other = ("first", "second") if rapid else ("rlu", "cfu")
    faults: list[TersumError] = [
        _missing(path, row["row"], column, N_("a reading in each row: first and second, or rlu and cfu"))
        for row in rows for column in wanted if row[column] is None]
    faults += [_missing(path, row["row"], column, N_("either first and second, or rlu and cfu, in one table"))
               for row in rows for column in other if row[column] is not None]
    if not rows:  # a file of nothing names no column, so that none is missed by the reader of tables
        faults.append(_missing(path, 1, "first", N_("rows of pairs: first and second, or rlu and cfu")))
    if faults:
        raise Faults(faults)
    for row in rows:
        for column, blank in (("first", "first"), ("first_again", "first"), ("second", "second"),
                              ("second_again", "second"), ("rlu", "first"), ("rlu_again", "first")):
            if row[column] is not None:
                shown_low, shown_high = row[column]
                low, high = net_bounds(shown_low, shown_high, row[f"blank_{blank}"])
                row[column] = float(low), float(high)
    return Pairs(rapid, rows)


def read_points(path: str) -> tuple[ListedPoint, ...]:
    """Return the list of points with touch, risk and surface."""
    return tuple(ListedPoint(row["point"], row["touch"], row["risk"], row["surface"])
                 for row in read_table(path, _POINTS))


def _missing(path: str, row: int, column: str, accepted: str) -> RowFault:
    return RowFault(path, refusal("empty", N_("{field} does not fit: got {value}; accepted: {accepted}."), column, "",
                                  accepted), row=row, column=column)

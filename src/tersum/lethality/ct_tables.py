"""Published CT tables of disinfection in water: looked up as their guidance says, never read between the cells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import real, together
from tersum.catalogue import load
from tersum.errors import N_, OutOfRange, TersumError, UnknownName

TABLE = "table"
EQUATION = "equation"


@dataclass(frozen=True)
class Ct:
    """A CT value in water and where it comes from.

    ``method`` is ``table`` or ``equation``; ``row_c``, ``row_mg_l`` and ``row_ph`` are the row and columns looked up
    (NaN where that does not enter, or for an equation). ``known`` says how the figures are known.
    """

    ct_mg_min_l: float
    method: str
    name: str
    log10: float
    known: str
    source: str
    where: str
    row_c: float = math.nan
    row_mg_l: float = math.nan
    row_ph: float = math.nan


def ct_from_table(disinfectant: str, organism: str, *, log10: float, temp_c: float, strength_mg_l: float | None = None,
                  ph: float | None = None) -> Ct:
    """Return the CT of a table: temperature down to a row, strength and pH up to a column.

    Parameters
    ----------
    disinfectant : str
        ``free chlorine``, ``chlorine dioxide``, ``ozone`` or ``chloramines``.
    organism : str
        ``giardia`` or ``virus``.
    log10 : float
        The reduction the table is made for: 3 for giardia, 4 for virus. No other is scaled from it.
    temp_c : float
        Of the water, 0 to 40 °C; above the last row the last row serves.
    strength_mg_l : float, optional
        Free chlorine, above 0 and up to the last row, where the table asks for it.
    ph : float, optional
        Inside the table's range, where the table asks for it.

    Raises
    ------
    UnknownName
        Where there is no such table.
    OutOfRange
        Outside the table; all at once.

    Source
    ------
    EPA 815-R-20-003, appendix B, tables B-1 to B-8 and their lookup rule. Clean water, one organism each, with margins
    built in: a check of the arithmetic, no advice on surfaces.

    Examples
    --------
    >>> found = ct_from_table("free chlorine", "giardia", log10=3, temp_c=19.0, strength_mg_l=1.1, ph=7.2)
    >>> found.ct_mg_min_l, found.row_c, found.row_mg_l, found.row_ph
    (92.0, 15.0, 1.2, 7.5)
    """
    name = _name(disinfectant, organism)
    ct = load.table("ct_tables")[name]["ct"]
    faults: list[TersumError] = []
    row = _down(real("temp_c", temp_c, at_least=0.0, at_most=40.0), ct.details["at_c"])
    across = _up("strength_mg_l", strength_mg_l, ct.details.get("strength_mg_l"), 0.0, faults)
    column = _up("ph", ph, ct.details.get("ph"), float(ct.details.get("least_ph", 0.0)), faults)
    if log10 != ct.details["log10"]:
        faults.append(OutOfRange("log10", log10, N_("{only:g}, for which the table is made"), only=ct.details["log10"]))
    together(faults)
    strengths, phs = ct.details.get("strength_mg_l"), ct.details.get("ph")
    return Ct(float(ct.value[row][across][column]), TABLE, name, float(log10), ct.known, ct.source, ct.where,
              float(ct.details["at_c"][row]), float(strengths[across]) if strengths else math.nan,
              float(phs[column]) if phs else math.nan)


def _name(disinfectant: str, organism: str) -> str:
    names = tuple(load.table("ct_tables"))
    wanted = f"{organism}, {disinfectant}"
    if wanted not in names:
        raise UnknownName("table", f"{organism} with {disinfectant}",
                          tuple(one.replace(", ", " with ") for one in names))
    return wanted


def _down(value: float, rows: Sequence[float]) -> int:
    return max([place for place, row in enumerate(rows) if row <= value], default=0)


def _up(field: str, value: float | None, columns: Sequence[float] | None, least: float,
        faults: list[TersumError]) -> int:
    if columns is None:
        return 0
    if value is None:
        faults.append(OutOfRange(field, "", N_("a number: the table asks for it")))
        return 0
    inside = [place for place, column in enumerate(columns) if column >= real(field, value)]
    if not inside or value < least or value <= 0:
        faults.append(OutOfRange(field, float(value), N_("{low:g} to {high:g}"), low=least, high=columns[-1]))
        return 0
    return inside[0]

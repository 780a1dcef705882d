"""Equations fitted to CT tables of disinfection in water; a result says that it is not the table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tersum.arguments import real, together
from tersum.catalogue import load
from tersum.catalogue.load import Sourced
from tersum.errors import N_, OutOfRange, TersumError, UnknownName
from tersum.lethality.ct_tables import EQUATION, Ct


def ct_from_equation(disinfectant: str, organism: str, *, log10: float, temp_c: float,
                     strength_mg_l: float | None = None, ph: float | None = None) -> Ct:
    """Return the CT of an equation fitted to a table, which is not the table.

    Parameters
    ----------
    disinfectant, organism, strength_mg_l, ph
        As for :func:`ct_from_table`; ``cryptosporidium`` too, for chlorine dioxide and ozone.
    log10 : float
        Above 0, up to the table's own reduction.
    temp_c : float
        Inside the temperatures of the equation.

    Raises
    ------
    UnknownName
        Where there is no such equation.
    OutOfRange
        Outside the range of the equation; all at once.

    Source
    ------
    Giardia and free chlorine: Smith, Clark et al. 1995, two branches meeting at 12.5 °C, up to 17 % above the table.
    Virus and free chlorine up to 9 % below the table, ozone within 10 % of it (memory). Cryptosporidium: 40 CFR
    141.720.

    Examples
    --------
    >>> found = ct_from_equation("free chlorine", "giardia", log10=3, temp_c=10.0, strength_mg_l=1.0, ph=7.0)
    >>> round(found.ct_mg_min_l, 2)
    115.78
    """
    name = _equation_name(disinfectant, organism, real("temp_c", temp_c))
    constants = load.table("ct_regressions")[name]["constants"]
    limits = constants.details
    faults: list[TersumError] = []
    logs = _inside("log10", log10, 0.0, float(limits["most_log10"]), faults)
    temp = _inside("temp_c", temp_c, float(limits["low_c"]), float(limits["high_c"]), faults)
    strength = _wanted("strength_mg_l", strength_mg_l, limits, faults)
    acidity = _wanted("ph", ph, limits, faults)
    if log10 <= 0:
        faults.append(OutOfRange("log10", log10, N_("above 0")))
    together(faults)
    return Ct(_equation(constants, logs, temp, strength, acidity), EQUATION, name, logs, constants.known,
              constants.source, constants.where)


def _equation_name(disinfectant: str, organism: str, temp_c: float) -> str:
    wanted = f"{organism}, {disinfectant}"
    if wanted == "giardia, free chlorine":
        wanted += ", below 12.5 °C" if temp_c < 12.5 else ", from 12.5 °C"
    names = tuple(load.table("ct_regressions"))
    if wanted not in names:
        raise UnknownName("equation", f"{organism} with {disinfectant}",
                          tuple(one.replace(", ", " with ", 1) for one in names))
    return wanted


def _inside(field: str, value: float, low: float, high: float, faults: list[TersumError]) -> float:
    try:
        return real(field, value, at_least=low, at_most=high)
    except TersumError as fault:
        faults.append(fault)
        return math.nan


def _wanted(field: str, value: float | None, limits: Mapping[str, Any], faults: list[TersumError]) -> float:
    ends = limits.get(field)
    if ends is None:
        return math.nan
    if value is None:
        faults.append(OutOfRange(field, "", N_("a number: the equation asks for it")))
        return math.nan
    return _inside(field, value, float(ends[0]), float(ends[1]), faults)


def _equation(constants: Sourced, logs: float, temp: float, strength: float, acidity: float) -> float:
    k = constants.numbers
    if len(k) == 6:
        return k[0] * logs * (k[1] + math.exp(k[2] + k[3] * temp + k[4] * strength + k[5] * acidity))
    if len(k) == 3:
        return (k[0] * logs + k[1]) * math.exp(k[2] * temp)
    return logs / (k[0] * math.pow(k[1], temp))

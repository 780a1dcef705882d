"""Amounts of a substance as people write them, in mol per kg of water."""

from __future__ import annotations

import re

from tersum.chemistry.accepted import number
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.errors import N_, OutOfRange
from tersum.units import STRENGTH_UNITS, coded, parse_decimal, parse_strength

MOLAR = {"mol/kg": 1.0, "mol/l": 1.0, "mmol/kg": 1e-3, "mmol/l": 1e-3}
_TEXT = re.compile(r"([^A-Za-z%]*)(.*)", re.ASCII | re.DOTALL)


def parse_amount(text: str, substance: str, *, field: str = "amount") -> float:
    """Return mol per kg of water from ``0.01 mol/kg``, ``10 mmol/L``, ``600 mg/L``, ``0.6 g/L``; 0 or more.

    A litre of solution counts as a kilogram of water: below 0.5 % off for a dilution of 1 % or less.

    Raises
    ------
    TersumError
        As :func:`tersum.units.parse_strength`; UnknownName for a substance of unknown molar mass.

    Examples
    --------
    >>> parse_amount("10 mmol/L", "acetic acid"), round(parse_amount("600 mg/L", "acetic acid"), 5)
    (0.01, 0.00999)
    """
    found = _TEXT.fullmatch(text.strip(" \t\r\n"))
    digits, unit = found.groups() if found else (text, "")
    factor = MOLAR.get("".join(unit.split()).casefold())
    if factor is not None:
        amount = float(parse_decimal(digits, field=field))
        if amount < 0.0:
            raise OutOfRange(field, text, N_("0 or more"))
        return amount * factor
    if not unit.strip():
        raise coded("no-unit", N_("{field} has no unit: got {value}; accepted: {accepted}."), field, text, "{names}",
                    names=", ".join(("mol/kg", "mmol/L", *STRENGTH_UNITS)))
    return mol_kg(parse_strength(text, field=field).mg_l, substance)


def mol_kg(strength_mg_l: float, substance: str) -> float:
    """Return mol per kg of water from mg/L.

    >>> round(mol_kg(1000.0, "peracetic acid"), 5)
    0.01315
    """
    return number("strength_mg_l", strength_mg_l, N_("0 or more"), low=0.0) / 1000.0 / molar_mass_g_mol(substance)

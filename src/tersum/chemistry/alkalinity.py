"""Alkalinity of a water: acid capacity in one unit from those that water works print, and the carbonate with it."""

from __future__ import annotations

import re

from tersum.chemistry.accepted import number
from tersum.chemistry.equilibria import CARBONIC
from tersum.chemistry.ph import SETTLED, Balance
from tersum.chemistry.recipe import Water, recipe
from tersum.errors import N_, OutOfRange
from tersum.units import coded, parse_decimal

# mmol/L of acid capacity (= meq/L) in one of the unit. Carbonate hardness counts each mmol of CaCO3 as two.
UNITS = {
    "mmol/L": 1.0, "meq/L": 1.0, "mg/L CaCO3": 2.0 / 100.087, "mg/L HCO3": 1.0 / 61.017, "dKH": 0.35664, "fH": 0.19983,
}
HIGHEST_MMOL_L = 50.0

_TEXT = re.compile(r"([^A-Za-z°]*)(.*)", re.ASCII | re.DOTALL)
_SPELLED = {
    "mmol/l": "mmol/L", "meq/l": "meq/L", "mval/l": "meq/L", "mg/lcaco3": "mg/L CaCO3", "mg/lascaco3": "mg/L CaCO3",
    "ppmcaco3": "mg/L CaCO3", "mg/lhco3": "mg/L HCO3", "mg/lhco3-": "mg/L HCO3", "dkh": "dKH", "°dkh": "dKH",
    "fh": "fH", "°fh": "fH",
}


def parse_alkalinity(text: str, *, field: str = "alkalinity") -> float:
    """Return an alkalinity in mmol/L of acid capacity (to pH 4.3) from a number with its unit.

    Parameters
    ----------
    text : str
        ``3 mmol/L``, ``150 mg/L CaCO3``, ``183 mg/L HCO3``, ``8.4 dKH``, ``15 fH``. 0 to 50 mmol/L. Total hardness is
        not alkalinity: only the *carbonate* hardness is.

    Raises
    ------
    TersumError
        ``unnamed-unit`` for a bare number and for mg/L without what it is counted as.

    Source
    ------
    Definitions: 1 °dKH is 10 mg CaO per litre (din-38409-6), 1 °fH is 10 mg CaCO3 per litre; 2 eq per mol of either.

    Examples
    --------
    >>> [round(parse_alkalinity(text), 2) for text in ("3 mmol/L", "150 mg/L CaCO3", "8.4 dKH")]
    [3.0, 3.0, 3.0]
    >>> parse_alkalinity("150 mg/L")
    Traceback (most recent call last):
    tersum.errors.TersumError: alkalinity does not say in what unit: got 150 mg/L; accepted: mmol/L, meq/L, \
mg/L CaCO3, mg/L HCO3, dKH, fH.
    """
    found = _TEXT.fullmatch(text.strip(" \t\r\n"))
    digits, unit = found.groups() if found else (text, "")
    name = _SPELLED.get("".join(unit.split()).casefold())
    value = float(parse_decimal(digits, field=field))
    if name is None:
        raise coded("unnamed-unit", N_("{field} does not say in what unit: got {value}; accepted: {accepted}."), field,
                    text, "{names}", names=", ".join(UNITS))
    if not 0.0 <= value * UNITS[name] <= HIGHEST_MMOL_L:
        raise OutOfRange(field, text, N_("0 to 50 mmol/L"))
    return value * UNITS[name]


def carbonate_mol_kg(alkalinity_mol_kg: float, ph: float, *, temp_c: float = 25.0) -> float:
    """Return the total carbonate of a water with an alkalinity and a pH of its own.

    Parameters
    ----------
    alkalinity_mol_kg : float
        0 to 0.05 eq/kg.
    ph : float
        pH of the water as drawn, 4.5 to 10.

    Raises
    ------
    OutOfRange
        Also where the pH is too high for the alkalinity: then something other than carbonate holds it.

    Source
    ------
    stumm-morgan-1996, chapter 4: alkalinity = [HCO3] + 2 [CO3] + [OH] - [H].

    Examples
    --------
    >>> round(1000 * carbonate_mol_kg(0.003, 7.32), 2)
    3.3
    """
    number("alkalinity_mol_kg", alkalinity_mol_kg, N_("0 to 0.05 mol/kg"), low=0.0, high=0.05)
    activity = 10.0 ** -number("ph", ph, N_("4.5 to 10"), low=4.5, high=10.0)
    strength = alkalinity_mol_kg
    for _ in range(30):
        # One mol/kg of carbonate stands in, to ask the balance for its charge per mol.
        unit = recipe({CARBONIC: 1.0}, temp_c=temp_c, water=Water(alkalinity_mol_kg))
        species = Balance(unit, strength).species(activity)
        charge = species[f"{CARBONIC}:-1"] + 2.0 * species[f"{CARBONIC}:-2"]
        total = (alkalinity_mol_kg + species["H+"] - species["OH-"]) / charge
        if total < 0.0:
            raise OutOfRange("ph", ph, N_("a pH that carbonate alone can hold at this alkalinity"))
        before = strength
        strength = 0.5 * (alkalinity_mol_kg + species["H+"] + species["OH-"]
                          + total * (species[f"{CARBONIC}:-1"] + 4.0 * species[f"{CARBONIC}:-2"]))
        if abs(strength - before) <= SETTLED * strength:
            break
    return total

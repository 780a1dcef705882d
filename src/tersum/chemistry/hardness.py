"""Hardness of water: calcium and magnesium in the units that countries use. It is not alkalinity."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.catalogue.load import table
from tersum.chemistry.accepted import number
from tersum.errors import N_, UnknownName

MMOL = "mmol/L"


@dataclass(frozen=True)
class Hardness:
    """One hardness as the amount of calcium and magnesium, and as the calcium carbonate of the same amount."""

    mmol_l: float
    caco3_mg_l: float

    def in_unit(self, unit: str) -> float:
        """Return it in another unit.

        >>> round(hardness(1.0, "mmol/L").in_unit("dH"), 3)
        5.608
        """
        return self.mmol_l / mmol_l_per(unit)


def hardness(value: float, unit: str) -> Hardness:
    """Return a hardness.

    Parameters
    ----------
    value : float
        0 to 100 000, in ``unit``.
    unit : {"mmol/L", "dH", "fH", "Clark", "gr/US gal", "mg/L CaCO3"}
        Their other names, such as ``gpg``, are taken too.

    Source
    ------
    The units' definitions, ``hardness.toml``; molar masses of CaO and CaCO3, ``substances.toml``.

    Examples
    --------
    >>> german = hardness(1.0, "dH")
    >>> round(german.mmol_l, 4), round(german.caco3_mg_l, 2)
    (0.1783, 17.85)
    """
    number("hardness", value, N_("0 to 100 000"), low=0.0, high=1e5)
    mmol_l = value * mmol_l_per(unit)
    return Hardness(mmol_l, mmol_l * _molar_mass("calcium carbonate"))


def mmol_l_per(unit: str) -> float:
    """Return mmol/L of calcium and magnesium in one of a unit."""
    wanted = " ".join(unit.split()).casefold()
    if wanted == MMOL.casefold():
        return 1.0
    for name, entry in table("hardness").items():
        if wanted == name.casefold() or wanted in (one.casefold() for one in entry.labels["names"]):
            return entry["mass"].number / entry["volume"].number / _molar_mass(str(entry.labels["substance"]))
    raise UnknownName("unit", unit, (MMOL, *table("hardness")))


def _molar_mass(substance: str) -> float:
    return table("substances")[substance]["molar_mass"].number

"""The catalogue's weak acids and bases: dissociation constants from 0 to 60 °C, and what each substance puts in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from tersum.catalogue.load import Entry, Sourced, table
from tersum.errors import UnknownName

WATER = "water"
CARBONIC = "carbonic acid"
CO2_GAS = "carbon dioxide gas"
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
KELVIN = 273.15
REFERENCE_K = 298.15


@dataclass(frozen=True)
class Acid:
    """A weak acid or base: its charge with every proton on, and the terms of each pK in order of proton loss.

    A pK is a + b T + c/T + d log10 T + e/T^2 + f T^2. ``low_c`` to ``high_c`` is where it was measured (equal: at one
    temperature only), ``uncertainty`` the largest standard uncertainty of its pKs.
    """

    name: str
    top_charge: int
    terms: tuple[tuple[float, ...], ...]
    low_c: float
    high_c: float
    uncertainty: float
    sources: tuple[Sourced, ...]


@dataclass(frozen=True)
class Substance:
    """What one formula of a substance puts in: a weak acid or none, and the charge of its strong ions."""

    name: str
    acid: str
    counter_charge: int


@cache
def acid(name: str) -> Acid:
    """Return a weak acid or base of the catalogue.

    >>> acid("acetic acid").sources[0].source
    'robinson-stokes-1959'
    """
    if name not in acids():
        raise UnknownName("acid", name, acids())
    entry = table("equilibria")[name]
    steps = [entry[f"pk{step}"] for step in range(1, 5) if f"pk{step}" in entry]
    return Acid(name, entry.labels["top_charge"], tuple(_terms(entry, step) for step in range(1, len(steps) + 1)),
                max(float(one.details["low_c"]) for one in steps), min(float(one.details["high_c"]) for one in steps),
                max(float(one.details["uncertainty"]) for one in steps), tuple(steps))


@cache
def acids() -> tuple[str, ...]:
    """Return the names of all entries that have a constant, water and gas among them."""
    return tuple(name for name, entry in table("equilibria").items() if "top_charge" in entry.labels)


@cache
def substance(name: str) -> Substance:
    """Return what a substance puts into a solution.

    Raises
    ------
    UnknownName
        With the near names of the catalogue.

    Examples
    --------
    >>> substance("sodium acetate")
    Substance(name='sodium acetate', acid='acetic acid', counter_charge=1)
    """
    if name not in substances():
        raise UnknownName("substance", name, substances())
    labels = table("equilibria")[name].labels
    if "top_charge" in labels:
        return Substance(name, name, 0)
    return Substance(name, labels.get("acid", ""), labels["counter_charge"])


@cache
def substances() -> tuple[str, ...]:
    """Return the names that a composition may hold."""
    return tuple(name for name, entry in table("equilibria").items() if "role" not in entry.labels)


@cache
def molar_mass_g_mol(name: str) -> float:
    """Return the molar mass of a substance that a composition may hold.

    >>> molar_mass_g_mol("acetic acid"), molar_mass_g_mol("sodium acetate")
    (60.052, 82.034)
    """
    known = table("substances").get(name) or table("equilibria")[substance(name).name]
    return known["molar_mass"].number


def pk(name: str, temp_c: float, step: int = 1) -> float:
    """Return a pK at a temperature, 0 to 60 °C, at zero ionic strength.

    Examples
    --------
    >>> round(pk("acetic acid", 25.0), 3), round(pk("water", 60.0), 3), round(pk("carbonic acid", 25.0, 2), 3)
    (4.756, 13.016, 10.329)
    """
    kelvin = temp_c + KELVIN
    a, b, c, d, e, f = acid(name).terms[step - 1]
    return a + b * kelvin + c / kelvin + d * math.log10(kelvin) + e / kelvin**2 + f * kelvin**2


@lru_cache(maxsize=512)
def dissociation(name: str, temp_c: float) -> tuple[float, ...]:
    """Return the dissociation constants at a temperature, in order of proton loss, molal scale."""
    return tuple(10.0 ** -pk(name, temp_c, step) for step in range(1, len(acid(name).terms) + 1))


def _terms(entry: Entry, step: int) -> tuple[float, ...]:
    value: Sequence[float] | float = entry[f"pk{step}"].value
    if isinstance(value, Sequence):
        return (*(float(one) for one in value), *[0.0] * (6 - len(value)))
    if f"enthalpy{step}" not in entry:
        return (float(value), 0.0, 0.0, 0.0, 0.0, 0.0)
    # van 't Hoff: pK(T) = pK(25 °C) + H/(R ln 10) (1/T - 1/298.15).
    per_inverse = entry[f"enthalpy{step}"].number * 1000.0 / (GAS_CONSTANT * math.log(10.0))
    return (float(value) - per_inverse / REFERENCE_K, 0.0, per_inverse, 0.0, 0.0, 0.0)

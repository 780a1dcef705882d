"""Activity coefficients of ions in dilute solutions: Davies, with every constant fixed and stated."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from tersum.errors import N_, OutOfRange

# The usual bound of the Davies equation, and where this program stops altogether.
TRUSTED_IONIC_STRENGTH = 0.5
HIGHEST_IONIC_STRENGTH = 1.0
LOWEST_C, HIGHEST_C = 0.0, 60.0
KELVIN = 273.15
# Debye-Hueckel slope at 25 °C and relative permittivity of water; see Source of `debye_slope`.
SLOPE_AT_25C = 0.5092
PERMITTIVITY = (87.740, -0.40008, 9.398e-4, -1.410e-6)
# Debye-Hueckel size term at 25 °C, 1/(Å sqrt(mol/kg)).
SIZE_TERM_AT_25C = 0.3285


@dataclass(frozen=True)
class ActivityModel:
    """Which activity coefficients are used; the default is plain Davies with neutral species at 1.

    ``linear`` is the factor of the ionic strength in the Davies bracket (0.3; one textbook prints 0.2, 1.2 % lower
    coefficients at 0.1 mol/kg). ``neutral_linear`` gives neutral species log10 g = neutral_linear x I. ``ion_size_a``
    names species ("H+", "OH-", "carbonic acid:-1") that take the extended Debye-Hückel form with that ion size, in Å,
    instead of Davies: what a referee program does is stated here, not built in.
    """

    linear: float = 0.3
    neutral_linear: float = 0.0
    ion_size_a: Mapping[str, float] = field(default_factory=dict)


DAVIES = ActivityModel()


@lru_cache(maxsize=512)
def debye_slope(temp_c: float) -> float:
    """Return the Debye-Hückel slope A of water, (kg/mol)^0.5.

    Parameters
    ----------
    temp_c : float
        Temperature, 0 to 60 °C.

    Source
    ------
    davies-1962 for the form, A(25 °C) = 0.5092; the change with temperature is that of (permittivity x T)^-1.5 with
    the permittivity of malmberg-maryott-1956 (0 to 100 °C). The density of water is left out: A reads 0.3 % high at
    60 °C, 0.001 in log10 of a coefficient at 0.1 mol/kg.

    Examples
    --------
    >>> round(debye_slope(25.0), 4), round(debye_slope(0.0), 4), round(debye_slope(60.0), 4)
    (0.5092, 0.4896, 0.547)
    """
    if not LOWEST_C <= temp_c <= HIGHEST_C:
        raise OutOfRange("temp_c", temp_c, N_("0 to 60 °C"))
    there = permittivity(temp_c) * (temp_c + KELVIN)
    slope: float = SLOPE_AT_25C * (permittivity(25.0) * 298.15 / there) ** 1.5
    return slope


def permittivity(temp_c: float) -> float:
    """Return the relative permittivity of water at a temperature in °C (malmberg-maryott-1956, 0 to 100 °C)."""
    a, b, c, d = PERMITTIVITY
    return a + temp_c * (b + temp_c * (c + temp_c * d))


def log10_coefficient(ionic_strength: float, charge: int, *, slope: float = SLOPE_AT_25C,
                      model: ActivityModel = DAVIES, species: str = "") -> float:
    """Return log10 of the activity coefficient of one species.

    Parameters
    ----------
    ionic_strength : float
        mol/kg, 0 or more; trusted to 0.5.
    charge : int
        Charge of the species, with its sign; 0 for a neutral one.
    slope : float
        From :func:`debye_slope`.

    Source
    ------
    davies-1962: log10 g = -A z^2 (sqrt I/(1 + sqrt I) - 0.3 I). Good to about 2 % in g at 0.1 mol/kg and 8 % at 0.5
    (memory).

    Examples
    --------
    >>> round(10 ** log10_coefficient(0.1, 1), 4)
    0.7815
    """
    root = math.sqrt(ionic_strength)
    if charge == 0:
        return model.neutral_linear * ionic_strength
    size = model.ion_size_a.get(species)
    if size is not None:
        # The size term follows the slope: B goes as (permittivity x T)^-0.5.
        spread: float = SIZE_TERM_AT_25C * (slope / SLOPE_AT_25C) ** (1.0 / 3.0)
        return -slope * charge * charge * root / (1.0 + spread * size * root)
    return -slope * charge * charge * (root / (1.0 + root) - model.linear * ionic_strength)


def coefficient(ionic_strength: float, charge: int, *, slope: float = SLOPE_AT_25C) -> float:
    """Return the Davies activity coefficient itself.

    >>> round(coefficient(0.01, 1), 3)
    0.902
    """
    found: float = 10.0 ** log10_coefficient(ionic_strength, charge, slope=slope)
    return found

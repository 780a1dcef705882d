"""Strength: mass of active per volume of solution, and the other ways in which labels state it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tersum.catalogue.load import table
from tersum.chemistry.accepted import number
from tersum.chemistry.uncertainty import rectangular
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.units import mg_l_from_ww

UNITS = ("% w/w", "% w/v", "g/L", "mg/L")
_DENSITY = N_("0.5 to 3 kg/L")
_PERCENT = N_("above 0, up to 100 %")
_ABOVE_0 = N_("above 0")


# Common names of the alcohols that mix with water in any ratio; all of them contract with it.
_ALCOHOLS = frozenset((
    "alcohol", "denatured alcohol", "ethyl alcohol", "etoh", "spirit", "methylated spirit", "methylated spirits",
    "methanol", "methyl alcohol", "meoh", "wood alcohol", "propanol", "propanols", "propan-1-ol", "propan-2-ol",
    "1-propanol", "2-propanol", "n-propanol", "isopropanol", "iso-propanol", "propyl alcohol", "n-propyl alcohol",
    "isopropyl alcohol", "rubbing alcohol", "ipa", "ethanol", "bioethanol", "tert-butanol"))
_ADDED = re.compile(r"\([^)]*\)|\bdenatured(?! alcohol)\b|[0-9]+(?:[.,][0-9]+)? ?%(?: ?[wv]/[wv])?|[,;]")


@dataclass(frozen=True)
class Active:
    """One active in a concentrate: mg/L at the temperature of its density, and the standard uncertainty of that.

    ``contracts`` is true for an alcohol: volumes of it and of water do not add up.
    """

    name: str
    strength_mg_l: float
    standard_uncertainty_mg_l: float = 0.0
    contracts: bool = False

    @property
    def strength_g_l(self) -> float:
        """The same strength in g/L."""
        return self.strength_mg_l / 1000.0


def active(name: str, strength: float, unit: str, *, density_kg_l: float | None = None,
           tolerance_frac: float = 0.0) -> Active:
    """Return one active of a concentrate from what its label states.

    Parameters
    ----------
    strength : float
        In ``unit``, above 0; percentages up to 100.
    unit : {"% w/w", "% w/v", "g/L", "mg/L"}
        ``% w/w`` needs the density.
    density_kg_l : float, optional
        Density of the concentrate, 0.5 to 3 kg/L, at the temperature at which it is measured out.
    tolerance_frac : float
        Half-width of what the label lets the strength be, as a fraction of it, 0 to 0.5; taken as rectangular.

    Source
    ------
    Definition: 10 g/L per % w/w and kg/L.

    Examples
    --------
    >>> active("peracetic acid", 4.0, "% w/w", density_kg_l=1.09).strength_mg_l
    43600.0
    """
    if unit not in UNITS:
        raise UnknownName("unit", unit, UNITS)
    number("strength", strength, _PERCENT if unit[0] == "%" else _ABOVE_0, above=0.0,
           high=100.0 if unit[0] == "%" else 2e6)
    number("tolerance_frac", tolerance_frac, N_("0 to 0.5"), low=0.0, high=0.5)
    if unit == "% w/w":
        mg_l = mg_l_from_ww(strength, number("density_kg_l", density_kg_l, _DENSITY, low=0.5, high=3.0))
    else:
        mg_l = strength * {"% w/v": 1e4, "g/L": 1e3, "mg/L": 1.0}[unit]
    return Active(name, mg_l, rectangular(mg_l * tolerance_frac), contracts=is_alcohol(name))


def is_alcohol(name: str) -> bool:
    """Tell whether a name is that of an alcohol whose volumes contract with water, also by its common names.

    A name that is neither in the catalogue nor a common one is taken as none.

    >>> is_alcohol("ethanol"), is_alcohol("Isopropyl alcohol (70 %)"), is_alcohol("benzyl alcohol")
    (True, True, False)
    """
    bare = " ".join(_ADDED.sub(" ", name.casefold()).split())
    entry = table("substances").get(name.strip().casefold()) or table("substances").get(bare)
    return bare in _ALCOHOLS or (entry is not None and entry.labels["family"] == "alcohol")


def wv_from_ww(strength_ww_pct: float, density_kg_l: float) -> float:
    """Return % w/v (g in 100 mL) from % w/w (g in 100 g).

    >>> round(wv_from_ww(30.0, 1.11), 2)
    33.3
    """
    number("strength_ww_pct", strength_ww_pct, _PERCENT, above=0.0, high=100.0)
    return strength_ww_pct * number("density_kg_l", density_kg_l, _DENSITY, low=0.5, high=3.0)


def ww_from_vv(strength_vv_pct: float, *, pure_kg_m3: float, solution_kg_m3: float) -> float:
    """Return % w/w from % v/v, as alcohols are labelled; both densities at the same temperature, usually 20 °C.

    Source
    ------
    oiml-r22-1975, definition of the two strengths.

    Examples
    --------
    >>> round(ww_from_vv(70.0, pure_kg_m3=789.24, solution_kg_m3=885.5), 2)
    62.39
    """
    number("strength_vv_pct", strength_vv_pct, _PERCENT, above=0.0, high=100.0)
    pure = number("pure_kg_m3", pure_kg_m3, N_("500 to 3000 kg/m3"), low=500.0, high=3000.0)
    by_mass = strength_vv_pct * pure / number("solution_kg_m3", solution_kg_m3, N_("500 to 3000 kg/m3"), low=500.0,
                                              high=3000.0)
    if by_mass > 100.0 + 1e-9:
        raise OutOfRange("strength_vv_pct", strength_vv_pct, N_("no more by mass than the solution weighs"))
    return by_mass


def mg_kg_from_mg_l(strength_mg_l: float, density_kg_l: float) -> float:
    """Return mg/kg ("ppm by mass") from mg/L; the two differ by the density.

    >>> round(mg_kg_from_mg_l(2000.0, 1.11), 1)
    1801.8
    """
    number("strength_mg_l", strength_mg_l, N_("0 or more"), low=0.0)
    return strength_mg_l / number("density_kg_l", density_kg_l, _DENSITY, low=0.5, high=3.0)


def volume_strength(peroxide_g_l: float, *, molar_volume_l: float | None = None) -> float:
    """Return the "volume strength" of hydrogen peroxide: volumes of oxygen that one volume of it sets free.

    Two moles give one of oxygen, counted as an ideal gas at 0 °C and 101.325 kPa unless another molar volume is given.

    Source
    ------
    bp-peroxide-6: 6 % w/v is about 20 volumes.

    Examples
    --------
    >>> round(volume_strength(60.0), 1)
    19.8
    """
    number("peroxide_g_l", peroxide_g_l, N_("0 to 1500 g/L"), low=0.0, high=1500.0)
    molar_mass = table("substances")["hydrogen peroxide"]["molar_mass"].number
    volume = table("constants")["ideal gas"]["molar_volume"].number if molar_volume_l is None else \
        number("molar_volume_l", molar_volume_l, N_("above 0 L/mol"), above=0.0)
    return peroxide_g_l / molar_mass / 2.0 * volume


def peroxide_g_l_of_volumes(volumes: float) -> float:
    """Return hydrogen peroxide, g/L, from its "volume strength"; the inverse of :func:`volume_strength`.

    >>> round(peroxide_g_l_of_volumes(volume_strength(60.0)), 6)
    60.0
    """
    return number("volumes", volumes, N_("0 to 500 volumes"), low=0.0, high=500.0) / volume_strength(1.0)


def powder_g_per_l(target_wv_pct: float, powder_ww_pct: float) -> float:
    """Return grams of powder for one litre made up to volume.

    Source
    ------
    cdc-gics-2019, appendix E, example 2: 35 % powder to 0.5 % takes 14.3 g/L.

    Examples
    --------
    >>> round(powder_g_per_l(0.5, 35.0), 1)
    14.3
    """
    number("powder_ww_pct", powder_ww_pct, _PERCENT, above=0.0, high=100.0)
    number("target_wv_pct", target_wv_pct, N_("above 0, and weaker than the powder"), above=0.0, high=powder_ww_pct)
    return 10.0 * target_wv_pct / (powder_ww_pct / 100.0)

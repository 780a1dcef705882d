"""Reduction against strength at one time on a dried carrier, and what soil does to each active there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, real, reals
from tersum.catalogue import load
from tersum.catalogue.load import Entry
from tersum.errors import N_, OutOfRange, UnknownName

NO_SOIL = "none"


@dataclass(frozen=True)
class SoilFactor:
    """How many times stronger a solution had to be in a soil for the same half of its effect.

    It shows how actives differ; it is one organism on one surface at one time and no factor to mix by.
    """

    factor: float
    clean_pct: float
    soiled_pct: float
    source: str
    where: str
    known: str


def logistic_dose(strength: ArrayLike, *, top: float, bottom: float, slope: float, half_strength: float) -> Array:
    """Return the log10 reduction of a four-parameter logistic in strength, at the fixed time it was fitted for.

    Parameters
    ----------
    strength : array_like
        In the unit of ``half_strength``, 0 or more.
    top, bottom : float
        Reduction at endless strength and at none, log10.
    slope, half_strength : float
        Steepness, and the strength of half the effect; above 0.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Hilgren et al. 2007, Appl. Environ. Microbiol. 73:6370, table 2: log10 reduction = top + (bottom - top) /
    (1 + (C / LR50)^slope). Holds between the tested strengths, for one organism, carrier, soil and time.

    Examples
    --------
    >>> logistic_dose(0.506, top=6.59, bottom=-0.011, slope=3.168, half_strength=0.506).round(2).item()
    3.29
    """
    share = reals("strength", strength, at_least=0.0) / real("half_strength", half_strength, above=0.0)
    high, low = real("top", top), real("bottom", bottom)
    return np.asarray(high + (low - high) / (1.0 + share ** real("slope", slope, above=0.0)))


def soil_factor(active: str, soil: str, *, at_c: float = 20.0) -> SoilFactor:
    """Return what a soil did to an active in the one set of figures at hand.

    Parameters
    ----------
    active, soil : str
        As ``sodium hypochlorite`` and ``whole milk``.
    at_c : float
        A tested temperature, °C.

    Raises
    ------
    UnknownName
        For an active or soil that was not tested.
    OutOfRange
        For another temperature, and where the effect was lost so far that no curve could be fitted.

    Source
    ------
    Hilgren et al. 2007, table 2: spores of B. anthracis dried on steel, 10 min.

    Examples
    --------
    >>> round(soil_factor("sodium hypochlorite", "whole milk").factor)
    40
    >>> round(soil_factor("peracetic acid", "egg yolk").factor, 1)
    1.7
    """
    found = {one.labels["soil"]: one for one in _entries(active) if _at(one, at_c)}
    if soil not in found:
        raise UnknownName("soil", soil, tuple(found))
    if "no_model" in found[soil].labels:
        raise OutOfRange("soil", soil, N_("a soil for which a curve could be fitted; here the effect was lost"))
    if NO_SOIL not in found:
        raise OutOfRange("at_c", at_c, N_("a temperature at which this active was tested without soil"))
    clean, soiled = found[NO_SOIL]["lr50"], found[soil]["lr50"]
    return SoilFactor(soiled.number / clean.number, clean.number, soiled.number, soiled.source, soiled.where,
                      soiled.known)


def _entries(active: str) -> list[Entry]:
    entries = [one for one in load.table("carrier_dose").values() if one.labels["active"] == active]
    if not entries:
        raise UnknownName("active", active, tuple({str(one.labels["active"]) for one in
                                                   load.table("carrier_dose").values()}))
    return entries


def _at(entry: Entry, at_c: float) -> bool:
    return "lr50" not in entry or entry["lr50"].details["at_c"] == at_c

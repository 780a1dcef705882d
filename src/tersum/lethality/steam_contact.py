"""What seconds of steam on a surface can amount to: transient conduction, with its assumptions in the result."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import erfcx

from tersum.arguments import Array, real, reals
from tersum.catalogue import load
from tersum.catalogue.load import Sourced
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.lethality.heat import Dose, dose
from tersum.lethality.heat_trace import BOILING_C, Logging, heat_dose

STEAM = "steam that condenses"
_SAMPLES = 4001
_TERMS = 60
_HALVINGS = 60
# Fourier number below which the far side of a sheet is not felt yet: the error of the half-space is then below 1e-5.
_NOT_FELT = 0.05


@dataclass(frozen=True)
class Material:
    """Conductivity W/(m K), density kg/m3, heat capacity J/(kg K), and how they are known."""

    name: str
    stands_for: str
    conductivity: float
    density: float
    heat_capacity: float
    known: str


@dataclass(frozen=True)
class SteamContact:
    """What a surface reaches under steam, with little and with much heat transfer: each pair is low and high.

    ``surface_c`` at the end of the dwell; ``dose`` until then, in the unit of ``counted``; what follows while it cools
    is not counted. ``hot_enough`` is False where even the upper end never comes to the cut-off of the dose.
    """

    material: Material
    dwell_s: float
    start_c: float
    steam_c: float
    thickness_mm: float | None
    transfer_w_m2k: tuple[float, float]
    surface_c: tuple[float, float]
    dose: tuple[float, float]
    counted: Dose

    @property
    def hot_enough(self) -> bool:
        """Whether anything is earned at all."""
        return self.dose[1] > 0.0


def materials() -> tuple[str, ...]:
    """Return the names of the materials held."""
    return tuple(name for name in load.table("heated_materials") if name != STEAM)


def material(name: str) -> Material:
    """Return a material by name.

    >>> material("glass").known
    'memory'
    """
    if name not in materials():
        raise UnknownName("material", name, materials())
    entry = load.table("heated_materials")[name]
    conductivity, density, heat_capacity = entry["conduction"].numbers
    return Material(name, str(entry.labels["stands_for"]), conductivity, density, heat_capacity,
                    entry["conduction"].known)


def transfer() -> Sourced:
    """Return the two coefficients of heat transfer that are assumed, W/(m2 K)."""
    return load.table("heated_materials")[STEAM]["transfer"]


def dwell_of_pass_s(footprint_cm: float, speed_cm_s: float) -> float:
    """Return how long each spot is under a moving nozzle, s.

    >>> dwell_of_pass_s(5.0, 1.0)
    5.0
    """
    return real("footprint_cm", footprint_cm, above=0.0) / real("speed_cm_s", speed_cm_s, above=0.0)


def surface_temperature(of: Material, time_s: ArrayLike, *, transfer_w_m2k: float, start_c: float = 20.0,
                        steam_c: float = BOILING_C, thickness_mm: float | None = None) -> Array:
    """Return the temperature of a surface under steam, °C.

    Parameters
    ----------
    of : Material
        From :func:`material`.
    time_s : array_like
        Seconds under steam, 0 or more.
    transfer_w_m2k : float
        From the steam to the surface, W/(m2 K), above 0.
    start_c, steam_c : float
        Of the surface before, and of the steam that condenses on it, °C; the second above the first.
    thickness_mm : float, optional
        Of a sheet with nothing behind it that takes up heat; None: as thick as matters.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Carslaw & Jaeger, Conduction of Heat in Solids, half-space and slab with a surface resistance (memory): for the
    half-space share = 1 - exp(x^2) erfc(x), x = h sqrt(a t)/k; for the slab the series over the roots of
    z tan z = h L/k. Even heating, dry and clean surface, no condensate film, properties that do not change.

    Examples
    --------
    >>> surface_temperature(material("hard plastic"), [1.0, 5.0, 10.0], transfer_w_m2k=1000.0).round().tolist()
    [80.0, 90.0, 93.0]
    """
    seconds = np.atleast_1d(reals("time_s", time_s, at_least=0.0))
    start, steam = real("start_c", start_c, at_least=-40.0), real("steam_c", steam_c, at_most=150.0)
    if steam <= start:
        raise OutOfRange("steam_c", steam, N_("above the temperature of the surface, {start:g} °C"), start=start)
    coefficient = real("transfer_w_m2k", transfer_w_m2k, above=0.0)
    diffusivity = of.conductivity / (of.density * of.heat_capacity)
    left = erfcx(coefficient * np.sqrt(diffusivity * seconds) / of.conductivity)
    if thickness_mm is not None:
        deep = real("thickness_mm", thickness_mm, above=0.0) / 1000.0
        fourier = diffusivity * seconds / deep**2
        felt = fourier > _NOT_FELT
        left[felt] = _slab(coefficient * deep / of.conductivity, fourier[felt])
    return np.asarray(steam - (steam - start) * left)


def steam_contact(name: str, dwell_s: float, *, transfer_w_m2k: Sequence[float] | None = None, start_c: float = 20.0,
                  steam_c: float = BOILING_C, thickness_mm: float | None = None) -> SteamContact:
    """Return what a dwell of steam on a material can amount to, as an interval over the heat transfer.

    Parameters
    ----------
    name : str
        Of a material, from :func:`materials`.
    dwell_s : float
        Under steam, seconds, above 0 and up to 600.
    transfer_w_m2k : (float, float), optional
        Low and high; those of the catalogue where left out.
    start_c, steam_c, thickness_mm
        As for :func:`surface_temperature`.

    Source
    ------
    As :func:`surface_temperature`; the dose is integrated along that curve. It says what heat could arrive, never what
    did: that is measured by a thermocouple on the surface.

    Examples
    --------
    >>> found = steam_contact("aluminium", 5.0)
    >>> [round(one) for one in found.surface_c], found.hot_enough
    ([28, 51], False)
    """
    of, seconds = material(name), real("dwell_s", dwell_s, above=0.0, at_most=600.0)
    ends = transfer().numbers if transfer_w_m2k is None else tuple(transfer_w_m2k)
    if len(ends) != 2 or not real("transfer_w_m2k", ends[0], above=0.0) <= real("transfer_w_m2k", ends[1]):
        raise OutOfRange("transfer_w_m2k", list(ends), N_("a low end and a high end not below it"))
    times = seconds * np.linspace(0.0, 1.0, _SAMPLES) ** 2  # closer together where it rises fastest
    counted, whole = dose("A0"), Logging(longest_gap_s=seconds)
    curves = [surface_temperature(of, times, transfer_w_m2k=one, start_c=start_c, steam_c=steam_c,
                                  thickness_mm=thickness_mm) for one in ends]
    low, high = (heat_dose(times, curve, counted=counted, logging=whole).dose for curve in curves)
    return SteamContact(of, seconds, float(start_c), float(steam_c), thickness_mm, (float(ends[0]), float(ends[1])),
                        (float(curves[0][-1]), float(curves[1][-1])), (low, high), counted)


def _slab(biot: float, fourier: Array) -> Array:
    """Return the share of the difference that is left at the heated face of a slab."""
    low = np.arange(_TERMS) * math.pi + 1e-12
    high = low + math.pi / 2.0 - 2e-12
    first = low.copy()
    for _ in range(_HALVINGS):  # z tan z rises from 0 to infinity in each of these intervals
        middle = (first + high) / 2.0
        below = middle * np.tan(middle) < biot
        first, high = np.where(below, middle, first), np.where(below, high, middle)
    roots = (first + high) / 2.0
    weights = 4.0 * np.sin(roots) / (2.0 * roots + np.sin(2.0 * roots)) * np.cos(roots)
    return np.asarray((weights * np.exp(-roots**2 * fourier[:, None])).sum(axis=1))

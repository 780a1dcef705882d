"""Moist heat at one temperature: times for one log, z, doses A0 and F0, and how long to hold."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, real, reals, row
from tersum.catalogue import load
from tersum.errors import N_, OutOfRange, UnknownName

LN10 = math.log(10.0)
# A time per log measured at some temperatures says little this far beyond them (Thomas et al. 1966, abstract).
FURTHEST_BEYOND_K = 5.6


@dataclass(frozen=True)
class Dose:
    """How a dose of heat is counted; kept with every result, since F0 at 121.0 and 121.11 °C differ by 2.5 %.

    ``unit_s`` is the unit of the dose in seconds (1 for A0, 60 for F0). Below ``cut_off_c`` nothing is counted;
    minus infinity where there is none.
    """

    name: str
    reference_c: float
    z_k: float
    unit: str
    unit_s: float
    cut_off_c: float

    def __post_init__(self) -> None:
        real("reference_c", self.reference_c)
        real("z_k", self.z_k, above=0.0)
        real("unit_s", self.unit_s, above=0.0)


@dataclass(frozen=True)
class HeatClass:
    """What a dose of A0 is asked of, and how that is known."""

    dose: float
    asked_of: str
    known: str


def dose(name: str, *, cut_off_c: float | None = None, reference_c: float | None = None) -> Dose:
    """Return ``A0`` or ``F0`` as its source counts it, or with another cut-off or reference temperature.

    Examples
    --------
    >>> dose("A0").cut_off_c, dose("F0", reference_c=121.11).reference_c
    (65.0, 121.11)
    """
    known = ("A0", "F0")
    if name not in known:
        raise UnknownName("dose", name, known)
    entry = load.table("heat_doses")[name]
    unit = str(entry.labels["unit"])
    low = entry["cut_off"].number if "cut_off" in entry else -math.inf
    return Dose(name, entry["reference"].number if reference_c is None else real("reference_c", reference_c),
                entry["z"].number, unit, {"s": 1.0, "min": 60.0}[unit], low if cut_off_c is None else cut_off_c)


def a0_classes() -> tuple[HeatClass, ...]:
    """Return the classes of A0, smallest dose first."""
    entries = [one for name, one in load.table("heat_doses").items() if "dose" in one]
    return tuple(HeatClass(one["dose"].number, str(one.labels["asked_of"]), one["dose"].known)
                 for one in sorted(entries, key=lambda one: one["dose"].number))


def dose_at(temp_c: ArrayLike, time_s: ArrayLike, *, counted: Dose) -> Array:
    """Return the dose of a time at one temperature, in the unit of the dose.

    Parameters
    ----------
    temp_c : array_like
        Of the surface, wet, °C.
    time_s : array_like
        Seconds, 0 or more.
    counted : Dose
        From :func:`dose`.

    Source
    ------
    EN ISO 15883-1, annex B.1: A0 = sum of 10^((T - 80)/10) seconds; F0 likewise at 121 °C in minutes. It counts heat in
    a film of water: dry air of the same temperature earns nothing.

    Examples
    --------
    >>> dose_at([70.0, 80.0, 90.0], [6000.0, 600.0, 60.0], counted=dose("A0")).tolist()
    [600.0, 600.0, 600.0]
    """
    temps, seconds = reals("temp_c", temp_c), reals("time_s", time_s, at_least=0.0)
    rate = np.where(temps >= counted.cut_off_c, 10.0 ** ((temps - counted.reference_c) / counted.z_k), 0.0)
    return np.asarray(rate * seconds / counted.unit_s)


def hold_s(wanted: ArrayLike, temp_c: ArrayLike, *, counted: Dose) -> Array:
    """Return how long a surface has to be held at a temperature for a dose, seconds.

    Parameters
    ----------
    wanted : array_like
        The dose, in its unit, 0 or more.
    temp_c : array_like
        Of the surface, °C, at or above the cut-off: below it no time earns anything.

    Raises
    ------
    OutOfRange
        Below the cut-off.

    Examples
    --------
    >>> hold_s(600.0, [80.0, 90.0, 100.0], counted=dose("A0")).round(1).tolist()
    [600.0, 60.0, 6.0]
    """
    amount = reals("wanted", wanted, at_least=0.0)
    temps = reals("temp_c", temp_c)
    if np.any(temps < counted.cut_off_c):
        raise OutOfRange("temp_c", float(temps[temps < counted.cut_off_c].flat[0]),
                         N_("{low:g} °C or more, below which nothing is counted"), low=counted.cut_off_c)
    return np.asarray(amount * counted.unit_s * 10.0 ** ((counted.reference_c - temps) / counted.z_k))


def at_reference(amount: ArrayLike, *, counted: Dose, reference_c: float) -> Array:
    """Return a dose as it reads with another reference temperature.

    Examples
    --------
    >>> at_reference(15.0, counted=dose("F0"), reference_c=121.11).round(3).item()
    14.625
    """
    shift = (counted.reference_c - real("reference_c", reference_c)) / counted.z_k
    return np.asarray(reals("amount", amount, at_least=0.0) * 10.0**shift)


def sensor_factor(error_k: ArrayLike, *, counted: Dose) -> Array:
    """Return by what factor a dose is wrong where a sensor reads ``error_k`` too high.

    Examples
    --------
    >>> sensor_factor([1.0, -1.0], counted=dose("A0")).round(3).tolist()
    [1.259, 0.794]
    """
    return np.asarray(10.0 ** (reals("error_k", error_k) / counted.z_k))


def z_value(d_cool: float, d_hot: float, *, cool_c: float, hot_c: float) -> float:
    """Return z, K: how many degrees make the time for one log a tenth.

    Parameters
    ----------
    d_cool, d_hot : float
        Time for one log10 at each temperature, one unit, above 0, the cooler one longer.
    cool_c, hot_c : float
        The temperatures, °C, the second above the first.

    Examples
    --------
    >>> round(z_value(18.0, 1.4, cool_c=98.0, hot_c=105.0), 2)
    6.31
    """
    longer, shorter = real("d_cool", d_cool, above=0.0), real("d_hot", d_hot, above=0.0)
    span = real("hot_c", hot_c) - real("cool_c", cool_c)
    if span <= 0.0:
        raise OutOfRange("hot_c", float(hot_c), N_("above the cooler temperature"))
    if shorter >= longer:
        raise OutOfRange("d_hot", shorter, N_("shorter than at the cooler temperature"))
    return span / math.log10(longer / shorter)


def z_from_series(temp_c: ArrayLike, d: ArrayLike) -> float:
    """Return z, K, from times for one log at several temperatures, by least squares on their logs.

    Parameters
    ----------
    temp_c, d : array_like, shape (n,)
        Two temperatures or more, °C, and the time for one log at each, above 0.

    Examples
    --------
    >>> rates = np.array([0.52, 1.33, 3.65, 17.49])
    >>> round(z_from_series([55.6, 58.1, 60.6, 62.6], np.log(10) / rates), 2)
    4.73
    """
    temps, logs = row("temp_c", temp_c, count=2), np.log10(row("d", d, count=2, above=0.0))
    if temps.size != logs.size:
        raise OutOfRange("d", logs.size, N_("as many as temperatures ({count})"), count=temps.size)
    across = temps - temps.mean()
    if not np.any(across):
        raise OutOfRange("temp_c", float(temps[0]), N_("at least two different temperatures"))
    slope = float(across @ (logs - logs.mean()) / (across @ across))
    if slope >= 0.0:
        raise OutOfRange("d", float(10.0 ** logs[-1]), N_("times that fall as it gets hotter"))
    return -1.0 / slope


def d_at(d_reference: ArrayLike, temp_c: ArrayLike, *, reference_c: float, z_k: float,
         measured_c: tuple[float, float]) -> Array:
    """Return the time for one log at a temperature near those it was measured at, in the unit of ``d_reference``.

    Raises
    ------
    OutOfRange
        More than 5.6 K beyond the measured temperatures.

    Source
    ------
    D(T) = D_ref 10^((T_ref - T)/z). Thomas et al. 1966, abstract: not beyond 5.6 °C from the data.

    Examples
    --------
    >>> d_at(2.0 / 6.0, [70.0, 72.5], reference_c=70.0, z_k=7.5, measured_c=(60.0, 72.0)).round(3).tolist()
    [0.333, 0.155]
    """
    low, high = (real("measured_c", one) for one in measured_c)
    temps = reals("temp_c", temp_c)
    far = (temps < low - FURTHEST_BEYOND_K) | (temps > high + FURTHEST_BEYOND_K)
    if np.any(far):
        raise OutOfRange("temp_c", float(temps[far].flat[0]), N_("{low:g} to {high:g} °C, near what was measured"),
                         low=low - FURTHEST_BEYOND_K, high=high + FURTHEST_BEYOND_K)
    shift = (real("reference_c", reference_c) - temps) / real("z_k", z_k, above=0.0)
    return np.asarray(reals("d_reference", d_reference, above=0.0) * 10.0**shift)


def d_from_rate(rate: ArrayLike) -> Array:
    """Return the time for one log of a rate in natural logs, D = ln 10 / rate.

    Examples
    --------
    >>> d_from_rate([0.52, 17.49]).round(3).tolist()
    [4.428, 0.132]
    """
    return np.asarray(LN10 / reals("rate", rate, above=0.0))


def logs_in(time: ArrayLike, d: ArrayLike) -> Array:
    """Return the log10 reduction of a time, both in one unit; a straight line, without shoulder or tail.

    Examples
    --------
    >>> logs_in(600.0, [0.35 * 3600, 0.59 * 3600]).round(2).tolist()
    [0.48, 0.28]
    """
    return np.asarray(reals("time", time, at_least=0.0) / reals("d", d, above=0.0))


def d_from_time(time: ArrayLike, log10: ArrayLike) -> Array:
    """Return the time for one log of a time that gave ``log10`` of them, along a straight line.

    Examples
    --------
    >>> d_from_time(2.0, 6.0).round(4).item()
    0.3333
    """
    return np.asarray(reals("time", time, above=0.0) / reals("log10", log10, above=0.0))

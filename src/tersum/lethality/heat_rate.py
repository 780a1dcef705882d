"""What each interval of a temperature trace earns: straight lines between samples integrated exactly, or trapezoids."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tersum.arguments import Array
from tersum.lethality.heat import Dose

STRAIGHT_LINES = "straight-lines"
TRAPEZOID = "trapezoid"
_NEAR = 1e-3  # natural-log steps of the rate below which the series for the logarithmic mean is used


@dataclass(frozen=True)
class Credit:
    """Dose of each interval in equivalent seconds at the reference, seconds above the cut-off, seconds above the cap.

    ``above_cap_s`` is None where no sample lies above the cap.
    """

    doses: Array
    above_s: Array
    above_cap_s: Array | None


def credit(counted: Dose, seconds: Array, temps: Array, *, cap_c: float | None, method: str) -> Credit:
    """Return what each interval earns; one temperature more than intervals, all checked beforehand.

    Source
    ------
    EN ISO 15883-1, annex B.1: the dose is the integral of 10^((T - T_ref)/z). Along a straight line from rate r1 to
    rate r2 that is the interval times the logarithmic mean (r2 - r1)/ln(r2/r1), which never exceeds the trapezoid. Of
    an interval that crosses the cut-off only the part above it counts; above the cap the rate is that of the cap.
    """
    coolest, hottest = float(temps.min()), float(temps.max())
    cap = math.inf if cap_c is None else cap_c
    if hottest < counted.cut_off_c:
        none = np.zeros_like(seconds)
        return Credit(none, none, None)
    capped = hottest > cap
    rates = _rates(counted, np.minimum(temps, cap) if capped else temps)
    above_s = seconds if coolest >= counted.cut_off_c else seconds * _share_above(temps, counted.cut_off_c)
    above_cap_s = seconds * _share_above(temps, cap) if capped else None
    if method == TRAPEZOID:
        rates = np.where(temps >= counted.cut_off_c, rates, 0.0)
        return Credit(seconds * (rates[:-1] + rates[1:]) / 2.0, above_s, above_cap_s)
    doses = _log_mean(rates, temps, counted.z_k)
    doses *= seconds
    if capped or coolest < counted.cut_off_c:
        crosses = _crossing(temps, counted.cut_off_c) | (_crossing(temps, cap) if capped else False)
        inside = (np.minimum(temps[:-1], temps[1:]) >= counted.cut_off_c)
        doses = np.where(inside, doses, 0.0)
        if capped:
            both = np.minimum(temps[:-1], temps[1:]) >= cap
            doses = np.where(both, seconds * rates[:-1], doses)
        if np.any(crosses):
            doses[crosses] = _bent(counted, cap, seconds[crosses], temps[:-1][crosses], temps[1:][crosses])
    return Credit(doses, above_s, above_cap_s)


def _rates(counted: Dose, temps: Array) -> Array:
    exponent = temps - counted.reference_c
    exponent *= math.log(10.0) / counted.z_k
    return np.exp(exponent, out=exponent)


def _log_mean(rates: Array, temps: Array, z_k: float) -> Array:
    """Return the logarithmic mean of neighbouring rates."""
    steps = np.diff(temps)
    steps *= math.log(10.0) / z_k
    means = rates[1:] - rates[:-1]
    near = np.abs(steps) < _NEAR
    if near.any():
        steps[near] = 1.0
        means /= steps
        small = np.flatnonzero(near)
        low, high = rates[small], rates[small + 1]
        square = np.log(high / low) ** 2
        means[small] = np.sqrt(low * high) * (1.0 + square / 24.0)
    else:
        means /= steps
    return means


def _bent(counted: Dose, cap: float, seconds: Array, first: Array, last: Array) -> Array:
    """Return what intervals earn that cross the cut-off or the cap, from the antiderivative of the rate."""
    return np.asarray(seconds * (_antiderivative(counted, cap, last) - _antiderivative(counted, cap, first))
                      / (last - first))


def _antiderivative(counted: Dose, cap: float, temps: Array) -> Array:
    per = counted.z_k / math.log(10.0)
    low = max(counted.cut_off_c, -1e3)
    held = np.clip(temps, low, cap)
    rate = 10.0 ** ((held - counted.reference_c) / counted.z_k)
    at_low = 10.0 ** ((low - counted.reference_c) / counted.z_k)
    found = per * (rate - at_low)
    return np.asarray(found if math.isinf(cap) else found + np.maximum(temps - cap, 0.0) * rate)


def _crossing(temps: Array, level: float) -> np.ndarray:
    above = temps >= level
    found: np.ndarray = above[:-1] != above[1:]
    return found


def _share_above(temps: Array, level: float) -> Array:
    """Return the share of each interval that lies at or above a level."""
    low, high = np.minimum(temps[:-1], temps[1:]), np.maximum(temps[:-1], temps[1:])
    span = np.where(high > low, high - low, 1.0)
    return np.asarray(np.where(low >= level, 1.0, np.clip((high - level) / span, 0.0, 1.0)))

"""Contact time in a solution: what strength and time come to, also while it fades, and when no time will do."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gamma, gammainc, gammaincinv

from tersum.arguments import Array, real, reals, together
from tersum.errors import TersumError

LN10 = math.log(10.0)


@dataclass(frozen=True)
class Kinetics:
    """One law of inactivation in a solution: ``log10 reduction = rate strength^exponent time^power / ln 10``.

    ``power`` 1 is Chick-Watson; above 1 the curve has a shoulder, below 1 a tail (Hom). ``fading_per_min`` is the
    first-order loss of strength during contact. ``rate`` is per minute to the ``power``, per (mg/L) to the
    ``exponent``, natural logs.
    """

    rate: float
    exponent: float = 1.0
    power: float = 1.0
    fading_per_min: float = 0.0

    def __post_init__(self) -> None:
        faults: list[TersumError] = []
        for field, value, above in (("rate", self.rate, True), ("exponent", self.exponent, False),
                                    ("power", self.power, True), ("fading_per_min", self.fading_per_min, False)):
            try:
                real(field, value, above=0.0) if above else real(field, value, at_least=0.0)
            except TersumError as fault:
                faults.append(fault)
        together(faults)


@dataclass(frozen=True)
class Wait:
    """How long it takes; NaN where ``reachable`` is False: then no time will do, however long.

    ``most`` is what an endless wait would come to, in the unit of the target; infinite where nothing fades.
    """

    contact_min: Array
    reachable: NDArray[np.bool_]
    most: Array


def log10_reduction(kinetics: Kinetics, strength_mg_l: ArrayLike, contact_min: ArrayLike) -> Array:
    """Return the log10 reduction that a law predicts for a strength and a time.

    Parameters
    ----------
    kinetics : Kinetics
        Fitted to the organism, the matrix and the temperature in question; it holds nowhere else.
    strength_mg_l : array_like
        At the start of the contact, after any soil has taken its share, mg/L, 0 or more.
    contact_min : array_like
        Minutes, 0 or more.

    Returns
    -------
    ndarray
        Shape of the arguments broadcast. More time never lowers it.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Chick 1908, Watson 1908, Hom 1972 (forms: memory). With a fading strength the law is taken in its rate form,
    d log/dt = rate power strength^exponent t^(power-1) / ln 10, and integrated; for power 1 that is strength^exponent
    times time of a first-order residual. Suspension in clean water; a surface with soil that dries takes longer.

    Examples
    --------
    >>> log10_reduction(Kinetics(rate=0.46), 5.0, [1.0, 2.0]).round(3).tolist()
    [0.999, 1.998]
    """
    strength = reals("strength_mg_l", strength_mg_l, at_least=0.0)
    minutes = reals("contact_min", contact_min, at_least=0.0)
    scale = kinetics.rate * strength**kinetics.exponent / LN10
    loss = kinetics.exponent * kinetics.fading_per_min
    if loss == 0.0:
        return np.asarray(scale * minutes**kinetics.power)
    full = kinetics.power * gamma(kinetics.power) / loss**kinetics.power
    return np.asarray(scale * full * gammainc(kinetics.power, loss * minutes))


def wait_for(kinetics: Kinetics, strength_mg_l: ArrayLike, log10: ArrayLike) -> Wait:
    """Return the time a law predicts for a log10 reduction, or that no time will do.

    Parameters
    ----------
    kinetics, strength_mg_l
        As for :func:`log10_reduction`.
    log10 : array_like
        The reduction wanted, log10, 0 or more.

    Source
    ------
    Inverse of :func:`log10_reduction`.

    Examples
    --------
    >>> found = wait_for(Kinetics(rate=0.46, fading_per_min=0.05), 5.0, [3.0, 30.0])
    >>> found.contact_min.round(2).tolist(), found.reachable.tolist()
    ([3.25, nan], [True, False])
    """
    strength = reals("strength_mg_l", strength_mg_l, at_least=0.0)
    wanted = reals("log10", log10, at_least=0.0)
    strength, wanted = np.broadcast_arrays(strength, wanted)
    scale = kinetics.rate * strength**kinetics.exponent / LN10
    loss = kinetics.exponent * kinetics.fading_per_min
    with np.errstate(divide="ignore", invalid="ignore"):
        if loss == 0.0:
            most = np.where(scale > 0.0, np.inf, 0.0)
            minutes = (wanted / scale) ** (1.0 / kinetics.power)
        else:
            most = scale * kinetics.power * gamma(kinetics.power) / loss**kinetics.power
            share = np.where(wanted < most, wanted / most, 0.0)
            minutes = gammaincinv(kinetics.power, share) / loss
    return _wait(minutes, wanted, most)


def ct_reached(strength_mg_l: ArrayLike, contact_min: ArrayLike, *, fading_per_min: float = 0.0,
               exponent: float = 1.0) -> Array:
    """Return strength to a power, times time, of a strength that fades at first order: mg min/L for exponent 1.

    Examples
    --------
    >>> ct_reached(5.0, 4.4629, fading_per_min=0.05).round(3).item()
    20.0
    """
    return log10_reduction(Kinetics(LN10, exponent, 1.0, fading_per_min), strength_mg_l, contact_min)


def wait_for_ct(ct_mg_min_l: ArrayLike, strength_mg_l: ArrayLike, *, fading_per_min: float = 0.0,
                exponent: float = 1.0) -> Wait:
    """Return the time in which strength times time reaches a value, or that it never does.

    Parameters
    ----------
    ct_mg_min_l : array_like
        To be reached; mg min/L for exponent 1, 0 or more.
    strength_mg_l : array_like
        At the start, mg/L, 0 or more.
    fading_per_min : float
        First-order loss of strength, per minute, 0 or more.
    exponent : float
        Of the strength, 0 or more. With any other than 1, half the strength for double the time is not the same.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Closed form: CT = C0 (1 - exp(-k t)) / k, which never exceeds C0 / k. For an exponent n, n k stands for k and C0^n
    for C0.

    Examples
    --------
    >>> found = wait_for_ct([20.0, 120.0], 5.0, fading_per_min=0.05)
    >>> found.contact_min.round(3).tolist(), found.reachable.tolist(), found.most.tolist()
    ([4.463, nan], [True, False], [100.0, 100.0])
    """
    return wait_for(Kinetics(LN10, exponent, 1.0, fading_per_min), strength_mg_l, ct_mg_min_l)


def strength_exponent(d_first_min: ArrayLike, d_second_min: ArrayLike, strength_first: ArrayLike,
                      strength_second: ArrayLike) -> Array:
    """Return the strength exponent between two strengths from their times for one log.

    Parameters
    ----------
    d_first_min, d_second_min : array_like
        Time for one log10 at each strength, any one unit of time, above 0.
    strength_first, strength_second : array_like
        The two strengths, any one unit, above 0 and different.

    Source
    ------
    n = ln(D1/D2) / ln(C2/C1), from rate strength^n D = ln 10 at both. Steep exponents (alcohols, phenolics) mean that
    a slight over-dilution takes the effect away.

    Examples
    --------
    >>> strength_exponent([24.0, 9.4], [9.4, 3.5], [0.025, 0.05], [0.05, 0.1]).round(3).tolist()
    [1.352, 1.425]
    """
    times = np.log(reals("d_first_min", d_first_min, above=0.0) / reals("d_second_min", d_second_min, above=0.0))
    ratio = reals("strength_second", strength_second, above=0.0) / reals("strength_first", strength_first, above=0.0)
    reals("strength_second over strength_first, less 1", np.abs(ratio - 1.0), above=0.0)
    return np.asarray(times / np.log(ratio))


def times_longer(kinetics: Kinetics, strength_frac: float) -> float:
    """Return how many times longer a mix takes that has only a fraction of the strength, while it does not fade.

    Parameters
    ----------
    kinetics : Kinetics
        Its exponent over its power decides: a steep one means that a slight over-dilution takes the effect away.
    strength_frac : float
        Of the strength that was meant, above 0.

    Examples
    --------
    >>> round(times_longer(Kinetics(1.0), 0.9), 2), round(times_longer(Kinetics(1.0, exponent=8.0), 0.9), 2)
    (1.11, 2.32)
    """
    return math.pow(real("strength_frac", strength_frac, above=0.0), -kinetics.exponent / kinetics.power)


def time_per_log_min(rate: float) -> float:
    """Return the time for one log10 of a straight line, D = ln 10 / rate, in the unit of the rate.

    Examples
    --------
    >>> round(time_per_log_min(0.1), 2)
    23.03
    """
    return LN10 / real("rate", rate, above=0.0)


def time_for_logs(time_per_log: ArrayLike, log10: ArrayLike, *, shoulder: ArrayLike = 0.0) -> Array:
    """Return shoulder + log10 times D: the time of a straight line behind a shoulder, in the unit of D.

    Source
    ------
    Geeraerd et al. 2005, Int. J. Food Microbiol. 102:95, for a shoulder without a tail (form: memory). Leaving the
    shoulder out makes the time too short.

    Examples
    --------
    >>> time_for_logs(1.1, 5.0, shoulder=4.1).round(2).item()
    9.6
    """
    per_log = reals("time_per_log", time_per_log, above=0.0)
    return np.asarray(reals("shoulder", shoulder, at_least=0.0) + per_log * reals("log10", log10, at_least=0.0))


def _wait(minutes: Array, wanted: Array, most: Array) -> Wait:
    reachable = (wanted < most) | (wanted == 0.0)
    return Wait(np.where(wanted == 0.0, 0.0, np.where(reachable, minutes, np.nan)), reachable,
                np.broadcast_to(most, wanted.shape))

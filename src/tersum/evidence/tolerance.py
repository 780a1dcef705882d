"""Limits from one's own baseline: how far out a level must lie to hold a share of all properly cleaned points."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, chdtri, nctdtrit, ndtr, ndtri

from tersum.arguments import Array, probability, sample, wholes
from tersum.evidence.summary import summary

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_REACH = 8.5  # standard deviations of the mean beyond which nothing is left


def one_sided_factor(n: ArrayLike, coverage: float, confidence: float) -> Array:
    """Return how many standard deviations above the mean a level lies that holds a share of all.

    Parameters
    ----------
    n : array_like
        Readings behind mean and standard deviation, 2 or more.
    coverage : float
        Share of all to be held below the level, above 0 and below 1.
    confidence : float
        How sure that is to be, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Noncentral t: Natrella, NBS Handbook 91, Table A-7; ISO 16269-6 (both known from memory, values computed). Holds for
    normal logs of independent points: three vehicles with many points each are nearer to three than to many.

    Examples
    --------
    >>> one_sided_factor([5, 10, 20, 30, 50], 0.95, 0.95).round(3).tolist()
    [4.203, 2.911, 2.396, 2.22, 2.065]
    """
    size = wholes("n", n, at_least=2)
    shift = ndtri(probability("coverage", coverage)) * np.sqrt(size)
    return np.asarray(nctdtrit(size - 1.0, shift, probability("confidence", confidence)) / np.sqrt(size))


def two_sided_factor(n: int, coverage: float, confidence: float, *, approximate: bool = False) -> float:
    """Return how many standard deviations on either side of the mean hold a share of all.

    Parameters
    ----------
    n, coverage, confidence
        As for :func:`one_sided_factor`; one ``n``.
    approximate : bool
        True for Howe's approximation, as older tables print it; low by 0.0055 at ``n`` 43.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 7.2.6.3; Howe 1969, J. Am. Statist. Assoc. 64:610. The exact factor is found by integrating
    over the mean.

    Examples
    --------
    >>> round(two_sided_factor(43, 0.9, 0.99), 4), round(two_sided_factor(43, 0.9, 0.99, approximate=True), 3)
    (2.2228, 2.217)
    """
    size, held = int(wholes("n", n, at_least=2)), probability("coverage", coverage)
    sure = probability("confidence", confidence)
    howe = float(ndtri((1.0 + held) / 2.0) * math.sqrt((size - 1.0) * (1.0 + 1.0 / size) / chdtri(size - 1, sure)))
    if approximate:
        return howe
    low, high = 0.5 * howe, 2.0 * howe
    while high - low > 1e-12 * high:
        middle = (low + high) / 2.0
        if _sure_of(middle, size, held) < sure:
            low = middle
        else:
            high = middle
    return high


def upper_tolerance_rlu(readings_rlu: ArrayLike, *, coverage: float = 0.95, confidence: float = 0.95) -> float:
    """Return the level that holds a share of all properly cleaned points of a class, from a baseline.

    Parameters
    ----------
    readings_rlu : array_like, shape (n,)
        Net readings after a proper clean, one a point, RLU above 0; two or more that differ, twenty or more for use.
    coverage, confidence
        As for :func:`one_sided_factor`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Log-normal tolerance bound ``10**(m + k s)``, factor of :func:`one_sided_factor`. A baseline picked from visits that
    passed is cut off at the old limit and gives an ever lower one.

    Examples
    --------
    >>> round(upper_tolerance_rlu([22, 35, 18, 41, 27, 30, 16, 25, 33, 21]))
    62
    """
    known = summary(np.log10(sample("readings_rlu", readings_rlu, count=2, above=0.0)))
    return float(10.0 ** (known.mean + float(one_sided_factor(known.n, coverage, confidence)) * known.sd))


def _sure_of(factor: float, size: int, held: float) -> float:
    """Return how sure mean plus or minus factor times spread holds the share, by quadrature over the mean."""
    off = _REACH * (_NODES + 1.0) / 2.0  # of the mean, in its standard errors; the other side is the same
    radius = _half_width(off / math.sqrt(size), held)
    sure = chdtrc(size - 1, (size - 1) * (radius / factor) ** 2)
    density = np.exp(-0.5 * off * off) * math.sqrt(2.0 / math.pi)
    return float(np.sum(_WEIGHTS * density * sure) * _REACH / 2.0)


def _half_width(off: Array, held: float) -> Array:
    """Return the half width about a centre ``off`` standard deviations from the mean that holds the share."""
    low, high = np.zeros_like(off), off + ndtri((1.0 + held) / 2.0) + 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        short = ndtr(off + middle) - ndtr(off - middle) < held
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray(high)

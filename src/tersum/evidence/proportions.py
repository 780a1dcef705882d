"""Shares of points or swabs: how sure a share is when only some were looked at."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, ndtri

from tersum.arguments import Array, probability, wholes
from tersum.errors import N_, OutOfRange


def share_pct(x: ArrayLike, n: ArrayLike) -> Array:
    """Return ``x`` of ``n`` in percent; never shown without :func:`wilson` beside it.

    Raises
    ------
    OutOfRange
        If ``x`` is not a whole number from 0 to ``n``, or ``n`` not one from 1 on.

    Examples
    --------
    >>> share_pct(76, 421).round(2).item()
    18.05
    """
    count, total = _counts(x, n)
    return np.asarray(100.0 * count / total)


def wilson(x: ArrayLike, n: ArrayLike, *, confidence: float = 0.95) -> tuple[Array, Array]:
    """Return the score interval of a share: the one to show.

    Parameters
    ----------
    x : array_like
        How many had the property, 0 to ``n``.
    n : array_like
        How many were looked at, 1 or more.
    confidence : float
        Of the two-sided interval, above 0 and below 1.

    Returns
    -------
    lower, upper : ndarray
        Fractions, shape of the arguments broadcast. On average over shares the interval covers ``confidence``; for a
        single share it may cover a few percent less.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Wilson 1927, J. Am. Stat. Assoc. 22:209, without continuity correction; Newcombe 1998, Statist. Med. 17:857, method
    3. Each of the ``n`` counts as right: with swabs that err (about one pair in five straddles a limit) the share
    itself is blurred.

    Examples
    --------
    >>> lower, upper = wilson(76, 421)
    >>> round(lower.item(), 3), round(upper.item(), 3)
    (0.147, 0.22)
    """
    count, total = _counts(x, n)
    z = ndtri((1.0 + probability("confidence", confidence)) / 2.0)
    share, weight = count / total, z * z / total
    half = z * np.sqrt(share * (1.0 - share) / total + weight / (4.0 * total)) / (1.0 + weight)
    middle = (share + weight / 2.0) / (1.0 + weight)
    # The ends are 0 and 1 in exact arithmetic where none or all had the property.
    return np.where(count == 0, 0.0, middle - half), np.where(count == total, 1.0, middle + half)


def clopper_pearson(x: ArrayLike, n: ArrayLike, *, confidence: float = 0.95) -> tuple[Array, Array]:
    """Return the exact interval of a share: the one to guarantee with.

    Parameters
    ----------
    x, n, confidence
        As for :func:`wilson`.

    Returns
    -------
    lower, upper : ndarray
        Fractions. The interval covers at least ``confidence`` whatever the share is, and is wider for it.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Clopper & Pearson 1934, Biometrika 26:404, by quantiles of the beta distribution; NIST/SEMATECH e-Handbook 7.2.4.1.

    Examples
    --------
    >>> lower, upper = clopper_pearson(4, 20, confidence=0.9)
    >>> round(lower.item(), 4), round(upper.item(), 4)
    (0.0714, 0.401)
    """
    count, total = _counts(x, n)
    tail = (1.0 - probability("confidence", confidence)) / 2.0
    # The beta quantile has no meaning with a parameter of 0; there the end is 0 or 1.
    none, every = count == 0, count == total
    lower = betaincinv(np.where(none, 1.0, count), total - count + 1.0, tail)
    upper = betaincinv(count + 1.0, np.where(every, 1.0, total - count), 1.0 - tail)
    return np.where(none, 0.0, lower), np.where(every, 1.0, upper)


def zero_failures_upper(n: ArrayLike, *, confidence: float = 0.95) -> Array:
    """Return the largest failure rate that fits with no failure among ``n``, one-sided.

    Parameters
    ----------
    n : array_like
        How many were looked at, 1 or more; not one of them failed.
    confidence : float
        One-sided, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    ``1 - (1 - confidence)**(1/n)``, the one-sided Clopper-Pearson bound; near 3/n (Hanley & Lippman-Hand 1983, known
    from memory). For points drawn at random from very many; for the listed points of one cabin see
    :func:`tersum.evidence.family.smallest_n_to_detect`.

    Examples
    --------
    >>> zero_failures_upper([10, 20, 59]).round(4).tolist()
    [0.2589, 0.1391, 0.0495]
    """
    total = wholes("n", n, at_least=1)
    return np.asarray(-np.expm1(np.log1p(-probability("confidence", confidence)) / total))


def _counts(x: ArrayLike, n: ArrayLike) -> tuple[Array, Array]:
    count, total = np.broadcast_arrays(wholes("x", x), wholes("n", n, at_least=1))
    if np.any(count > total):
        raise OutOfRange("x", float(count[count > total].flat[0]), N_("no more than n"))
    return count, total

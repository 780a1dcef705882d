"""Counts of rare things, such as colonies on a plate: the interval of the true mean behind one count."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaincinv

from tersum.arguments import Array, probability, wholes


def count_interval(count: ArrayLike, *, confidence: float = 0.95) -> tuple[Array, Array]:
    """Return the exact interval of the mean behind a Poisson count.

    Parameters
    ----------
    count : array_like
        What was counted, 0 or more.
    confidence : float
        Of the two-sided interval, above 0 and below 1.

    Returns
    -------
    lower, upper : ndarray
        In counts, shape of ``count``.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Garwood 1936, Biometrika 28:437 (definition; paper not seen), by gamma quantiles. Holds for things that lie
    independently; colonies that clump scatter more, and the interval is then too short.

    Examples
    --------
    >>> lower, upper = count_interval([0, 3, 10])
    >>> lower.round(2).tolist(), upper.round(2).tolist()
    ([0.0, 0.62, 4.8], [3.69, 8.77, 18.39])
    """
    seen = wholes("count", count)
    tail = (1.0 - probability("confidence", confidence)) / 2.0
    lower = np.where(seen == 0, 0.0, gammaincinv(np.where(seen == 0, 1.0, seen), tail))
    return lower, np.asarray(gammaincinv(seen + 1.0, 1.0 - tail))

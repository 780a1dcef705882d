"""Percentile bootstrap of the means of many groups at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, reals, whole
from tersum.errors import N_, OutOfRange

_AT_ONCE = 1 << 22  # resampled means held in memory


def mean_intervals(groups: ArrayLike, *, rng: np.random.Generator, draws: int = 1000,
                   coverage: float = 0.95) -> tuple[Array, Array]:
    """Return the percentile-bootstrap interval of the mean of each group.

    Parameters
    ----------
    groups : array_like, shape (groups, n)
        Logs, one group a row; two values a group or more.
    rng : numpy Generator
        Draws which values are taken how often; every group gets the same draws, which leaves each interval what it
        would be alone and spares all but one drawing.
    draws : int
        100 or more.
    coverage : float
        Above 0 and below 1.

    Returns
    -------
    low, high : ndarray, shape (groups,)

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Efron & Tibshirani 1993, An Introduction to the Bootstrap, chapter 13 (known from memory). Too narrow for few
    values: with ten it covers about 90 % where it says 95 %; a t interval does better for logs.

    Examples
    --------
    >>> low, high = mean_intervals([[1.0, 1.2, 1.1, 1.4, 0.9]], rng=np.random.default_rng(1))
    >>> low.round(1).item(), high.round(1).item()
    (1.0, 1.3)
    """
    values = reals("groups", groups)
    if values.ndim != 2 or values.shape[1] < 2:
        raise OutOfRange("groups", values.shape[-1] if values.ndim else 1, N_("rows of two values or more"))
    times, covered = whole("draws", draws, at_least=100), probability("coverage", coverage)
    n = values.shape[1]
    shares = rng.multinomial(n, np.full(n, 1.0 / n), size=times) / n
    ends = [(1.0 - covered) / 2.0, (1.0 + covered) / 2.0]
    step = max(_AT_ONCE // times, 1)
    found = [np.quantile(values[start:start + step] @ shares.T, ends, axis=1, overwrite_input=True)
             for start in range(0, len(values), step)]
    low, high = np.concatenate(found, axis=1)
    return low, high

"""Percentile bootstrap of the means of many groups at once."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, reals, whole
from tersum.errors import N_, OutOfRange

_AT_ONCE = 1 << 14  # resampled means that stay in the processor's own memory while they are put in order


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
    values: with ten it covers about 90 % where it says 95 %; a t interval does better for logs. Means are resampled
    about their group's own and in single precision: the ends are good to a millionth of the group's reach, a
    ten-thousandth of what another seed would move them by.

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
    shares = np.ascontiguousarray(rng.multinomial(n, np.full(n, 1.0 / n), size=times).T / n, dtype=np.float32)
    middle = values.mean(axis=1, keepdims=True)
    reach = np.abs(values - middle).max(axis=1, keepdims=True)
    # Single precision sorts three times as fast; about the mean and over the reach it costs nothing that shows.
    scaled = ((values - middle) / np.where(reach > 0.0, reach, 1.0)).astype(np.float32)
    step = max(_AT_ONCE // times, 1)
    found = np.concatenate([_ends(scaled[start:start + step] @ shares, covered)
                            for start in range(0, len(values), step)])
    low, high = (middle + found * reach).T
    return low, high


def _ends(means: npt.NDArray[np.float32], covered: float) -> Array:
    """Return the two ends of each row, by linear interpolation between the means in order."""
    means.sort(axis=1)
    last = means.shape[1] - 1
    places = np.array([(1.0 - covered) / 2.0, (1.0 + covered) / 2.0]) * last
    below = np.minimum(places.astype(np.intp), last - 1)
    lower, upper = means[:, below].astype(np.float64), means[:, below + 1].astype(np.float64)
    return np.asarray(lower + (places - below) * (upper - lower))

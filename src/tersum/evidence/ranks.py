"""Ranks of values, ties shared."""

from __future__ import annotations

import numpy as np

from tersum.arguments import Array


def ranks(values: Array) -> Array:
    """Return ranks from 1, ties shared.

    Examples
    --------
    >>> ranks(np.array([3.0, 1.0, 3.0])).tolist()
    [2.5, 1.0, 2.5]
    """
    order, place = np.unique(values, return_inverse=True)
    counts = np.bincount(place, minlength=order.size)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2.0)[place])

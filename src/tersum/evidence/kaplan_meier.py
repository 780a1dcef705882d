"""The product-limit curve of readings with marks of one side: no shape of distribution is assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import Array
from tersum.evidence.censoring import checked_bounds, refuse_unless_below


@dataclass(frozen=True)
class KaplanMeier:
    """The product-limit curve: share of the readings above each ``value`` (with "below" marks: below it).

    ``mean`` is the area under the curve; ``mean_is_bound`` tells that the last reading was itself an inequality, so
    that the true mean lies beyond it. ``median`` is NaN where the curve does not reach one half.
    """

    value: Array
    share: Array
    mean: float
    median: float
    mean_is_bound: bool


def kaplan_meier(low: ArrayLike, high: ArrayLike) -> KaplanMeier:
    """Return the product-limit curve of readings with "below" marks or with "above" marks, not both.

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Bounds of each reading: equal where measured, ``0`` and the level for "below", the level and infinity for
        "above". At least two different measured numbers.

    Returns
    -------
    KaplanMeier
        Needs no shape of distribution. With "below" marks the readings are turned round, and the result turned back.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Kaplan & Meier 1958; for "below" marks the flip of Helsel 2005, Nondetects and Data Analysis. The mean leans on the
    last reading: where that is an inequality it is only a bound.

    Examples
    --------
    >>> curve = kaplan_meier([3, 5, 8, 10], [3, 5, 8, float("inf")])  # the last: over 10
    >>> curve.share.tolist(), curve.median
    ([0.75, 0.5, 0.25], 5.0)
    """
    low_array, high_array = checked_bounds(low, high)
    if np.any(low_array == 0.0):
        refuse_unless_below(low_array, high_array)
        top = float(high_array.max())
        turned = _product_limit(top - high_array, low_array == 0.0)
        return KaplanMeier(top - turned.value[::-1], turned.share[::-1], top - turned.mean, top - turned.median,
                           turned.mean_is_bound)
    return _product_limit(low_array, np.isinf(high_array))


def _product_limit(value: Array, censored: NDArray[np.bool_]) -> KaplanMeier:
    # Heavy, and wanted by this curve alone.
    from scipy.stats import CensoredData, ecdf  # noqa: PLC0415

    curve = ecdf(CensoredData.right_censored(value, censored)).sf
    event = np.isin(curve.quantiles, value[~censored])
    at, share = curve.quantiles[event], curve.probabilities[event]
    last = value.max()
    # Area under the curve from 0 to the last value seen.
    widths = np.diff(np.concatenate([[0.0], at, [last]]))
    mean = float(widths @ np.concatenate([[1.0], share]))
    half = at[share <= 0.5 + 1e-12]
    return KaplanMeier(at, share, mean, float(half[0]) if half.size else math.nan, bool(share[-1] > 1e-12))

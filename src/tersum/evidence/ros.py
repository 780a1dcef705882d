"""Robust regression on order statistics: "below" marks filled in from a line through the measured readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array
from tersum.errors import N_, OutOfRange
from tersum.evidence.censoring import checked_bounds, refuse_unless_below


@dataclass(frozen=True)
class Ros:
    """Readings with the censored ones filled in from a line through the measured ones; for summaries only."""

    imputed: Array
    mean: float
    sd: float


def ros(low: ArrayLike, high: ArrayLike) -> Ros:
    """Return readings whose "below" marks are filled in by robust regression on order statistics.

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Bounds of each reading: equal where measured, ``0`` and the level for "below". At least two measured, at most
        four fifths below, and no level above the largest measured reading.

    Returns
    -------
    Ros
        ``imputed`` in ascending order; ``mean`` and ``sd`` are theirs, in the unit of the readings.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above; an "above" mark has no place here.

    Source
    ------
    Helsel & Cohn 1988, Water Resour. Res. 24:1997 (known from memory), as built in statsmodels. Filled-in values serve
    the summary; not one of them may be shown as the reading of its point. With several levels and no measured reading
    between them a filled-in value may even lie above its own level.

    Examples
    --------
    >>> found = ros([0, 0, 12.1, 16.9, 21.6, 7.7, 53.6], [5, 5, 12.1, 16.9, 21.6, 7.7, 53.6])
    >>> found.imputed.round(1).tolist()
    [1.9, 3.4, 7.7, 12.1, 16.9, 21.6, 53.6]
    """
    # statsmodels brings pandas along; only this summary wants them.
    from statsmodels.imputation.ros import impute_ros  # noqa: PLC0415

    low_array, high_array = checked_bounds(low, high)
    below = low_array == 0.0
    refuse_unless_below(low_array, high_array)
    if below.sum() > 0.8 * below.size:
        # The library would quietly put half the level in place of each: that is the made-up number to avoid.
        raise OutOfRange("low", int(below.sum()), N_("at most four fifths below a level"))
    if np.any(high_array[below] > high_array[~below].max()):
        raise OutOfRange("high", float(high_array[below].max()), N_("no level above the largest measured reading"))
    imputed = np.sort(np.asarray(impute_ros(high_array, below), dtype=np.float64))
    return Ros(imputed, float(imputed.mean()), float(imputed.std(ddof=1)))

"""How many standard uncertainties make an interval: Student's t, or the normal where the spread is known."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, stdtrit

from tersum.arguments import Array, reals


def coverage_factor(
    coverage: ArrayLike, degrees_of_freedom: ArrayLike = math.inf, *, one_sided: bool = False
) -> Array:
    """Return how many standard uncertainties lie between the middle of an interval and its end.

    Parameters
    ----------
    coverage : array_like
        Probability covered, above 0 and below 1.
    degrees_of_freedom : array_like
        Behind the estimated standard uncertainty, above 0; infinity where it is taken as known.
    one_sided : bool
        True for a bound on one side, False for an interval with equal tails.

    Returns
    -------
    ndarray
        The factor, shape of the arguments broadcast; for one-sided coverage below 0.5 it is negative.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 100:2008 (GUM) Annex G, Table G.2, as printed in NIST Technical Note 1297 Table B.1. Holds for normal errors; a
    factor of 2 in place of 2.57 (5 degrees of freedom) makes the interval a fifth too short.

    Examples
    --------
    >>> coverage_factor(0.95, [5, 10, 20]).round(2).tolist()
    [2.57, 2.23, 2.09]
    >>> coverage_factor(0.95, one_sided=True).round(3).item()
    1.645
    """
    covered = reals("coverage", coverage, above=0.0, below=1.0)
    freedom = reals("degrees_of_freedom", degrees_of_freedom, above=0.0, infinite=True)
    tail = covered if one_sided else (1.0 + covered) / 2.0
    known = np.isinf(freedom)
    # stdtrit has no limit at infinity; 1.0 keeps it quiet where the normal quantile is taken.
    return np.asarray(np.where(known, ndtri(tail), stdtrit(np.where(known, 1.0, freedom), tail)))

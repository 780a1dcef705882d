"""Student's t, where a spread was estimated from few values."""

from __future__ import annotations

import math
from functools import lru_cache

from tersum.chemistry.accepted import number
from tersum.errors import N_


@lru_cache(maxsize=256)
def t_factor(confidence: float, degrees_of_freedom: float) -> float:
    """Return the factor that a mean stays within, two-sided, with this confidence.

    Parameters
    ----------
    confidence : float
        Above 0, below 1; 0.95 for the usual interval, 0.90 for a one-sided bound at 95 %.
    degrees_of_freedom : float
        Above 0; infinity where the spread is known.

    Source
    ------
    Student's distribution, through ``scipy.special``.

    Examples
    --------
    >>> round(t_factor(0.95, 2), 3), round(t_factor(0.90, 10), 3), round(t_factor(0.95, float("inf")), 3)
    (4.303, 1.812, 1.96)
    """
    # Imported here: it costs a cold command more than everything else, and few need it.
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415

    number("confidence", confidence, N_("above 0, below 1"), above=0.0, high=1.0 - 1e-12)
    tail = 0.5 * (1.0 + confidence)
    if math.isinf(degrees_of_freedom):
        return float(ndtri(tail))
    return float(stdtrit(number("degrees_of_freedom", degrees_of_freedom, N_("above 0"), above=0.0), tail))

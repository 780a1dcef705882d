"""How far counts scatter: the interval behind a count, its expanded uncertainty, and plates that differ too much."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, gammaincinv

from tersum.arguments import Array, probability, real, reals, row, wholes
from tersum.errors import N_, OutOfRange

# (log10 e)^2: the variance of log10 of a Poisson count is about this over the count.
LOG10_E_SQUARED = math.log10(math.e) ** 2
FLAG_BELOW = 0.01
_QUOTIENT = (5.0, 15.0)


@dataclass(frozen=True)
class Dispersion:
    """Index of dispersion of parallel plates; ``flagged`` where chance alone would do it in less than 1 of 100."""

    index: float
    degrees_of_freedom: int
    p_value: float
    flagged: bool


@dataclass(frozen=True)
class Quotient:
    """Mean of one dilution over the mean of the next tenfold one, and whether it lies in 5 to 15 (memory)."""

    quotient: float
    acceptable: bool


def poisson_interval(count: ArrayLike, *, confidence: float = 0.95) -> tuple[Array, Array]:
    """Return the exact interval of the mean behind a count.

    Parameters
    ----------
    count : array_like
        All colonies counted together, 0 or more.
    confidence : float
        Of the two-sided interval, above 0 and below 1.

    Source
    ------
    Garwood 1936, Biometrika 28:437 (definition): chi-square quantiles, here as gamma quantiles. For things that lie
    independently; clumps scatter more.

    Examples
    --------
    >>> lower, upper = poisson_interval([0, 14])
    >>> lower.round(2).tolist(), upper.round(2).tolist()
    ([0.0, 7.65], [3.69, 23.49])
    """
    seen = wholes("count", count)
    tail = (1.0 - probability("confidence", confidence)) / 2.0
    lower = np.where(seen == 0, 0.0, gammaincinv(np.where(seen == 0, 1.0, seen), tail))
    return lower, np.asarray(gammaincinv(seen + 1.0, 1.0 - tail))


def zero_upper(confidence: float = 0.95) -> float:
    """Return the one-sided upper limit of the mean where none was counted, -ln(1 - confidence).

    >>> round(zero_upper(), 4)
    2.9957
    """
    return -math.log1p(-probability("confidence", confidence))


def expanded_uncertainty_log10(reproducibility_log10: ArrayLike, colonies: ArrayLike) -> Array:
    """Return the expanded uncertainty (factor 2) of a log10 count.

    Parameters
    ----------
    reproducibility_log10 : array_like
        Standard deviation of the method within the laboratory, log10, 0 or more.
    colonies : array_like
        Colonies counted in all, 1 or more.

    Source
    ------
    ISO/TS 19036:2006/Amd 1:2009, 8.2: U = 2 sqrt(s^2 + 0.18861/colonies).

    Examples
    --------
    >>> expanded_uncertainty_log10([0.15, 0.25], [110, 31]).round(2).tolist()
    [0.31, 0.52]
    """
    spread = reals("reproducibility_log10", reproducibility_log10, at_least=0.0)
    counted = wholes("colonies", colonies, at_least=1)
    return np.asarray(2.0 * np.sqrt(spread**2 + LOG10_E_SQUARED / counted))


def dispersion(counts: ArrayLike) -> Dispersion:
    """Return whether parallel plates differ more than counts do by chance.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Of two or more parallel plates, 0 or more, not all 0.

    Source
    ------
    Fisher, Thornton & Mackenzie 1922: sum (x - mean)^2 / mean on n - 1 degrees of freedom. The printed examples of the
    standards themselves fail at 5 %: flagged at 1 %, never rejected.

    Examples
    --------
    >>> found = dispersion([168, 215])
    >>> round(found.index, 2), round(found.p_value, 3), found.flagged
    (5.77, 0.016, False)
    """
    seen = row("counts", wholes("counts", counts), count=2)
    mean = float(seen.mean())
    if mean == 0.0:
        raise OutOfRange("counts", 0, N_("at least one colony on one of the plates"))
    index = float(((seen - mean) ** 2).sum() / mean)
    chance = float(chdtrc(seen.size - 1, index))
    return Dispersion(index, seen.size - 1, chance, chance < FLAG_BELOW)


def dilution_quotient(mean_first: float, mean_second: float) -> Quotient:
    """Return whether two successive tenfold dilutions agree.

    Parameters
    ----------
    mean_first, mean_second : float
        Mean counts, the less diluted one first, above 0.

    Source
    ------
    EN 13727 and EN 1276: the quotient lies in 5 to 15 (memory).

    Examples
    --------
    >>> round(dilution_quotient(190.5, 22.5).quotient, 2)
    8.47
    """
    quotient = real("mean_first", mean_first, above=0.0) / real("mean_second", mean_second, above=0.0)
    return Quotient(quotient, _QUOTIENT[0] <= quotient <= _QUOTIENT[1])


def dilution_spread(step_spread_frac: float, steps: int) -> float:
    """Return the relative standard deviation that ``steps`` dilutions bring, each with ``step_spread_frac``.

    >>> dilution_spread(0.02, 4)
    0.04
    """
    return real("step_spread_frac", step_spread_frac, at_least=0.0) * math.sqrt(float(wholes("steps", steps)))


def study_log10(count: ArrayLike, smallest_reportable: float) -> Array:
    """Return log10 of a count that may be zero, as collaborative studies transform it; never for a reduction.

    Parameters
    ----------
    count : array_like
        CFU per unit, 0 or more.
    smallest_reportable : float
        Smallest count the method reports, same unit, above 0.

    Source
    ------
    AOAC INTERNATIONAL microbiology guidelines, annex H: Y = log10(x + 0.1 f). It makes a number of nothing, which is
    fit for the statistics of a study and for nothing else.

    Examples
    --------
    >>> study_log10([0.0, 0.042], 0.003).round(2).tolist()
    [-3.52, -1.37]
    """
    least = real("smallest_reportable", smallest_reportable, above=0.0)
    return np.asarray(np.log10(reals("count", count, at_least=0.0) + 0.1 * least))

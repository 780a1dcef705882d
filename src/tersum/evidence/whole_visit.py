"""What may be said of all points of a visit together, and of a list of which only some points were drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from tersum.arguments import Array, probability, real, reals, whole
from tersum.errors import N_, OutOfRange

# A step of the integrand is as wide as sqrt(1 - correlation); this many nodes over 18 widths resolve it up to 0.999.
_NODE_COUNT = 600
_REACH = 9.0


@dataclass(frozen=True)
class StratumShare:
    """How many of the listed points of one stratum conform, at least, with the stated confidence.

    ``listed``, ``drawn`` and ``released`` are counts of points; of all ``listed``, at least ``at_least`` conform.
    """

    listed: int
    drawn: int
    released: int
    at_least: int
    share_frac: float
    confidence_frac: float


def all_conform(p: npt.ArrayLike, *, correlation: float = 0.0) -> float:
    """Return the probability that every point conforms.

    Parameters
    ----------
    p : array_like, shape (points,)
        Conformance probability of each point, 0 to 1; at least one.
    correlation : float
        Correlation that the errors of any two points share, 0 to 1: a swab lot, an instrument's scale, a person.

    Returns
    -------
    float
        The product of ``p`` at correlation 0; the smallest of ``p`` at 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or no point is given.

    Source
    ------
    Product rule for independent points; equicorrelated normal errors as a one-factor integral (Dunnett & Sobel 1955,
    Biometrika 42:258, from memory), by quadrature here. A bias common to all points is not covered: hold it against
    :func:`tersum.evidence.conformity.with_shared_shift`.

    Examples
    --------
    >>> [round(all_conform([0.95] * 10, correlation=shared), 2) for shared in (0.0, 0.3, 0.6)]
    [0.6, 0.69, 0.78]
    """
    each = reals("p", p, at_least=0.0, at_most=1.0).ravel()
    if not each.size:
        raise OutOfRange("p", each.size, N_("the probability of at least one point"))
    shared = real("correlation", correlation, at_least=0.0, at_most=1.0)
    if shared == 0.0:
        return float(np.prod(each))
    if shared == 1.0:
        return float(each.min())
    nodes, weights = _nodes()
    factor = _REACH * nodes
    within = ndtr((ndtri(each)[:, None] + math.sqrt(shared) * factor) / math.sqrt(1.0 - shared))
    density = np.exp(-0.5 * factor**2) / math.sqrt(2.0 * math.pi)
    return float(min(1.0, _REACH * np.sum(weights * density * np.prod(within, axis=0))))


def each_needed(points: int, overall: float = 0.95) -> float:
    """Return the conformance probability each of ``points`` needs so that all conform with probability ``overall``.

    Parameters
    ----------
    points : int
        Number of points, 1 or more.
    overall : float
        Wanted probability for all together, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Sidak 1967, J. Am. Statist. Assoc. 62:626 (inverse of the product rule), from memory. Independent points.

    Examples
    --------
    >>> [round(each_needed(points), 5) for points in (1, 5, 10, 20)]
    [0.95, 0.98979, 0.99488, 0.99744]
    """
    return float(probability("overall", overall) ** (1.0 / whole("points", points, at_least=1)))


def drawn_stratum_share(listed: int, drawn: int, released: int, *, confidence_frac: float = 0.95) -> StratumShare:
    """Return how many points of a whole listed stratum conform at least, when only a random draw of it was read.

    Parameters
    ----------
    listed : int
        Points in the stratum, 1 or more.
    drawn : int
        Points drawn at random without replacement and read, 0 to ``listed``.
    released : int
        Drawn points at or below the release level, 0 to ``drawn``.
    confidence_frac : float
        Confidence, above 0 and below 1.

    Returns
    -------
    StratumShare
        ``at_least`` is the smallest number of conforming points that the draw does not contradict.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Exact hypergeometric lower confidence bound for a finite population (ISPM 31 Appendix 2 uses the same
    distribution, from memory). It counts each released point as conforming, which is why only points at or below the
    release level count, not all below the limit. It says nothing where the points were chosen and not drawn.

    Examples
    --------
    >>> drawn_stratum_share(20, 10, 10).at_least
    17
    """
    whole("listed", listed, at_least=1)
    if whole("drawn", drawn) > listed:
        raise OutOfRange("drawn", drawn, N_("0 to the number listed"))
    if whole("released", released) > drawn:
        raise OutOfRange("released", released, N_("0 to the number drawn"))
    # In exact fractions: at 20 listed, 19 drawn the chance of missing the one is 5 % to the last digit.
    doubt = 1 - Fraction(str(probability("confidence_frac", confidence_frac)))
    at_least = next(conforming for conforming in range(released, listed + 1)
                    if _as_many_or_more(conforming, listed, drawn, released) > doubt)
    return StratumShare(listed, drawn, released, at_least, at_least / listed, float(confidence_frac))


@cache
def _nodes() -> tuple[Array, Array]:
    """Return the nodes when they are first wanted: they take a tenth of a second, which a command would wait for."""
    nodes, weights = np.polynomial.legendre.leggauss(_NODE_COUNT)
    return nodes, weights


def _as_many_or_more(conforming: int, listed: int, drawn: int, released: int) -> Fraction:
    """Return the chance that a draw holds ``released`` conforming points or more."""
    ways = sum(math.comb(conforming, good) * math.comb(listed - conforming, drawn - good)
               for good in range(released, min(conforming, drawn) + 1))
    return Fraction(ways, math.comb(listed, drawn))

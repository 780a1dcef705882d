"""Intervals of a most probable number, by a named method; limits of different methods are never mixed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri, ndtri

from tersum.arguments import Array, probability
from tersum.errors import UnknownName
from tersum.lethality.mpn import Design, Mpn, log_likelihood, slope

LIKELIHOOD_RATIO = "likelihood-ratio"
JARVIS = "two-standard-errors"
WALD = "standard-error"
METHODS = (LIKELIHOOD_RATIO, JARVIS, WALD)

_MOST_STEPS = 200
_CLOSE = 1e-10


@dataclass(frozen=True)
class MpnInterval:
    """Lower and upper end, in the unit of the MPN, in the shape of the patterns.

    Where no tube grew the lower end is 0; where all did the upper end is infinite. At these two ``likelihood-ratio``
    and ``standard-error`` give a one-sided limit at ``confidence``, ``two-standard-errors`` one at half the risk.
    """

    low: Array
    high: Array
    method: str
    confidence: float


def mpn_interval(found: Mpn, *, method: str = LIKELIHOOD_RATIO, confidence: float = 0.95) -> MpnInterval:
    """Return the interval of most probable numbers.

    Parameters
    ----------
    found : Mpn
        From :func:`tersum.lethality.mpn.mpn`.
    method : {"likelihood-ratio", "two-standard-errors", "standard-error"}
        The first is preferred.
    confidence : float
        Above 0 and below 1; ``two-standard-errors`` is always 0.95.

    Raises
    ------
    UnknownName
        For another method.

    Source
    ------
    ``likelihood-ratio``: Ridout 1994 (table read), one-sided at the extremes. ``two-standard-errors``: Jarvis, Wilrich
    & Wilrich 2010, J. Appl. Microbiol. 109:1660 (tables read): ln MPN plus or minus 2 observed standard errors.
    ``standard-error``: the solver of FDA BAM appendix 2 (example read). The exact limits of the BAM tables (Blodgett)
    come from none of these and are not given.

    Examples
    --------
    >>> from tersum.lethality.mpn import design, mpn
    >>> found = mpn([2, 2, 0], design=design([3, 3, 3], [0.1, 0.01, 0.001]))
    >>> [(round(one.low.item(), 1), round(one.high.item(), 1)) for one in (mpn_interval(found), mpn_interval(
    ...     found, method="two-standard-errors"))]
    [(6.2, 54.3), (7.1, 62.4)]
    """
    if method not in METHODS:
        raise UnknownName("method", method, METHODS)
    covered = 0.95 if method == JARVIS else probability("confidence", confidence)
    rows = np.atleast_2d(found.positive)
    numbers = np.atleast_1d(found.mpn)
    with np.errstate(divide="ignore"):
        ln_mpn = np.log(numbers)
    low, high = np.zeros(numbers.shape), np.full(numbers.shape, np.inf)
    inner = np.isfinite(ln_mpn)
    if inner.any():
        se = np.atleast_1d(found.se_ln)[inner]
        if method == LIKELIHOOD_RATIO:
            drop = float(chdtri(1, 1.0 - covered)) / 2.0
            low[inner], high[inner] = _ratio_ends(rows[inner], ln_mpn[inner], se, drop, found.design)
        else:
            reach = (2.0 if method == JARVIS else float(ndtri(0.5 + covered / 2.0))) * se
            low[inner], high[inner] = np.exp(ln_mpn[inner] - reach), np.exp(ln_mpn[inner] + reach)
    tail = (1.0 - covered) / 2.0 if method == JARVIS else 1.0 - covered
    high[ln_mpn == -np.inf] = -math.log(tail) / found.design.total
    if np.any(ln_mpn == np.inf):
        low[ln_mpn == np.inf] = _all_grown_low(found.design, tail)
    shape = found.mpn.shape
    return MpnInterval(low.reshape(shape), high.reshape(shape), method, covered)


def _ratio_ends(rows: Array, ln_mpn: Array, se: Array, drop: float, design: Design) -> tuple[Array, Array]:
    """Return where the log likelihood has fallen by ``drop`` on either side: it is concave, Newton cannot miss."""
    floor = log_likelihood(rows, ln_mpn, design) - drop
    reach = math.sqrt(2.0 * drop) * se
    ends = []
    for start in (ln_mpn - reach, ln_mpn + reach):
        at = start
        for _ in range(_MOST_STEPS):
            step = (floor - log_likelihood(rows, at, design)) / slope(rows, at, design)
            # From inside, the first step lands outside; from outside every step comes nearer from there.
            step = np.clip(step, -2.0, 2.0)
            at = at + step
            if np.all(np.abs(step) < _CLOSE):
                break
        ends.append(np.exp(at))
    return ends[0], ends[1]


def _all_grown_low(design: Design, tail: float) -> float:
    """Return the density at which all tubes grow with probability ``tail``."""
    low, high = -60.0, 60.0  # of ln density in units of the smallest amount
    unit = float(design.amounts.min())
    for _ in range(_MOST_STEPS):
        middle = (low + high) / 2.0
        shares = -np.expm1(-math.exp(middle) * design.amounts / unit)
        with np.errstate(divide="ignore"):
            grown = float((design.tubes * np.log(shares)).sum())
        low, high = (middle, high) if grown < math.log(tail) else (low, middle)
    return math.exp(low) / unit

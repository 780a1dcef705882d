"""Most probable number by maximum likelihood, for any design, one pattern or thousands at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln, xlogy

from tersum.arguments import Array, reals, together, wholes
from tersum.errors import N_, OutOfRange, TersumError

# The likelihood of the outcome over that of the likeliest outcome of the same density.
SUSPICIOUS_BELOW = 0.05
QUESTIONABLE_BELOW = 0.01
NOT_TO_BE_TRUSTED_BELOW = 1e-4
USUAL, SUSPICIOUS, QUESTIONABLE, NOT_TO_BE_TRUSTED = "usual", "suspicious", "questionable", "not-to-be-trusted"

_MOST_STEPS = 60
_CLOSE = 1e-7


@dataclass(frozen=True)
class Design:
    """Tubes of a most probable number: how many at each amount, and the amount in each (g or mL of the sample)."""

    tubes: Array
    amounts: Array

    @property
    def total(self) -> float:
        """Amount of sample in all tubes."""
        return float((self.tubes * self.amounts).sum())


@dataclass(frozen=True)
class Mpn:
    """Most probable numbers, per unit of the amounts; arrays in the shape of the patterns.

    ``operator`` is ``=``; ``<`` where no tube grew (``mpn`` is 0) and ``>`` where all did (``mpn`` is infinite): then
    the interval alone says something. ``se_ln`` is the standard error of ln MPN from the observed information (NaN at
    the two extremes). ``rarity`` is 1 for the likeliest outcome; ``trust`` says what to make of it.
    """

    mpn: Array
    operator: NDArray[np.str_]
    se_ln: Array
    rarity: Array
    trust: NDArray[np.str_]
    positive: Array
    design: Design

    @property
    def se_log10(self) -> Array:
        """Standard error of log10 MPN."""
        return np.asarray(self.se_ln / math.log(10.0))


def design(tubes: ArrayLike, amounts: ArrayLike) -> Design:
    """Return a design: tubes at each amount, and the amounts.

    Parameters
    ----------
    tubes : array_like, shape (k,)
        Whole numbers, 1 or more.
    amounts : array_like, shape (k,)
        Of sample in each tube of that row, g or mL, above 0.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above; all at once.
    """
    faults: list[TersumError] = []
    counted, held = np.ones(1), np.ones(1)
    try:
        counted = np.atleast_1d(wholes("tubes", tubes, at_least=1))
    except TersumError as fault:
        faults.append(fault)
    try:
        held = np.atleast_1d(reals("amounts", amounts, above=0.0))
    except TersumError as fault:
        faults.append(fault)
    together(faults)
    if counted.ndim != 1 or counted.shape != held.shape:
        raise OutOfRange("amounts", held.size, N_("one amount for each row of tubes ({count})"), count=counted.size)
    return Design(counted, held)


def mpn(positive: ArrayLike, *, design: Design) -> Mpn:
    """Return the most probable number of one pattern, or of many.

    Parameters
    ----------
    positive : array_like, shape (k,) or (m, k)
        Tubes that grew, in each row of the design, 0 to the number of tubes.
    design : Design
        From :func:`design`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Score equation sum p v/(e^(v mpn) - 1) = sum (n - p) v, which has one root; observed information as in the solver of
    FDA BAM appendix 2; rarity after Blodgett, quoted there (below 0.0001 read, the other two borders memory). Holds for
    organisms that lie singly and at random and tubes that grow from one. Not corrected for its small-sample bias, as
    the tables are not.

    Examples
    --------
    >>> found = mpn([[5, 3, 0], [0, 0, 0]], design=design([10, 10, 10], [0.1, 0.01, 0.001]))
    >>> found.mpn.round(3).tolist(), found.operator.tolist(), found.se_log10.round(4)[0].item()
    ([9.951, 0.0], ['=', '<'], 0.1575)
    """
    grown = _checked(positive, design)
    single = grown.ndim == 1
    rows = np.atleast_2d(grown)
    none, all_ = (rows == 0).all(axis=1), (rows == design.tubes).all(axis=1)
    ln_mpn = np.where(none, -np.inf, np.where(all_, np.inf, 0.0))
    inner = ~(none | all_)
    if inner.any():
        ln_mpn[inner] = _solved(rows[inner], design)
    numbers = np.exp(ln_mpn)
    se = np.full(numbers.shape, np.nan)
    if inner.any():
        se[inner] = 1.0 / np.sqrt(information(rows[inner], ln_mpn[inner], design))
    rarity = _rarity(rows, numbers, design)
    operator = np.where(none, "<", np.where(all_, ">", "="))
    trust = np.select([rarity < NOT_TO_BE_TRUSTED_BELOW, rarity < QUESTIONABLE_BELOW, rarity < SUSPICIOUS_BELOW],
                      [NOT_TO_BE_TRUSTED, QUESTIONABLE, SUSPICIOUS], USUAL)
    shape = () if single else numbers.shape
    return Mpn(numbers.reshape(shape), operator.reshape(shape), se.reshape(shape), rarity.reshape(shape),
               trust.reshape(shape), grown, design)


def log_likelihood(positive: Array, ln_mpn: Array, design: Design) -> Array:
    """Return the log likelihood without its constant, for patterns (m, k) and ln MPN (m,)."""
    doses = np.exp(ln_mpn)[:, None] * design.amounts
    with np.errstate(divide="ignore"):
        return np.asarray((xlogy(positive, -np.expm1(-doses)) - (design.tubes - positive) * doses).sum(axis=1))


def slope(positive: Array, ln_mpn: Array, design: Design) -> Array:
    """Return how the log likelihood changes with ln MPN."""
    doses = np.exp(ln_mpn)[:, None] * design.amounts
    return np.asarray((positive * _over_expm1(doses) - (design.tubes - positive) * doses).sum(axis=1))


def information(positive: Array, ln_mpn: Array, design: Design) -> Array:
    """Return the observed information on ln MPN, minus how the slope changes."""
    doses = np.exp(ln_mpn)[:, None] * design.amounts
    part = _over_expm1(doses)
    # d/du of x/(e^x - 1) with x = e^u is part (1 - x - part).
    return np.asarray((positive * part * (part + doses - 1.0) + (design.tubes - positive) * doses).sum(axis=1))


def _checked(positive: ArrayLike, design: Design) -> Array:
    grown = wholes("positive", positive)
    if grown.ndim not in (1, 2) or grown.shape[-1] != design.tubes.size:
        raise OutOfRange("positive", grown.size, N_("one number for each row of tubes ({count})"),
                         count=design.tubes.size)
    if np.any(grown > design.tubes):
        raise OutOfRange("positive", float(grown[grown > design.tubes].flat[0]),
                         N_("no more than there are tubes in the row"))
    return grown


def _solved(rows: Array, design: Design) -> Array:
    """Return ln MPN by Newton's method inside a bracket; the log likelihood is concave in it.

    The start is Thomas's formula (1942), which is exact where few tubes grew.
    """
    # Rows of tubes go down, patterns across: sums over three or four rows are then quick.
    grown, amounts = np.ascontiguousarray(rows.T), design.amounts[:, None]
    left = design.tubes[:, None] - grown
    at = np.log(grown.sum(axis=0)) - 0.5 * (np.log((left * amounts).sum(axis=0)) + math.log(design.total))
    low, high = np.full(at.shape, -np.inf), np.full(at.shape, np.inf)
    for _ in range(_MOST_STEPS):
        doses = np.exp(at) * amounts
        share = _over_expm1(doses)
        part, rest = grown * share, left * doses
        score = (part - rest).sum(axis=0)
        step = score / (part * (share + doses - 1.0) + rest).sum(axis=0)
        if float(np.abs(step).max()) < _CLOSE:  # Newton doubles the digits: the step left out is below the last one
            return np.asarray(at + step)
        low, high = np.where(score > 0.0, at, low), np.where(score < 0.0, at, high)
        new = at + np.clip(step, -2.0, 2.0)
        outside = ((new < low) | (new > high)) & np.isfinite(low) & np.isfinite(high)
        at = np.where(outside, (np.maximum(low, -1e3) + np.minimum(high, 1e3)) / 2.0, new)
    return np.asarray(at)


def _over_expm1(doses: Array) -> Array:
    """Return x / (e^x - 1), which is 1e-301 from 700 on."""
    held = np.minimum(doses, 700.0)
    return np.asarray(held / np.expm1(held))


def _rarity(rows: Array, numbers: Array, design: Design) -> Array:
    """Return the likelihood of each outcome over that of the likeliest outcome at its MPN."""
    inner = np.isfinite(numbers) & (numbers > 0.0)
    rarity = np.ones(numbers.shape)  # none grown, or all grown, is the likeliest outcome of its own MPN
    if inner.any():
        shares = -np.expm1(-numbers[inner, None] * design.amounts)
        likeliest = np.minimum(np.floor((design.tubes + 1.0) * shares), design.tubes)
        rarity[inner] = np.exp((_log_binomial(rows[inner], shares, design) -
                                _log_binomial(likeliest, shares, design)).sum(axis=1))
    return rarity


def _log_binomial(grown: Array, shares: Array, design: Design) -> Array:
    left = design.tubes - grown
    ways = gammaln(design.tubes + 1.0) - gammaln(grown + 1.0) - gammaln(left + 1.0)
    return np.asarray(ways + xlogy(grown, shares) + xlogy(left, 1.0 - shares))

"""Plans that accept or refuse a series by how many of it fail: fixed in size, or item by item."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr, betaincinv

from tersum.arguments import Array, probability, reals, whole
from tersum.errors import N_, OutOfRange


@dataclass(frozen=True)
class SequentialPlan:
    """Two lines over the number ``n`` looked at, between which one more is looked at.

    On or below ``-h1 + slope n`` failures the series is accepted, on or above ``h2 + slope n`` it is refused.
    """

    h1: float
    h2: float
    slope: float

    def accept_number(self, n: int) -> int | None:
        """Return the most failures among ``n`` that accept, or None where ``n`` is too few to accept at all."""
        line = -self.h1 + self.slope * whole("n", n, at_least=1)
        return math.floor(line + 1e-12) if line > -1e-12 else None

    def refuse_number(self, n: int) -> int:
        """Return the fewest failures among ``n`` that refuse; more than ``n`` where none can yet."""
        return math.ceil(self.h2 + self.slope * whole("n", n, at_least=1) - 1e-12)

    @property
    def first_that_can_accept(self) -> int:
        """How many must be looked at before a series without any failure is accepted."""
        return math.ceil(self.h1 / self.slope - 1e-12)


def acceptance_probability(failing_frac: ArrayLike, n: int, failures_allowed: int) -> Array:
    """Return how often a plan accepts when a given share fails: its operating characteristic.

    Parameters
    ----------
    failing_frac : array_like
        True share that fails, 0 to 1.
    n : int
        Looked at, 1 or more, drawn from very many.
    failures_allowed : int
        Failures that still accept, 0 or more and below ``n``.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Binomial sum; NIST/SEMATECH e-Handbook 6.2.3.2. For a series of many alike: it protects the long run and not one
    customer's cabin, for which :func:`tersum.evidence.family.detection_probability` counts the points of its list.

    Examples
    --------
    >>> acceptance_probability([0.01, 0.05, 0.1], 52, 3).round(3).tolist()
    [0.998, 0.738, 0.223]
    """
    share = reals("failing_frac", failing_frac, at_least=0.0, at_most=1.0)
    size, allowed = _plan(n, failures_allowed)
    return np.asarray(bdtr(allowed, size, share))


def failing_share_accepted(accepted_frac: ArrayLike, n: int, failures_allowed: int) -> Array:
    """Return the true failing share that a plan accepts with a given probability.

    Parameters
    ----------
    accepted_frac : array_like
        Probability of accepting, above 0 and below 1.
    n, failures_allowed
        As for :func:`acceptance_probability`, of which this is the inverse.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Beta quantile of the binomial sum; ISO 2859-1 Table 10 prints such shares (known from memory).

    Examples
    --------
    >>> (100 * failing_share_accepted([0.95, 0.5, 0.1], 80, 2)).round(2).tolist()
    [1.03, 3.33, 6.52]
    """
    accepted = reals("accepted_frac", accepted_frac, above=0.0, below=1.0)
    size, allowed = _plan(n, failures_allowed)
    return np.asarray(betaincinv(allowed + 1.0, size - allowed, 1.0 - accepted))


def sequential_plan(good_frac: float, bad_frac: float, *, refuse_good: float = 0.05,
                    accept_bad: float = 0.1) -> SequentialPlan:
    """Return the lines of a plan that looks at one item after the other.

    Parameters
    ----------
    good_frac, bad_frac : float
        Failing share that should be accepted and that should be refused, above 0 and below 1, the first the smaller.
    refuse_good, accept_bad : float
        Accepted chance of either mistake, above 0; together below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Wald 1947, Sequential Analysis; NIST/SEMATECH e-Handbook 6.2.3.6 (known from memory). Stop at three times the size
    of the fixed plan: between the lines it can go on for long.

    Examples
    --------
    >>> plan = sequential_plan(0.01, 0.1)
    >>> round(plan.h1, 3), round(plan.h2, 3), round(plan.slope, 4), plan.first_that_can_accept, plan.refuse_number(24)
    (0.939, 1.205, 0.0397, 24, 3)
    """
    good, bad = probability("good_frac", good_frac), probability("bad_frac", bad_frac)
    if not good < bad:
        raise OutOfRange("bad_frac", bad, N_("above the good share ({good})"), good=good)
    alpha, beta = probability("refuse_good", refuse_good), probability("accept_bad", accept_bad)
    if not alpha + beta < 1.0:
        raise OutOfRange("accept_bad", beta, N_("together with the other mistake below 1"))
    stays = math.log1p(-good) - math.log1p(-bad)
    k = math.log(bad / good) + stays
    return SequentialPlan(math.log((1.0 - alpha) / beta) / k, math.log((1.0 - beta) / alpha) / k, stays / k)


def _plan(n: int, failures_allowed: int) -> tuple[int, int]:
    size, allowed = whole("n", n, at_least=1), whole("failures_allowed", failures_allowed)
    if allowed >= size:
        raise OutOfRange("failures_allowed", allowed, N_("below the number looked at ({n})"), n=size)
    return size, allowed

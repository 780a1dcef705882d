"""How often the interval of a most probable number holds the truth, by counting every pattern of a design."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaln, xlogy

from tersum.arguments import Array, row
from tersum.errors import N_, OutOfRange
from tersum.lethality.mpn import Design, mpn
from tersum.lethality.mpn_interval import LIKELIHOOD_RATIO, mpn_interval

MOST_PATTERNS = 100_000


@dataclass(frozen=True)
class Coverage:
    """Share of outcomes whose interval holds the true density, for each true density; and its least and mean."""

    true_density: Array
    coverage: Array
    method: str

    @property
    def least(self) -> float:
        return float(self.coverage.min())

    @property
    def mean(self) -> float:
        return float(self.coverage.mean())


def coverage(design: Design, true_density: ArrayLike, *, method: str = LIKELIHOOD_RATIO,
             confidence: float = 0.95) -> Coverage:
    """Return the coverage of an interval method for a design, exactly: every pattern is enumerated.

    Parameters
    ----------
    design : Design
        With at most 100,000 patterns.
    true_density : array_like, shape (m,)
        Per unit of the amounts, above 0.
    method, confidence
        As for :func:`tersum.lethality.mpn_interval.mpn_interval`.

    Raises
    ------
    OutOfRange
        For a larger design and densities that are none.

    Examples
    --------
    >>> from tersum.lethality.mpn import design
    >>> found = coverage(design([3, 3, 3], [0.1, 0.01, 0.001]), [10.0, 100.0])
    >>> found.coverage.round(3).tolist()
    [0.956, 0.898]
    """
    truth = row("true_density", true_density, above=0.0)
    size = int(np.prod(design.tubes + 1.0))
    if size > MOST_PATTERNS:
        raise OutOfRange("tubes", size, N_("at most {most} patterns"), most=MOST_PATTERNS)
    patterns = np.array(list(itertools.product(*(range(int(one) + 1) for one in design.tubes))), dtype=float)
    ends = mpn_interval(mpn(patterns, design=design), method=method, confidence=confidence)
    doses = truth[:, None, None] * design.amounts
    left = design.tubes - patterns
    ways = gammaln(design.tubes + 1.0) - gammaln(patterns + 1.0) - gammaln(left + 1.0)
    chance = np.exp((ways + xlogy(patterns, -np.expm1(-doses)) - left * doses).sum(axis=2))
    held = (ends.low <= truth[:, None]) & (truth[:, None] <= ends.high)
    return Coverage(truth, np.asarray((chance * held).sum(axis=1)), method)

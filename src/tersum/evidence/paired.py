"""Paired log differences: their mean, its interval, and whether they show that two treatments are alike."""

from __future__ import annotations

import math
from dataclasses import dataclass

from numpy.typing import ArrayLike
from scipy.special import stdtr

from tersum.arguments import probability, real, sample, whole
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.summary import summary


@dataclass(frozen=True)
class MeanDifference:
    """Mean of paired differences with its t interval; ``p_two_sided`` is for a true mean of 0."""

    mean: float
    sd: float
    n: int
    t: float
    p_two_sided: float
    low: float
    high: float


@dataclass(frozen=True)
class Equivalence:
    """Two one-sided tests against a margin set beforehand, and the interval that says the same.

    ``equivalent`` where the interval lies inside minus to plus the margin; ``not_worse`` where its upper end lies below
    the margin, with lower being better. Either one False is "not shown", never "different".
    """

    p_lower: float
    p_upper: float
    low: float
    high: float
    margin_log10: float
    risk: float

    @property
    def equivalent(self) -> bool:
        return max(self.p_lower, self.p_upper) <= self.risk

    @property
    def not_worse(self) -> bool:
        return self.p_upper <= self.risk


def paired_difference(differences: ArrayLike, *, coverage: float = 0.95) -> MeanDifference:
    """Return the mean of paired differences with its t interval.

    Parameters
    ----------
    differences : array_like, shape (n,)
        One a panel, log10; two or more, not all equal. Several swabs of one panel are averaged first.
    coverage : float
        Of the interval, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Student 1908, Biometrika 6:1 (the data are read in several copies). Holds for differences near normal; below about
    ten pairs see :func:`tersum.evidence.rerandomisation.sign_flips`, which asks for randomisation and nothing else.

    Examples
    --------
    >>> found = paired_difference([-1.2, -2.4, -1.3, -1.3, 0, -1, -1.8, -0.8, -4.6, -1.4])
    >>> round(found.t, 4), round(found.p_two_sided, 6)
    (-4.0621, 0.002833)
    """
    known = summary(sample("differences", differences, count=2))
    error, freedom = known.sd / math.sqrt(known.n), known.n - 1
    half = float(coverage_factor(probability("coverage", coverage), freedom)) * error
    t = known.mean / error
    return MeanDifference(known.mean, known.sd, known.n, t, 2.0 * float(stdtr(freedom, -abs(t))),
                          known.mean - half, known.mean + half)


def equivalence(difference_log10: float, standard_error: float, degrees_of_freedom: float, *, margin_log10: float,
                risk: float = 0.05) -> Equivalence:
    """Return whether a difference is shown to be small, by two one-sided tests.

    Parameters
    ----------
    difference_log10, standard_error : float
        Estimate, log10, and its standard error, above 0.
    degrees_of_freedom : float
        Behind the standard error, above 0; infinity where it is taken as known.
    margin_log10 : float
        The largest difference that does not matter, log10, above 0, set before any reading: a factor of 1.25 is 0.097.
    risk : float
        Of each test, above 0 and below 0.5; the interval covers ``1 - 2 risk``.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Schuirmann 1987, J. Pharmacokinet. Biopharm. 15:657 (known from memory). A difference that is not significant is
    never thereby shown to be none.

    Examples
    --------
    >>> found = equivalence(0.02, 0.15 / 20**0.5, 19, margin_log10=0.1)
    >>> found.equivalent, round(found.p_upper, 5), round(found.low, 3), round(found.high, 3)
    (True, 0.01382, -0.038, 0.078)
    """
    error = real("standard_error", standard_error, above=0.0)
    freedom = real("degrees_of_freedom", degrees_of_freedom, above=0.0, infinite=True)
    margin = real("margin_log10", margin_log10, above=0.0)
    doubt = real("risk", risk, above=0.0, below=0.5)
    middle = real("difference_log10", difference_log10)
    half = float(coverage_factor(1.0 - doubt, freedom, one_sided=True)) * error
    known = min(freedom, 1e10)  # where the t distribution is the normal to every digit
    return Equivalence(float(stdtr(known, -(middle + margin) / error)), float(stdtr(known, (middle - margin) / error)),
                       middle - half, middle + half, margin, doubt)


def paired_equivalence(n: int, mean_log10: float, sd_log10: float, *, margin_log10: float,
                       risk: float = 0.05) -> Equivalence:
    """Return :func:`equivalence` of ``n`` pairs, 2 or more, from mean and standard deviation of their differences.

    Examples
    --------
    >>> paired_equivalence(6, 0.02, 0.15, margin_log10=0.1).equivalent
    False
    """
    size, sd = whole("n", n, at_least=2), real("sd_log10", sd_log10, above=0.0)
    return equivalence(mean_log10, sd / math.sqrt(size), size - 1, margin_log10=margin_log10, risk=risk)

"""Mean, spread and neighbourhood of a series, in two passes so that large numbers with small differences survive."""

from __future__ import annotations

import math
from dataclasses import dataclass

from numpy.typing import ArrayLike

from tersum.arguments import sample
from tersum.errors import N_, OutOfRange


@dataclass(frozen=True)
class Summary:
    """``sd`` divides by n - 1; ``lag1_autocorrelation`` tells whether neighbours in the series are alike."""

    n: int
    mean: float
    sd: float
    lag1_autocorrelation: float


def summary(values: ArrayLike) -> Summary:
    """Return mean, standard deviation and lag-1 autocorrelation of a series.

    Parameters
    ----------
    values : array_like, shape (n,)
        Finite numbers in the order in which they came; two or more, not all equal.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Definitions of the NIST Statistical Reference Datasets, univariate summary statistics. First the mean, then the
    squares about it: mean of squares less square of the mean loses every digit of the series NumAcc4.

    Examples
    --------
    >>> found = summary([10000000.2] + [10000000.1, 10000000.3] * 500)
    >>> round(found.mean, 1), round(found.sd, 6), round(found.lag1_autocorrelation, 3)
    (10000000.2, 0.1, -0.999)
    """
    series = sample("values", values, count=2)
    mean = math.fsum(series) / series.size
    about = series - mean
    # What the rounded mean is still off by; taking it away costs nothing and gains a digit.
    about -= math.fsum(about) / series.size
    squares = math.fsum(about * about)
    if squares == 0.0:
        raise OutOfRange("values", float(series[0]), N_("numbers that are not all equal"))
    return Summary(series.size, mean, math.sqrt(squares / (series.size - 1)),
                   math.fsum(about[1:] * about[:-1]) / squares)

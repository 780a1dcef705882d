"""Whether two ways of measuring agree: limits of agreement, a line with errors on both sides, kappa."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, probability, real, sample, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor

PAIRS_FOR_CONVERSION = 40


@dataclass(frozen=True)
class LimitsOfAgreement:
    """Mean difference first less second, and the limits within which most single differences lie."""

    mean_difference: float
    sd_difference: float
    lower: float
    upper: float
    correlation: float
    n: int

    @property
    def as_factors(self) -> tuple[float, float, float]:
        """Mean, lower and upper limit of the first over the second, where the values were log10."""
        mean, low, high = (float(10.0**value) for value in (self.mean_difference, self.lower, self.upper))
        return mean, low, high


@dataclass(frozen=True)
class DemingLine:
    """``y = intercept + slope x`` with errors on both sides, and jackknife intervals of both.

    ``scatter`` is the standard deviation of y about the line.
    """

    slope: float
    intercept: float
    slope_interval: tuple[float, float]
    intercept_interval: tuple[float, float]
    scatter: float
    n: int

    @property
    def may_convert(self) -> bool:
        """Whether the pairs are enough to convert one into the other at all."""
        return self.n >= PAIRS_FOR_CONVERSION


@dataclass(frozen=True)
class Kappa:
    """Agreement beyond chance with its asymptotic standard error and interval; never shown without its table."""

    kappa: float
    standard_error: float
    lower: float
    upper: float
    agreed_frac: float
    by_chance_frac: float


def limits_of_agreement(first: ArrayLike, second: ArrayLike, *, multiple: float = 1.959964) -> LimitsOfAgreement:
    """Return how far two ways of measuring the same things lie apart.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        The same things measured both ways, in the same unit; two or more. RLU of two instruments enter as log10, and
        the limits are then factors.
    multiple : float
        Standard deviations on either side, above 0.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Bland & Altman 1986, Lancet i:307, who use 2 (figures read in test suites). Not for RLU against plate counts: their
    units differ. A correlation is no agreement.

    Examples
    --------
    >>> found = limits_of_agreement([2.0, 2.4, 2.9, 3.1], [2.1, 2.2, 2.7, 3.2])
    >>> round(found.mean_difference, 3), round(found.upper, 2)
    (0.05, 0.39)
    """
    one, two = _pairs(first, second, 2)
    difference = one - two
    mean, sd = float(difference.mean()), float(difference.std(ddof=1))
    times = real("multiple", multiple, above=0.0)
    flat = np.ptp(one) == 0.0 or np.ptp(two) == 0.0
    correlation = math.nan if flat else float(np.corrcoef(one, two)[0, 1])
    return LimitsOfAgreement(mean, sd, mean - times * sd, mean + times * sd, correlation, one.size)


def deming(x: ArrayLike, y: ArrayLike, *, variance_ratio: float, coverage: float = 0.95) -> DemingLine:
    """Return the line through points of which both coordinates are measured with error.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        The same things measured both ways, logs for RLU; three or more, x not all alike.
    variance_ratio : float
        Error variance of y over that of x, from duplicates of each, above 0. The wrong way round it gives another line.
    coverage : float
        Of the jackknife intervals, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or the points show no direction.

    Source
    ------
    Deming 1943; Pearson 1901 at ratio 1 (memory), and a worked example at ratio 1/4 read in a test suite. Intervals:
    jackknife with Student's t (Linnet 1993, Clin. Chem. 39:424, memory). Least squares of y on x is too flat.

    Examples
    --------
    >>> line = deming([0.0, 1.0, 2.0, 3.0], [0.1, 0.9, 2.2, 2.9], variance_ratio=1.0)
    >>> round(line.slope, 3), line.may_convert
    (0.976, False)
    """
    one, two = _pairs(x, y, 3)
    ratio, covered = real("variance_ratio", variance_ratio, above=0.0), probability("coverage", coverage)
    slope, intercept = _line(one, two, ratio)
    left = np.array([_line(np.delete(one, i), np.delete(two, i), ratio) for i in range(one.size)])
    pseudo = one.size * np.array([slope, intercept]) - (one.size - 1) * left
    half = coverage_factor(covered, one.size - 1) * pseudo.std(axis=0, ddof=1) / math.sqrt(one.size)
    scatter = float(np.sqrt(np.sum((two - intercept - slope * one) ** 2) / max(one.size - 2, 1)))
    return DemingLine(slope, intercept, (slope - float(half[0]), slope + float(half[0])),
                      (intercept - float(half[1]), intercept + float(half[1])), scatter, one.size)


def converted(line: DemingLine, x: float, *, coverage: float = 0.95) -> tuple[float, float, float]:
    """Return what another instrument of the pair would show, with the interval of a single reading.

    Parameters
    ----------
    line : DemingLine
        From 40 pairs or more over the range.
    x : float
        Reading of the first instrument, on the scale of the line.
    coverage : float
        Above 0 and below 1.

    Raises
    ------
    OutOfRange
        If the line rests on fewer pairs: a limit is then not carried over.

    Examples
    --------
    >>> x = np.linspace(1.0, 4.0, 40)
    >>> line = deming(x, x + 0.3 + 0.1 * np.cos(40 * x), variance_ratio=1.0)
    >>> [round(value, 1) for value in converted(line, 2.0)]
    [2.3, 2.2, 2.4]
    """
    if not line.may_convert:
        raise OutOfRange("pairs", line.n, N_("{least} pairs or more: a conversion from fewer is none"),
                         least=PAIRS_FOR_CONVERSION)
    middle = line.intercept + line.slope * real("x", x)
    half = float(coverage_factor(probability("coverage", coverage), line.n - 2)) * line.scatter
    return middle, middle - half, middle + half


def kappa(table: ArrayLike, *, coverage: float = 0.95) -> Kappa:
    """Return agreement beyond chance of two ways of sorting.

    Parameters
    ----------
    table : array_like, shape (k, k)
        How many the first way put in the row's kind and the second in the column's; whole numbers, not all of one kind.
    coverage : float
        Of the interval, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Cohen 1960; Fleiss, Cohen & Everitt 1969 for the standard error (memory; figures read in a test suite). Depends on
    how common each kind is: the same meters give another kappa on cleaner surfaces.

    Examples
    --------
    >>> round(kappa([[0, 4, 1], [0, 8, 0], [0, 1, 5]]).kappa, 4)
    0.4842
    """
    counts = wholes("table", table)
    if counts.ndim != 2 or counts.shape[0] != counts.shape[1] or counts.shape[0] < 2 or counts.sum() < 1:
        raise OutOfRange("table", counts.size, N_("as many rows as columns, two or more, with something in them"))
    n = float(counts.sum())
    share = counts / n
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    agreed, chance = float(np.trace(share)), float(rows @ columns)
    if chance >= 1.0:
        raise OutOfRange("table", int(n), N_("things of more than one kind"))
    found = (agreed - chance) / (1.0 - chance)
    about = rows[None, :] + columns[:, None]
    variance = (np.sum(np.diag(share) * (1.0 - (rows + columns) * (1.0 - found)) ** 2)
                + (1.0 - found) ** 2 * (np.sum(share * about**2) - np.sum(np.diag(share) * np.diag(about) ** 2))
                - (found - chance * (1.0 - found)) ** 2) / (n * (1.0 - chance) ** 2)
    error = math.sqrt(max(float(variance), 0.0))
    half = float(coverage_factor(probability("coverage", coverage))) * error
    return Kappa(found, error, found - half, found + half, agreed, chance)


def _pairs(x: ArrayLike, y: ArrayLike, least: int) -> tuple[Array, Array]:
    one, two = sample("first", x, count=least), sample("second", y, count=least)
    if one.size != two.size:
        raise OutOfRange("second", two.size, N_("as many as the first ({n})"), n=one.size)
    return one, two


def _line(x: Array, y: Array, ratio: float) -> tuple[float, float]:
    sxx, syy = float(np.var(x)), float(np.var(y))
    sxy = float(np.mean((x - x.mean()) * (y - y.mean())))
    if sxy == 0.0:
        raise OutOfRange("second", 0.0, N_("values that go up or down with the first"))
    rest = syy - ratio * sxx
    slope = (rest + math.sqrt(rest * rest + 4.0 * ratio * sxy * sxy)) / (2.0 * sxy)
    return slope, float(y.mean() - slope * x.mean())

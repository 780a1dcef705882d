"""A straight calibration line, and what a reading on it says backwards."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import probability, real, sample
from tersum.errors import N_, OutOfRange
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.linear_model import linear_fit


@dataclass(frozen=True)
class CalibrationLine:
    """``y = intercept + slope x`` by least squares, x taken as known."""

    intercept: float
    slope: float
    intercept_error: float
    slope_error: float
    residual_sd: float
    r_squared: float
    f: float
    n: int
    mean_x: float
    mean_y: float
    squares_x: float


def calibration_line(x: ArrayLike, y: ArrayLike) -> CalibrationLine:
    """Return the least-squares line of readings on known amounts.

    Parameters
    ----------
    x : array_like, shape (n,)
        Known amounts, three or more, not all alike.
    y : array_like, shape (n,)
        What was read.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST Statistical Reference Datasets, linear regression, Norris (certified values read). Where x is itself measured
    with error the line is too flat: see :func:`tersum.evidence.agreement.deming`.

    Examples
    --------
    >>> line = calibration_line([0.0, 1.0, 2.0, 3.0], [0.1, 1.1, 1.9, 3.1])
    >>> round(line.slope, 3), round(line.residual_sd, 3)
    (0.98, 0.118)
    """
    one, two = sample("x", x, count=3), sample("y", y, count=3)
    if one.size != two.size:
        raise OutOfRange("y", two.size, N_("as many as x ({n})"), n=one.size)
    mean_x, mean_y = math.fsum(one) / one.size, math.fsum(two) / two.size
    fit = linear_fit(np.column_stack([np.ones(one.size), one - mean_x]), two - mean_y)
    slope, squares_x = float(fit.coefficients[1]), math.fsum((one - mean_x) ** 2)
    total = math.fsum((two - mean_y) ** 2)
    if fit.residual_squares == 0.0:
        raise OutOfRange("y", float(two[0]), N_("readings with some scatter about the line"))
    explained = total - fit.residual_squares
    return CalibrationLine(
        float(fit.coefficients[0] + mean_y - slope * mean_x), slope,
        fit.residual_sd * math.sqrt(1.0 / one.size + mean_x**2 / squares_x), fit.residual_sd / math.sqrt(squares_x),
        fit.residual_sd, explained / total, explained / fit.residual_mean_square, one.size, mean_x, mean_y, squares_x)


def amount_read(line: CalibrationLine, y: float, *, readings: int = 1,
                coverage: float = 0.95) -> tuple[float, float, float]:
    """Return the amount behind a reading, with its interval.

    Parameters
    ----------
    line : CalibrationLine
        From known amounts.
    y : float
        A reading, or the mean of several.
    readings : int
        How many are behind it, 1 or more.
    coverage : float
        Above 0 and below 1.

    Returns
    -------
    amount, low, high : float
        Infinite ends where the line is too flat to be read backwards at this coverage.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Fieller 1954 (known from memory). Outside the amounts of the calibration it is a guess.

    Examples
    --------
    >>> line = calibration_line([0.0, 1.0, 2.0, 3.0], [0.1, 1.1, 1.9, 3.1])
    >>> [round(value, 2) for value in amount_read(line, 2.0)]
    [1.96, 1.38, 2.59]
    """
    many, middle = real("readings", readings, at_least=1.0), real("y", y) - line.mean_y
    if line.slope == 0.0:
        return math.nan, -math.inf, math.inf
    t = float(coverage_factor(probability("coverage", coverage), line.n - 2))
    g = (t * line.slope_error / line.slope) ** 2
    amount = line.mean_x + middle / line.slope
    if g >= 1.0:
        return amount, -math.inf, math.inf
    centre = line.mean_x + middle / (line.slope * (1.0 - g))
    root = (1.0 - g) * (1.0 / many + 1.0 / line.n) + (middle / line.slope) ** 2 / line.squares_x
    half = t * line.residual_sd / (abs(line.slope) * (1.0 - g)) * math.sqrt(root)
    return amount, centre - half, centre + half

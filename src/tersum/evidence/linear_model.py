"""Least squares on a design of few columns, by an orthogonal factor so that close columns cost no digits."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, reals
from tersum.errors import N_, OutOfRange


@dataclass(frozen=True)
class LinearFit:
    """Coefficients in the order of the columns, their covariance, and what is left over."""

    coefficients: Array
    covariance: Array
    residuals: Array
    residual_squares: float
    degrees_of_freedom: int

    @property
    def residual_mean_square(self) -> float:
        return self.residual_squares / self.degrees_of_freedom

    @property
    def residual_sd(self) -> float:
        return math.sqrt(self.residual_mean_square)

    @property
    def standard_errors(self) -> Array:
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def linear_fit(design: ArrayLike, response: ArrayLike) -> LinearFit:
    """Return the least-squares fit of a response on the columns of a design.

    Parameters
    ----------
    design : array_like, shape (n, k)
        One column per coefficient, none a combination of others.
    response : array_like, shape (n,)
        More values than coefficients.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Least squares by QR (Golub & Van Loan, Matrix Computations, chapter 5, known from memory). Columns are centred by
    the caller where they are far from 0.

    Examples
    --------
    >>> fit = linear_fit([[1, 0], [1, 1], [1, 2]], [1.0, 3.0, 5.0])
    >>> fit.coefficients.round(6).tolist(), fit.degrees_of_freedom
    ([1.0, 2.0], 1)
    """
    x, y = reals("design", design), reals("response", response)
    if x.ndim != 2 or y.shape != x.shape[:1] or y.size <= x.shape[1]:
        raise OutOfRange("response", y.size, N_("more values than the {columns} coefficients, one a row of the design"),
                         columns=x.shape[-1])
    if np.linalg.matrix_rank(x) < x.shape[1]:
        raise OutOfRange("design", x.shape[1], N_("columns of which none is a combination of the others"))
    orthogonal, upper = np.linalg.qr(x)
    coefficients = np.linalg.solve(upper, orthogonal.T @ y)
    # What rounding left in the residuals is fitted once more: it gains the last digits of hard series.
    coefficients += np.linalg.solve(upper, orthogonal.T @ (y - x @ coefficients))
    residuals = y - x @ coefficients
    squares, freedom = math.fsum(residuals * residuals), y.size - x.shape[1]
    inverse = np.linalg.inv(upper)
    return LinearFit(coefficients, inverse @ inverse.T * (squares / freedom), residuals, squares, freedom)

"""Linear models with random parts: panels that share a vehicle, vehicles that each soil at a rate of their own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

from tersum.arguments import Array, reals
from tersum.errors import N_, OutOfRange

_EDGE = 1e-4  # a standard deviation below this share of the residual one is reported as none


@dataclass(frozen=True)
class RandomPart:
    """What differs from group to group: one column of ones for the level, one of times for a slope."""

    groups: npt.NDArray[np.intp]
    columns: Array

    @classmethod
    def level(cls, groups: ArrayLike) -> RandomPart:
        """Return the part by which the level of each group differs."""
        codes = np.unique(np.asarray(groups), return_inverse=True)[1].ravel()
        return cls(codes, np.ones((codes.size, 1)))

    @classmethod
    def level_and_slope(cls, groups: ArrayLike, along: ArrayLike) -> RandomPart:
        """Return the part by which level and slope of each group differ, correlated as they may be."""
        codes = np.unique(np.asarray(groups), return_inverse=True)[1].ravel()
        return cls(codes, np.column_stack([np.ones(codes.size), reals("along", along)]))

    def spread_over(self, factor: Array) -> Array:
        """Return the covariance this part brings into the responses, per residual variance."""
        if factor.size == 1:
            return np.asarray(factor.item() ** 2 * self._shared)
        loaded = self.columns @ factor
        return np.asarray((loaded @ loaded.T) * self._together)

    @cached_property
    def _together(self) -> npt.NDArray[np.bool_]:
        return np.asarray(self.groups[:, None] == self.groups[None, :])

    @cached_property
    def _shared(self) -> Array:
        return np.asarray((self.columns @ self.columns.T) * self._together)


@dataclass(frozen=True)
class MixedFit:
    """Fixed coefficients with their covariance, the covariance of each random part, and the residual variance.

    ``at_edge`` is True where a random part came out as nothing: the data show no such difference, which does not show
    that there is none.
    """

    coefficients: Array
    covariance: Array
    parts: tuple[Array, ...]
    residual_variance: float
    at_edge: bool
    loss: float

    @property
    def standard_errors(self) -> Array:
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def mixed_fit(design: ArrayLike, response: ArrayLike, parts: Sequence[RandomPart]) -> MixedFit:
    """Return the fit by restricted likelihood of a linear model with random parts.

    Parameters
    ----------
    design : array_like, shape (n, k)
        Fixed columns, none a combination of others.
    response : array_like, shape (n,)
        More values than columns.
    parts : sequence of RandomPart
        One at least, each over the same ``n`` values and with two groups or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Profiled restricted likelihood, relative factors of the covariance as free numbers: Bates, Maechler, Bolker & Walker
    2015, J. Stat. Softw. 67(1), section 3.4 (known from memory), whose printed fits are the check. Holds for normal
    errors; with few groups the variance of a part is hardly known, the fixed coefficients of what varies within groups
    are. Standard errors take the variances as known: too small with fewer than about six groups.

    Examples
    --------
    >>> group = [0, 0, 0, 1, 1, 1, 2, 2, 2]
    >>> fit = mixed_fit(np.ones((9, 1)), [1.0, 1.2, 1.1, 2.0, 2.2, 2.1, 3.0, 2.9, 3.1], [RandomPart.level(group)])
    >>> round(fit.coefficients.item(), 3), round(fit.parts[0].item(), 3), round(fit.residual_variance, 3)
    (2.067, 0.9, 0.01)
    """
    # Heavy, and wanted by fits alone.
    from scipy.optimize import minimize  # noqa: PLC0415

    x, y = reals("design", design), reals("response", response)
    if x.ndim != 2 or y.shape != x.shape[:1] or y.size <= x.shape[1]:
        raise OutOfRange("response", y.size, N_("more values than the {columns} fixed columns"), columns=x.shape[-1])
    if np.linalg.matrix_rank(x) < x.shape[1]:
        raise OutOfRange("design", x.shape[1], N_("columns of which none is a combination of the others"))
    for part in parts:
        if part.groups.size != y.size or part.groups.max() < 1:
            raise OutOfRange("parts", int(part.groups.max()) + 1, N_("two groups or more, over all values"))
    profile = _Profile(x, y, tuple(parts))
    found = minimize(profile.loss, profile.start(), method="Nelder-Mead",
                     options={"xatol": 1e-6, "fatol": 1e-10, "maxiter": 4000, "maxfev": 4000})
    return profile.fit(found.x)


@dataclass(frozen=True)
class _Profile:
    """The restricted likelihood as a function of the relative factors alone."""

    x: Array
    y: Array
    parts: tuple[RandomPart, ...]

    def start(self) -> Array:
        return np.concatenate([np.eye(part.columns.shape[1])[np.tril_indices(part.columns.shape[1])]
                               for part in self.parts])

    def factors(self, free: Array) -> list[Array]:
        """Return the lower factor of each part; a sign of the diagonal means nothing and is dropped."""
        found, place = [], 0
        for part in self.parts:
            size = part.columns.shape[1]
            if size == 1:
                found.append(np.abs(free[place:place + 1]).reshape(1, 1))
                place += 1
                continue
            rows, columns = np.tril_indices(size)
            values = free[place:place + rows.size]
            factor = np.zeros((size, size))
            factor[rows, columns] = np.where(rows == columns, np.abs(values), values)
            place += rows.size
            found.append(factor)
        return found

    def loss(self, free: Array) -> float:
        _, upper, rest, log_det = self._solved(free)
        freedom = self.y.size - self.x.shape[1]
        return float(log_det + 2.0 * np.log(np.abs(np.diag(upper))).sum() + freedom * math.log(rest / freedom))

    def fit(self, free: Array) -> MixedFit:
        coefficients, upper, rest, _ = self._solved(free)
        residual = rest / (self.y.size - self.x.shape[1])
        inverse = np.linalg.inv(upper)
        factors = self.factors(free)
        none = any(np.diag(factor).min() * np.abs(part.columns).max() < _EDGE
                   for factor, part in zip(factors, self.parts, strict=True))
        return MixedFit(coefficients, inverse @ inverse.T * residual,
                        tuple(factor @ factor.T * residual for factor in factors), residual, none, self.loss(free))

    def _solved(self, free: Array) -> tuple[Array, Array, float, float]:
        spread = np.eye(self.y.size)
        for part, factor in zip(self.parts, self.factors(free), strict=True):
            spread += part.spread_over(factor)
        lower = np.linalg.cholesky(spread)
        x, y = np.linalg.solve(lower, self.x), np.linalg.solve(lower, self.y)
        orthogonal, upper = np.linalg.qr(x)
        along = orthogonal.T @ y
        left = y - orthogonal @ along
        return np.linalg.solve(upper, along), upper, float(left @ left), float(2.0 * np.log(np.diag(lower)).sum())

"""The likelihood of panel readings of which some are inequalities: fixed effects, and one random level a panel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp

from tersum.arguments import Array, reals
from tersum.errors import N_, OutOfRange
from tersum.evidence.likelihood import log_share_between

_LOG_ROOT_2PI = 0.5 * math.log(2.0 * math.pi)
_GRID = np.linspace(-6.0, 6.0, 121)
_GRID_LOG_WEIGHT = -0.5 * _GRID * _GRID - _LOG_ROOT_2PI + math.log(_GRID[1] - _GRID[0])
_LEAST_RATIO = 1e-3  # a panel spread below this share of the swab spread is none
_FLAT = 1e-6  # least curvature, log10^-2: where the likelihood is flatter still, an error of 1,000 log10 says so


@dataclass(frozen=True)
class CensoredFit:
    """Fixed coefficients, their covariance by the curvature of the likelihood, and the two spreads, log10.

    A coefficient that the measured values do not hold, as that of an arm all of whose values are inequalities, has a
    standard error of hundreds of log10 and is no estimate.
    """

    coefficients: Array
    covariance: Array
    panel_sd: float
    residual_sd: float
    censored: int


def censored_fit(design: Array, low: Array, high: Array, panels: npt.NDArray[np.intp]) -> CensoredFit:
    """Return the fit of largest likelihood of logs that are known, or known to lie between two ends.

    Parameters
    ----------
    design : ndarray, shape (n, k)
        Fixed columns, none a combination of others.
    low, high : ndarray, shape (n,)
        Ends of each log; equal where measured, ``-inf`` and ``inf`` allowed.
    panels : ndarray of int, shape (n,)
        The panel of each.

    Raises
    ------
    OutOfRange
        If fewer values are measured than there are columns and two, where no spread can be told.

    Source
    ------
    Density for measured, distribution function for censored values (Helsel 2005, known from memory), integrated over a
    normal level of each panel on a fixed grid (good to a panel spread of about ten swab spreads). Largest likelihood
    gives variances that are too small with few panels: the caller scales them.

    Examples
    --------
    >>> y = np.array([2.0, 1.6, 1.8, 1.5, 2.2, 1.7, 1.9, 1.2])
    >>> x = np.column_stack([np.ones(8), np.tile([0.0, 1.0], 4)])
    >>> found = censored_fit(x, y, y, np.repeat(np.arange(4), 2))
    >>> found.coefficients.round(3).tolist()
    [1.975, -0.475]
    """
    # Heavy, and wanted by fits alone.
    from scipy.optimize import minimize  # noqa: PLC0415

    x = reals("design", design)
    likelihood = _Likelihood(x, low, high, panels)
    known = int(likelihood.known.sum())
    if known < x.shape[1] + 2:
        raise OutOfRange("low", known, N_("{least} measured values or more"), least=x.shape[1] + 2)
    found = minimize(likelihood.loss, likelihood.start(), jac=True, method="L-BFGS-B",
                     bounds=[(None, None)] * x.shape[1] + [(-7.0, 3.0), (-12.0, 3.0)],
                     options={"maxiter": 500, "ftol": 1e-11, "gtol": 1e-6}).x
    spread, panel = math.exp(found[-2]), math.exp(found[-1])
    free = found.size - (1 if panel < _LEAST_RATIO * spread else 0)
    covariance = _inverse(likelihood.curvature(found)[:free, :free])
    return CensoredFit(found[:-2], covariance[:x.shape[1], :x.shape[1]], panel, spread, low.size - known)


def _inverse(curvature: Array) -> Array:
    """Return the inverse of a curvature, with a huge variance, and never a negative one, where it is flat."""
    bent, directions = np.linalg.eigh(curvature)
    return np.asarray((directions / np.maximum(bent, _FLAT)) @ directions.T, dtype=np.float64)


@dataclass(frozen=True)
class _Likelihood:
    x: Array
    low: Array
    high: Array
    panels: npt.NDArray[np.intp]

    @cached_property
    def _sorted(self) -> Array:
        """Return the matrix that sums values by panel."""
        return np.asarray(np.unique(self.panels)[:, None] == self.panels, dtype=np.float64)

    @cached_property
    def known(self) -> npt.NDArray[np.bool_]:
        return np.asarray(self.low == self.high)

    def start(self) -> Array:
        """Return where to begin: every inequality at its finite end, which is no estimate but a place to start from."""
        y = np.where(np.isfinite(self.low), self.low, self.high)
        coefficients = np.linalg.lstsq(self.x, y, rcond=None)[0]
        spread = math.log(max(float((y - self.x @ coefficients).std()), 1e-3))
        return np.concatenate([coefficients, [spread - 0.35, spread - 0.35]])

    def loss(self, at: Array) -> tuple[float, Array]:
        """Return minus the log likelihood and its derivatives."""
        coefficients, spread, panel = at[:-2], math.exp(at[-2]), math.exp(at[-1])
        middle = (self.x @ coefficients)[:, None] + panel * _GRID
        log_f, by_middle, by_log_spread = self._terms(middle, spread)
        joint = self._sorted @ log_f + _GRID_LOG_WEIGHT
        each = logsumexp(joint, axis=1)
        weight = np.exp(joint - each[:, None])[self.panels]
        slope = np.concatenate([self.x.T @ (weight * by_middle).sum(axis=1),
                                [(weight * by_log_spread).sum(), (weight * by_middle * _GRID).sum() * panel]])
        return -float(each.sum()), -slope

    def curvature(self, at: Array) -> Array:
        """Return the second derivatives of the loss, by differences of its slope."""
        rows = []
        for place in range(at.size):
            step = np.zeros(at.size)
            step[place] = 1e-4
            rows.append((self.loss(at + step)[1] - self.loss(at - step)[1]) / 2e-4)
        found = np.array(rows)
        return np.asarray((found + found.T) / 2.0)

    def _terms(self, middle: Array, spread: float) -> tuple[Array, Array, Array]:
        """Return the log likelihood of each value at each level of its panel, and its two derivatives."""
        known = self.known
        log_f, by_middle, by_spread = np.empty_like(middle), np.empty_like(middle), np.empty_like(middle)
        z = (self.low[known, None] - middle[known]) / spread
        log_f[known] = -0.5 * z * z - _LOG_ROOT_2PI - math.log(spread)
        by_middle[known], by_spread[known] = z / spread, z * z - 1.0
        a = (self.low[~known, None] - middle[~known]) / spread
        b = (self.high[~known, None] - middle[~known]) / spread
        share = log_share_between(a, b)
        at_a, at_b = (np.exp(-0.5 * end * end - _LOG_ROOT_2PI - share) for end in (a, b))
        log_f[~known], by_middle[~known] = share, (at_a - at_b) / spread
        by_spread[~known] = _product(a, at_a) - _product(b, at_b)
        return log_f, by_middle, by_spread


def _product(end: Array, density: Array) -> Array:
    return np.where(np.isfinite(end), end, 0.0) * density

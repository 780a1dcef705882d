"""The likelihood of normal logs of which some are only known to lie between two ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from tersum.arguments import Array
from tersum.evidence.search import root

_LOG_ROOT_2PI = 0.5 * math.log(2.0 * math.pi)


@dataclass(frozen=True)
class CensoredLogs:
    """Measured logs, and the ends of those that are not measured."""

    measured: Array
    low: Array
    high: Array

    @property
    def n(self) -> int:
        return self.measured.size + self.low.size

    @classmethod
    def of(cls, low: Array, high: Array) -> CensoredLogs:
        with np.errstate(divide="ignore"):
            low_log, high_log = np.log10(low), np.log10(high)
        known = low == high
        return cls(low_log[known], low_log[~known], high_log[~known])

    def profile(self, mean: float) -> tuple[float, float, float]:
        """Return the least loss at a mean, the log spread that gives it, and how the loss changes with the mean there.

        At a given mean the loss has one lowest point along the spread: its negative is concave in one over the spread.
        """
        start = math.log(self.measured.std())
        log_spread = root(lambda free: self.slope(np.array([mean, free]))[1], start, 0.5)
        at = np.array([mean, log_spread])
        return self.loss(at), log_spread, float(self.slope(at)[0])

    def loss(self, at: Array) -> float:
        """Return minus the log likelihood at mean and log spread, without its constant."""
        z, _, _, log_share = self._terms(at)
        return float(0.5 * z @ z + z.size * at[1] - log_share.sum())

    def slope(self, at: Array) -> Array:
        """Return the derivative of the loss by mean and by log spread."""
        z, a, b, log_share = self._terms(at)
        spread = math.exp(at[1])
        at_a, at_b = _density_over(a, log_share), _density_over(b, log_share)
        by_mean = -z.sum() / spread + (at_b - at_a).sum() / spread
        by_log_spread = z.size - z @ z + (_times(b, at_b) - _times(a, at_a)).sum()
        return np.array([by_mean, by_log_spread])

    def _terms(self, at: Array) -> tuple[Array, Array, Array, Array]:
        mean, spread = at[0], math.exp(at[1])
        a, b = (self.low - mean) / spread, (self.high - mean) / spread
        return (self.measured - mean) / spread, a, b, log_share_between(a, b)


def log_share_between(a: Array, b: Array) -> Array:
    """Return the log of the normal share between a and b, exact far out in either tail."""
    turn = a > 0.0
    low, high = np.where(turn, -b, a), np.where(turn, -a, b)
    upper = log_ndtr(high)
    return np.asarray(upper + np.log1p(-np.exp(log_ndtr(low) - upper)))


def _density_over(z: Array, log_share: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z * z - _LOG_ROOT_2PI - log_share))


def _times(z: Array, density: Array) -> Array:
    """Multiply, with 0 where z is infinite: there the density has vanished faster."""
    return np.where(np.isfinite(z), z, 0.0) * density

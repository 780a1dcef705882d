"""The likeliest survivor curves of many data sets at once: normal errors on log10, some points only bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from tersum.arguments import Array

Curve = Callable[[Array, Array], Array]
Mask = NDArray[np.bool_]

_MOST_STEPS = 120
_LEAST_LN_SPREAD = np.log(1e-4)  # data without any scatter would else search for a spread of 0
_CLOSE = 1e-9
_HOPELESS = 1e12


@dataclass(frozen=True)
class Points:
    """Data sets on common times: log10 N, shape (sets, times); where ``below`` is true it is an upper bound."""

    time: Array
    logs: Array
    below: Mask

    def rows(self, which: NDArray[np.intp] | Mask) -> Points:
        """Return some of the data sets."""
        return Points(self.time, self.logs[which], self.below[which])


@dataclass
class Place:
    """Where a search stands: free parameters (sets, parameters), ln of the spread, and the loss of each set."""

    free: Array
    ln_spread: Array
    loss: Array

    def rows(self, which: NDArray[np.intp] | Mask) -> Place:
        """Return some of the places."""
        return Place(self.free[which], self.ln_spread[which], self.loss[which])


def search(curve: Curve, points: Points, free: Array, *, fixed: Mask | None = None,
           ln_spread: Array | None = None) -> Place:
    """Return the likeliest parameters of each data set, from where it begins.

    Damped Newton steps (Levenberg and Marquardt) on parameters and ln spread together; the part of a counted point is
    that of least squares, the part of a bound that of Tobin. ``fixed`` holds some parameters where they are.
    """
    at = _begun(curve, points, free, ln_spread)
    held = np.zeros(free.shape, bool) if fixed is None else fixed
    damping = np.full(len(free), 1e-3)
    left = np.flatnonzero(np.isfinite(at.loss))
    for _ in range(_MOST_STEPS):
        if not left.size:
            break
        here, some = at.rows(left), points.rows(left)
        step = _step(curve, some, here, held[left], damping[left])
        tried = _placed(curve, some, here.free + step[:, :-1],
                        np.maximum(here.ln_spread + step[:, -1], _LEAST_LN_SPREAD))
        better = tried.loss <= here.loss
        taken = left[better]
        at.free[taken], at.ln_spread[taken], at.loss[taken] = (tried.free[better], tried.ln_spread[better],
                                                               tried.loss[better])
        gained = here.loss - tried.loss
        done = better & (gained < _CLOSE * (1.0 + np.abs(here.loss))) & (damping[left] < 1.0)
        damping[left] = np.where(better, damping[left] / 5.0, damping[left] * 6.0)
        done |= damping[left] > _HOPELESS  # no step helps: as good as it gets
        left = left[~done]
    return at


def best_of(curve: Curve, points: Points, starts: list[Array]) -> Place:
    """Return the best place of each data set over its own starts, each of shape (starts, parameters)."""
    counts = [len(one) for one in starts]
    owner = np.repeat(np.arange(len(starts)), counts)
    found = search(curve, points.rows(owner), np.concatenate(starts))
    order = np.lexsort((found.loss, owner))
    first = order[np.concatenate(([0], np.cumsum(counts)[:-1]))]
    return found.rows(first)


def information(curve: Curve, points: Points, at: Place) -> Array:
    """Return the information on parameters and ln spread, shape (sets, parameters + 1, parameters + 1)."""
    return _system(curve, points, at)[1]


def curve_slopes(curve: Curve, time: Array, free: Array, middle: Array | None = None) -> Array:
    """Return how the curves change with each parameter, shape (sets, times, parameters)."""
    here = curve(time, free) if middle is None else middle
    slopes = np.empty((*here.shape, free.shape[1]))
    for place in range(free.shape[1]):
        width = 1e-6 * (1.0 + np.abs(free[:, place]))
        moved = free.copy()
        moved[:, place] += width
        slopes[:, :, place] = (curve(time, moved) - here) / width[:, None]
    slopes[~np.isfinite(slopes)] = 0.0
    return slopes


def _begun(curve: Curve, points: Points, free: Array, ln_spread: Array | None) -> Place:
    if ln_spread is None:
        off = np.where(points.below, 0.0, points.logs - curve(points.time, free))
        ln_spread = np.log(np.maximum(np.sqrt(np.nanmean(off**2, axis=1)), 0.02))
    return _placed(curve, points, free.copy(), np.maximum(ln_spread, _LEAST_LN_SPREAD))


def _placed(curve: Curve, points: Points, free: Array, ln_spread: Array) -> Place:
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        z = (points.logs - curve(points.time, free)) / np.exp(ln_spread)[:, None]
        each = np.where(points.below, -log_ndtr(z), 0.5 * z * z + ln_spread[:, None])
        loss = each.sum(axis=1)
    return Place(free, ln_spread, np.where(np.isfinite(loss), loss, np.inf))


def _system(curve: Curve, points: Points, at: Place) -> tuple[Array, Array]:
    """Return slope and information of the log likelihood."""
    sets, many = at.free.shape
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        middle = curve(points.time, at.free)
        slopes = curve_slopes(curve, points.time, at.free, middle)
        spread = np.exp(at.ln_spread)[:, None]
        z = (points.logs - middle) / spread
        steep = np.exp(-0.5 * z * z - 0.5 * np.log(2.0 * np.pi) - log_ndtr(z))  # density over share
    bend = steep * (z + steep)
    by_curve = np.where(points.below, -steep, z) / spread
    by_spread = np.where(points.below, -steep * z, z * z - 1.0)
    curve2 = np.where(points.below, bend, 1.0) / spread**2
    cross = np.where(points.below, (z * bend - steep) / spread, 0.0)
    spread2 = np.where(points.below, z * z * bend - steep * z, 2.0)
    slope = np.empty((sets, many + 1))
    slope[:, :many] = np.einsum("bn,bnp->bp", by_curve, slopes)
    slope[:, many] = by_spread.sum(axis=1)
    second = np.empty((sets, many + 1, many + 1))
    second[:, :many, :many] = np.matmul((slopes * curve2[:, :, None]).transpose(0, 2, 1), slopes)
    second[:, :many, many] = second[:, many, :many] = np.einsum("bn,bnp->bp", cross, slopes)
    second[:, many, many] = spread2.sum(axis=1)
    return slope, second


def _step(curve: Curve, points: Points, at: Place, held: Mask, damping: Array) -> Array:
    slope, second = _system(curve, points, at)
    sets, many = slope.shape
    frozen = np.concatenate((held, np.zeros((sets, 1), bool)), axis=1)
    slope = np.where(frozen, 0.0, slope)
    second = np.where(frozen[:, :, None] | frozen[:, None, :], 0.0, second)
    diagonal = np.einsum("bpp->bp", second)
    size = np.maximum(np.abs(diagonal), 1e-8)
    place = np.arange(many)
    second[:, place, place] = np.where(frozen, 1.0, diagonal + damping[:, None] * size + 1e-12)
    try:
        found = np.linalg.solve(second, slope[:, :, None])[:, :, 0]
    except np.linalg.LinAlgError:
        found = slope / size
    return np.asarray(np.clip(np.nan_to_num(found), -5.0, 5.0))

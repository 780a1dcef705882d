"""Profile intervals of survivor curves: how far one parameter can go before the data speak against it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from tersum.arguments import Array
from tersum.lethality.survivor_search import Curve, Place, Points, information, search

_MOST_EXPANSIONS = 9
_MOST_NARROWINGS = 14
_NEAR = 0.004  # of the threshold: a thousandth of the width of an interval


@dataclass(frozen=True)
class Ends:
    """Ends of profile intervals in free parameters, shape (sets, parameters); infinite where the data set no end."""

    low: Array
    high: Array


def threshold(points: Array, parameters: int, confidence: float) -> Array:
    """Return by how much twice the log likelihood may fall, calibrated by F so that straight lines are exact.

    Source
    ------
    n ln(1 + t^2/(n - p)), t Student's quantile on n - p degrees of freedom: the likelihood form of the F interval of
    least squares (Bates & Watts 1988: memory). NaN where no degree of freedom is left.
    """
    freedom = points - parameters
    with np.errstate(invalid="ignore", divide="ignore"):
        quantile = stdtrit(np.maximum(freedom, 1), 0.5 + confidence / 2.0)
        return np.asarray(np.where(freedom > 0, points * np.log1p(quantile**2 / np.maximum(freedom, 1)), np.nan))


def profile_ends(curve: Curve, points: Points, best: Place, limit: Array, *,
                 places: tuple[int, ...] | None = None) -> Ends:
    """Return the ends of the profile interval of each parameter.

    Parameters
    ----------
    curve, points, best
        The model, the data sets, and the likeliest parameters of each.
    limit : ndarray, shape (sets,)
        From :func:`threshold`.
    places : tuple of int, optional
        Parameters that are wanted; all if left out, the others stay NaN.
    """
    sets, many = best.free.shape
    wanted = tuple(range(many)) if places is None else places
    sides = [(place, side) for place in wanted for side in (-1.0, 1.0)]
    owner = np.tile(np.arange(sets), len(sides))
    place = np.repeat([one for one, _ in sides], sets)
    side = np.repeat([one for _, one in sides], sets)
    found = _ends(curve, points.rows(owner), best.rows(owner), limit[owner], place, side,
                  _width(curve, points, best)[owner, place])
    low, high = np.full((sets, many), np.nan), np.full((sets, many), np.nan)
    low[owner[side < 0], place[side < 0]] = found[side < 0]
    high[owner[side > 0], place[side > 0]] = found[side > 0]
    return Ends(low, high)


def _width(curve: Curve, points: Points, best: Place) -> Array:
    """Return about the standard error of each parameter, for the first step outwards."""
    many = best.free.shape[1]
    second = information(curve, points, best)
    with np.errstate(all="ignore"):
        try:
            variance = np.einsum("bpp->bp", np.linalg.inv(second))[:, :many]
        except np.linalg.LinAlgError:
            variance = np.full((len(second), many), np.nan)
        wide = np.sqrt(variance)
    usual = 0.1 * (1.0 + np.abs(best.free))
    return np.where(np.isfinite(wide) & (wide > 0.0) & (wide < 20.0 * (1.0 + np.abs(best.free))), wide, usual)


def _ends(curve: Curve, points: Points, best: Place, limit: Array, place: Array, side: Array, width: Array) -> Array:
    rows = np.arange(len(place))
    start = best.free[rows, place]
    fixed = np.zeros(best.free.shape, bool)
    fixed[rows, place] = True
    inner, inner_fall = start.copy(), np.zeros(len(rows))
    outer, outer_fall = np.full(len(rows), np.nan), np.full(len(rows), np.nan)
    warm = Place(best.free.copy(), best.ln_spread.copy(), best.loss.copy())
    stride = np.sqrt(limit) * width
    left = np.flatnonzero(np.isfinite(limit))
    result = np.where(np.isfinite(limit), side * np.inf, np.nan)
    for turn in range(_MOST_EXPANSIONS + _MOST_NARROWINGS):
        open_ = np.isnan(outer[left])
        if turn >= _MOST_EXPANSIONS:  # still no end: the data set none on this side
            left = left[~open_]
            open_ = np.isnan(outer[left])
        if not left.size:
            break
        at = np.where(open_, inner[left] + side[left] * stride[left], _between(
            inner[left], inner_fall[left], outer[left], outer_fall[left], limit[left]))
        free = warm.free[left].copy()
        free[np.arange(left.size), place[left]] = at
        found = search(curve, points.rows(left), free, fixed=fixed[left], ln_spread=warm.ln_spread[left])
        fall = np.maximum(2.0 * (found.loss - best.loss[left]), 0.0)
        inside = fall < limit[left]
        into = left[inside]
        inner[into], inner_fall[into] = at[inside], fall[inside]
        warm.free[into], warm.ln_spread[into] = found.free[inside], found.ln_spread[inside]
        out = left[~inside]
        outer[out], outer_fall[out] = at[~inside], fall[~inside]
        stride[left] *= 2.0
        near = np.abs(fall - limit[left]) < _NEAR * limit[left]
        result[left[near]] = at[near]
        left = left[~near]
    result[left] = np.where(np.isnan(outer[left]), side[left] * np.inf, (inner[left] + outer[left]) / 2.0)
    return result


def _between(inner: Array, inner_fall: Array, outer: Array, outer_fall: Array, limit: Array) -> Array:
    """Return where the root of the fall, which is nearly straight, would cross; kept off both ends."""
    with np.errstate(invalid="ignore"):
        low, high = np.sqrt(inner_fall), np.sqrt(np.minimum(outer_fall, 1e6))
        share = (np.sqrt(limit) - low) / np.maximum(high - low, 1e-12)
    share = np.where(np.isfinite(outer_fall), np.clip(share, 0.08, 0.92), 0.5)
    return inner + share * (outer - inner)

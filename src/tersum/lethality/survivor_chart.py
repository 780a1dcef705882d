"""What a chart of a survivor curve shows: counted points, bounds, the fitted curve and its band."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from tersum.arguments import Array, probability, whole
from tersum.lethality.survivor_fit import SurvivorFit
from tersum.lethality.survivor_models import model
from tersum.lethality.survivor_search import Place, curve_slopes, information


@dataclass(frozen=True)
class SurvivorChart:
    """Times and log10 N of points, of bounds (drawn with an arrow down), and of the curve with the ends of its band.

    The band holds the curve at each single time with the stated confidence (delta method); it is no band for counts.
    """

    point_time: Array
    point_log10: Array
    bound_time: Array
    bound_log10: Array
    time: Array
    log10_n: Array
    low: Array
    high: Array


def survivor_chart(found: SurvivorFit, *, places: int = 101, confidence: float = 0.95) -> SurvivorChart:
    """Return the data of a chart over the time observed, nothing beyond it.

    Parameters
    ----------
    found : SurvivorFit
        From :func:`tersum.lethality.survivor_fit.survivor_fit`.
    places : int
        Along the curve, 2 or more.
    confidence : float
        Of the band, above 0 and below 1.

    Examples
    --------
    >>> from tersum.lethality.survivor_fit import survivor_fit
    >>> drawn = survivor_chart(survivor_fit([0, 2, 4, 6, 8], [7.0, 6.1, 5.0, 3.9, 3.1], model="log-linear"), places=3)
    >>> drawn.time.tolist(), drawn.log10_n.round(2).tolist(), (drawn.high - drawn.low).round(2).tolist()
    ([0.0, 4.0, 8.0], [7.02, 5.02, 3.02], [0.48, 0.27, 0.48])
    """
    points = found.points
    time = np.linspace(points.time.min(), points.time.max(), whole("places", places, at_least=2))
    of = model(found.model)
    at = Place(found.free[None, :], np.array([math.log(found.spread_log10)]), np.zeros(1))
    many = found.free.size
    slopes = curve_slopes(of.curve, time, at.free)[0]
    freedom = max(int((~points.below).sum()) - many, 1)
    with np.errstate(all="ignore"):
        covariance = np.linalg.pinv(information(of.curve, points, at)[0, :many, :many])
        spread = np.sqrt(np.maximum(np.einsum("np,pq,nq->n", slopes, covariance, slopes), 0.0))
    reach = float(stdtrit(freedom, 0.5 + probability("confidence", confidence) / 2.0)) * spread
    curve = of.curve(time, at.free)[0]
    below = points.below[0]
    return SurvivorChart(points.time[~below], points.logs[0][~below], points.time[below], points.logs[0][below], time,
                         curve, curve - reach, curve + reach)

"""Time to a reduction on a fitted survivor curve, with its own interval, never past what was observed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tersum.arguments import Array, real
from tersum.lethality.survivor_fit import OPEN, Fits, SurvivorFit, countable
from tersum.lethality.survivor_models import model
from tersum.lethality.survivor_profile import profile_ends, threshold
from tersum.lethality.survivor_search import Place, search

BEYOND = "beyond-the-data"
NEVER = "never-reached"


@dataclass(frozen=True)
class TimeToLogs:
    """Time to a log10 reduction with its own profile interval.

    NaN with ``why_not`` ``beyond-the-data`` (nothing is extrapolated past the reduction observed) or ``never-reached``
    (the fitted tail stands above it). ``high`` is infinite where the data set no upper end.
    """

    log10: float
    time: float
    low: float
    high: float
    why_not: tuple[str, ...]


def time_to_logs(found: SurvivorFit, log10: float, *, confidence: float = 0.95) -> TimeToLogs:
    """Return the time to a log10 reduction with its own interval.

    Parameters
    ----------
    found : SurvivorFit
        From :func:`survivor_fit`.
    log10 : float
        Above 0.
    confidence : float
        Of the interval, above 0 and below 1.

    Examples
    --------
    >>> from tersum.lethality.survivor_fit import survivor_fit
    >>> fall = survivor_fit([0, 2, 4, 6, 8, 10], [7.0, 6.1, 5.0, 3.9, 3.1, 2.0], model="log-linear")
    >>> three = time_to_logs(fall, 3.0)
    >>> round(three.time, 2), round(three.low, 2), round(three.high, 2), time_to_logs(fall, 6.0).why_not
    (5.98, 5.67, 6.33, ('beyond-the-data',))
    """
    wanted = real("log10", log10, above=0.0)
    times, low, high = times_to_logs(_as_fits(found), wanted, confidence=confidence)
    observed = float(found.free[0] - found.points.logs[~found.points.below].min())
    if wanted > observed + 1e-9 or times[0] > found.points.time.max() * (1.0 + 1e-9):
        return TimeToLogs(wanted, math.nan, math.nan, math.nan, (BEYOND,))
    if math.isnan(times[0]):
        return TimeToLogs(wanted, math.nan, math.nan, math.nan, (NEVER,))
    return TimeToLogs(wanted, float(times[0]), float(low[0]), float(high[0]),
                      () if math.isfinite(high[0]) else (OPEN,))


def shouldered_time(d: float, shoulder: float, log10: float) -> float:
    """Return the time to a log10 reduction on a curve with a shoulder and then a straight fall.

    Parameters
    ----------
    d : float
        Time for one log10 on the straight part, above 0.
    shoulder : float
        Length of the shoulder, the same unit, 0 or more.
    log10 : float
        Above 0.

    Source
    ------
    Geeraerd et al. 2005 (form: memory), exactly; from about two logs on it is shoulder + log10 times d.

    Examples
    --------
    >>> round(shouldered_time(1.1, 4.1, 5.0), 3)
    9.6
    """
    rate = math.log(10.0) / real("d", d, above=0.0)
    free = np.array([[0.0, math.log(rate), real("shoulder", shoulder, at_least=0.0)]])
    of = model("geeraerd-no-tail")
    return float(np.exp(of.to_time(free, real("log10", log10, above=0.0)))[0, of.scale])


def times_to_logs(found: Fits, log10: float, *, confidence: float = 0.95) -> tuple[Array, Array, Array]:
    """Return the time to a reduction for every data set with its ends, extrapolated or not; NaN where never reached."""
    of, logs = found.model, float(log10)
    with np.errstate(invalid="ignore", divide="ignore"):
        timed = of.to_time(found.place.free, logs)
    reached = np.isfinite(timed[:, of.scale])
    times = np.where(reached, np.exp(timed[:, of.scale]), np.nan)
    low, high = np.full(len(times), np.nan), np.full(len(times), np.nan)
    if reached.any():
        def curve(time: Array, free: Array) -> Array:
            with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
                return of.curve(time, of.from_time(free, logs))

        some = found.points.rows(reached)
        place = Place(timed[reached], found.place.ln_spread[reached], found.place.loss[reached])
        limit = threshold(countable(some), len(of.parameters), confidence)
        ends = profile_ends(curve, some, place, limit, places=(of.scale,))
        low[reached], high[reached] = np.exp(ends.low[:, of.scale]), np.exp(ends.high[:, of.scale])
    return times, low, high


def _as_fits(found: SurvivorFit) -> Fits:
    of, free = model(found.model), found.free[None, :]
    place = search(of.curve, found.points, free, ln_spread=np.array([math.log(found.spread_log10)]))
    nothing = np.full(free.shape, np.nan)
    return Fits(of, found.points, place, of.told(place.free), nothing, nothing)

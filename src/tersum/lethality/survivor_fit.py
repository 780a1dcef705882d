"""Survivor curves fitted to time-kill data, with intervals, what the data leave undecided, and which model to show."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import Array, probability, row
from tersum.errors import N_, OutOfRange
from tersum.lethality.survivor_models import Model, model
from tersum.lethality.survivor_profile import profile_ends, threshold
from tersum.lethality.survivor_search import Place, Points, best_of

OPEN = "open-interval"
FEW_POINTS = "few-points"
TAIL_UNDECIDED = "tail-undecided"
SHOULDER_UNDECIDED = "shoulder-undecided"
PHASES_UNDECIDED = "phases-undecided"
SPARE_POINTS = 3  # beyond the parameters
LEAST_ON_A_PHASE = 2
_ON_THE_TAIL = 1.25  # a point is on a tail where less than a fifth of it is still falling


@dataclass(frozen=True)
class Estimate:
    """One parameter with its profile interval; ``why_not`` says why it is not to be relied on (empty if it is)."""

    name: str
    value: float
    low: float
    high: float
    why_not: tuple[str, ...]


@dataclass(frozen=True)
class SurvivorFit:
    """One model fitted to one data set.

    ``spread_log10`` is the standard deviation about the curve with its degrees of freedom. ``sse`` counts the countable
    points. ``aicc`` is infinite where the points are too few for it.
    """

    model: str
    estimates: tuple[Estimate, ...]
    spread_log10: float
    sse: float
    aicc: float
    flags: tuple[str, ...]
    points: Points
    free: Array

    def __getitem__(self, name: str) -> Estimate:
        return next(one for one in self.estimates if one.name == name)

    def log10_n(self, time: ArrayLike) -> Array:
        """Return the fitted curve."""
        times = np.atleast_1d(np.asarray(time, dtype=float))
        return np.asarray(model(self.model).curve(times, self.free[None, :])[0])


@dataclass(frozen=True)
class Fits:
    """One model fitted to many data sets on the same times: reported parameters and ends, shape (sets, parameters)."""

    model: Model
    points: Points
    place: Place
    values: Array
    low: Array
    high: Array


def survivor_fit(time: ArrayLike, log10_n: ArrayLike, *, model: str, below: ArrayLike | None = None,
                 confidence: float = 0.95) -> SurvivorFit:
    """Return one model fitted to time-kill data.

    Parameters
    ----------
    time : array_like, shape (n,)
        Contact time of each point, 0 or more, any one unit; at least as many points as parameters and one.
    log10_n : array_like, shape (n,)
        Log10 of the count at each; where ``below`` is true, log10 of the detection limit.
    model : str
        ``log-linear``, ``weibull``, ``weibull-tail``, ``biphasic``, ``geeraerd`` or ``geeraerd-no-tail``.
    below : array_like of bool, shape (n,), optional
        Which points lie below the detection limit: they enter as bounds, never as the limit, never as log of 0.
    confidence : float
        Of the intervals, above 0 and below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.
    UnknownName
        For another model.

    Source
    ------
    Mafart et al. 2002; Albert & Mafart 2005; Cerf 1977; Geeraerd et al. 2000, 2005 (forms: memory; fits checked against
    an open data set). Maximum likelihood with normal errors of one spread on log10, bounds as in Tobin 1958; profile
    likelihood intervals calibrated by F. Holds for points that were plated independently of one another.

    Examples
    --------
    >>> time = [1, 2, 4, 6, 8, 12, 16, 20, 24, 28]
    >>> logs = [10.06, 9.98, 10.0, 9.82, 9.26, 8.49, 7.52, 7.06, 6.77, 7.09]
    >>> found = survivor_fit(time, logs, model="weibull-tail")
    >>> round(found["delta"].value, 2), round(found["p"].value, 2), round(found.sse, 3)
    (9.37, 1.9, 0.105)
    """
    points = checked_points(time, log10_n, below)
    found = fits(points, model, confidence=confidence)
    return single(found, 0)


def fits(points: Points, name: str, *, confidence: float = 0.95) -> Fits:
    """Return one model fitted to every data set of ``points``, with profile intervals."""
    of = model(name)
    probability("confidence", confidence)
    if points.time.size < len(of.parameters) + 1:
        raise OutOfRange("time", points.time.size, N_("{least} points or more for this model"),
                         least=len(of.parameters) + 1)
    place = _placed(of, points)
    limit = threshold(countable(points), len(of.parameters), confidence)
    ends = profile_ends(of.curve, points, place, limit)
    return Fits(of, points, place, of.told(place.free), of.told(ends.low), of.told(ends.high))


def checked_points(time: ArrayLike, log10_n: ArrayLike, below: ArrayLike | None) -> Points:
    """Return one data set, in the order of time; what is no data set is refused."""
    times = row("time", time, at_least=0.0)
    logs = row("log10_n", log10_n)
    hidden = np.zeros(times.size, bool) if below is None else np.atleast_1d(np.asarray(below))
    if logs.size != times.size or hidden.shape != times.shape:
        raise OutOfRange("log10_n", logs.size, N_("one for each time ({count})"), count=times.size)
    if hidden.dtype != bool:
        raise OutOfRange("below", str(hidden.tolist()), N_("true or false for each point"))
    if np.any(logs > 15.0):
        raise OutOfRange("log10_n", float(logs[logs > 15.0][0]), N_("log10 of a count, up to 15: not the count itself"))
    if (~hidden).sum() < 2 or np.unique(times[~hidden]).size < 2:
        raise OutOfRange("below", int((~hidden).sum()), N_("two countable points or more, at different times"))
    order = np.argsort(times, kind="stable")
    return Points(times[order], logs[order][None, :], hidden[order][None, :])


def _placed(of: Model, points: Points) -> Place:
    starts = [of.starts(points.time, np.where(points.below[place], points.logs[place] - 0.3, points.logs[place]))
              for place in range(len(points.logs))]
    best = best_of(of.curve, points, starts)
    return Place(of.tidied(best.free), best.ln_spread, best.loss)


def countable(points: Points) -> Array:
    """Return how many points of each data set were counted."""
    return np.asarray((~points.below).sum(axis=1), dtype=float)


def single(found: Fits, place: int) -> SurvivorFit:
    """Return one fit of many with its estimates, flags and AICc."""
    of, points = found.model, found.points.rows(np.array([place]))
    free = found.place.free[place]
    counted = ~points.below[0]
    off = points.logs[0] - of.curve(points.time, free[None, :])[0]
    many, size = len(of.parameters) + 1, points.time.size
    spare = size - many - 1
    loss = float(found.place.loss[place])
    aicc = 2.0 * loss - counted.sum() + 2.0 * many + 2.0 * many * (many + 1) / spare if spare > 0 else math.inf
    flags = _undecided(of, points, free)
    if size < len(of.parameters) + SPARE_POINTS:
        flags = (*flags, FEW_POINTS)
    estimates = tuple(Estimate(name, float(found.values[place, at]), float(found.low[place, at]),
                               float(found.high[place, at]), _why_not(found, place, at, flags))
                      for at, name in enumerate(of.parameters))
    spare_spread = math.sqrt(counted.sum() / max(counted.sum() - len(of.parameters), 1))
    spread = math.exp(float(found.place.ln_spread[place])) * spare_spread
    return SurvivorFit(of.name, estimates, spread, float((off[counted] ** 2).sum()), float(aicc), flags, points, free)


def _undecided(of: Model, points: Points, free: Array) -> tuple[str, ...]:
    """Return which phases of a model have countable points at fewer than two times on them.

    Replicates at one time show a height, but neither that it stays nor how fast it falls.
    """
    counted = ~points.below[0]

    def few(on: NDArray[np.bool_]) -> bool:
        return np.unique(points.time[counted & on]).size < LEAST_ON_A_PHASE

    curve = of.curve(points.time, free[None, :])[0]
    flags = []
    floor: Array | None = None
    if of.tail is not None:
        floor = np.full(points.time.size, free[of.tail])
    elif of.name == "biphasic":
        hardy = free[0] - np.logaddexp(0.0, -math.log(10.0) * free[1]) / math.log(10.0)
        floor = hardy - np.exp(min(free[2], 700.0)) * points.time / math.log(10.0)
        if few(curve - floor > math.log10(2.0)):  # where the rest, not the hardy part, is most of what lives
            flags.append(PHASES_UNDECIDED)
    if floor is not None and few(curve - floor < math.log10(_ON_THE_TAIL)):
        flags.append(TAIL_UNDECIDED)
    if of.shoulder is not None and few(points.time <= free[of.shoulder]):
        flags.append(SHOULDER_UNDECIDED)
    return tuple(flags)


def _why_not(found: Fits, place: int, at: int, flags: tuple[str, ...]) -> tuple[str, ...]:
    of = found.model
    why = []
    ends = found.low[place, at], found.high[place, at]
    if not all(map(math.isfinite, ends)) or (at in of.logged and ends[0] == 0.0):
        why.append(OPEN)
    if FEW_POINTS in flags:
        why.append(FEW_POINTS)
    if of.name == "biphasic" and at > 0 and (PHASES_UNDECIDED in flags or _share_undecided(found, place)):
        why.append(PHASES_UNDECIDED)  # of one population alone, neither the share nor any rate has a meaning of its own
    if TAIL_UNDECIDED in flags and (at == of.tail or (of.name == "biphasic" and at in (1, 2))):
        why.append(TAIL_UNDECIDED)
    if SHOULDER_UNDECIDED in flags and at == of.shoulder:
        why.append(SHOULDER_UNDECIDED)
    return tuple(why)


def _share_undecided(found: Fits, place: int) -> bool:
    """Return whether the data leave open that there is only one population."""
    return not (math.isfinite(found.low[place, 1]) and math.isfinite(found.high[place, 1]))

"""Which survivor model to show: the best by AICc, and of those that tie with it the more cautious."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import real
from tersum.errors import N_, OutOfRange
from tersum.lethality.survivor_fit import SurvivorFit, checked_points, fits, single
from tersum.lethality.survivor_models import MODELS, model

TIE = 2.0  # difference of AICc below which models are taken as equal


@dataclass(frozen=True)
class Comparison:
    """Models fitted to one data set, best AICc first; ``shown`` is the more cautious of those tied with the best."""

    fits: tuple[SurvivorFit, ...]
    tied: tuple[str, ...]
    shown: SurvivorFit


def compared(time: ArrayLike, log10_n: ArrayLike, *, below: ArrayLike | None = None,
             models: Sequence[str] = tuple(MODELS), logs: float = 3.0, confidence: float = 0.95) -> Comparison:
    """Return several models fitted to one data set and which to show.

    Parameters
    ----------
    time, log10_n, below
        As for :func:`survivor_fit`.
    models : sequence of str
        To be compared; those with too many parameters for the points are left out.
    logs : float
        The reduction whose time tells which of several tied models is the more cautious: the longest.
    confidence : float
        Of the intervals, above 0 and below 1.

    Source
    ------
    Akaike 1974 with the correction for few points, n ln(SSE/n) + 2K + 2K(K + 1)/(n - K - 1), K parameters with the
    spread; less than 2 apart is a tie (Burnham & Anderson 2002: memory).

    Examples
    --------
    >>> time = [1, 2, 4, 6, 8, 12, 16, 20, 24, 28]
    >>> logs = [10.06, 9.98, 10.0, 9.82, 9.26, 8.49, 7.52, 7.06, 6.77, 7.09]
    >>> found = compared(time, logs, models=("log-linear", "weibull", "weibull-tail"), logs=2.0)
    >>> found.shown.model, found.tied
    ('weibull-tail', ('weibull-tail',))
    """
    points = checked_points(time, log10_n, below)
    wanted = real("logs", logs, above=0.0)
    each = [single(fits(points, name, confidence=confidence), 0) for name in models
            if points.time.size >= len(model(name).parameters) + 1]
    if not each:
        raise OutOfRange("time", points.time.size, N_("enough points for one of the models"))
    ranked = sorted(each, key=lambda one: (one.aicc, len(one.estimates)))
    tied = [one for one in ranked if one.aicc - ranked[0].aicc < TIE] or ranked[:1]
    return Comparison(tuple(ranked), tuple(one.model for one in tied), max(tied, key=lambda one: _caution(one, wanted)))


def _caution(found: SurvivorFit, logs: float) -> float:
    with np.errstate(invalid="ignore", divide="ignore"):
        of = model(found.model)
        time = float(np.exp(of.to_time(found.free[None, :], logs))[0, of.scale])
    return math.inf if math.isnan(time) else time  # a reduction that is never reached is the longest wait of all

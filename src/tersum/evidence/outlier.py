"""One value far from the others: flagged as news, never removed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from tersum.arguments import probability, sample
from tersum.errors import UnknownName
from tersum.evidence.summary import summary

_SIDES = {"both": np.abs, "high": np.positive, "low": np.negative}


@dataclass(frozen=True)
class Outlier:
    """The value farthest from the mean: its distance in standard deviations, and what chance allows.

    ``index`` is its place, counted from 0. ``flagged`` asks for a cause, and is no licence to leave the value out.
    """

    index: int
    value: float
    distance: float
    critical: float
    flagged: bool


def grubbs(values: ArrayLike, *, risk: float = 0.05, side: str = "both") -> Outlier:
    """Return the value farthest from the mean and whether chance would put one so far out.

    Parameters
    ----------
    values : array_like, shape (n,)
        Finite numbers, normal but for the one in question (readings: their logs); three or more, not all equal.
    risk : float
        Accepted share of false flags, above 0 and below 1.
    side : str
        ``high``, ``low``, or ``both`` for the farthest on either side.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Grubbs 1969, Technometrics 11:1; NIST/SEMATECH e-Handbook 1.3.5.17.1. Holds for one outlier: two of them hide each
    other. A value leaves a record only for a cause that is written down.

    Examples
    --------
    >>> found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57], side="high")
    >>> round(found.distance, 3), round(found.critical, 3), found.flagged
    (2.469, 2.032, True)
    """
    series = sample("values", values, count=3)
    known = summary(series)
    distances = (series - known.mean) / known.sd
    if side not in _SIDES:
        raise UnknownName("side", side, tuple(_SIDES))
    index = int(np.argmax(_SIDES[side](distances)))
    tail = probability("risk", risk) / (known.n * (2 if side == "both" else 1))
    t = stdtrit(known.n - 2, 1.0 - tail)
    critical = (known.n - 1) / math.sqrt(known.n) * math.sqrt(t * t / (known.n - 2 + t * t))
    distance = float(abs(distances[index]))
    return Outlier(index, float(series[index]), distance, critical, distance > critical)

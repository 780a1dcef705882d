"""One chart of shares or counts: limits from the first, and what has happened since."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr, pdtr

from tersum.arguments import Array, whole, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.control_charts import ENOUGH_TO_SET_LIMITS, CountChart, c_chart, p_chart
from tersum.evidence.watching import CANNOT_TELL, NOTHING_SINCE, SIGNAL, STEADY, TOO_FEW

SHARE, COUNT = "share", "count"
ALL_OR_NONE = "all-or-none"


@dataclass(frozen=True)
class WatchedCounts:
    """What a chart of shares (of ``looked_at``) or counts says; ``signals`` are places since the baseline, from 0.

    ``run_length`` is the mean number of values between false alarms at these limits, by exact sums.
    """

    kind: str
    verdict: str
    why: str
    values: tuple[float, ...]
    baseline: int
    center: float
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    signals: tuple[int, ...]
    exact: bool
    run_length: float


def watch_counts(counts: ArrayLike, looked_at: ArrayLike | None = None, *,
                 baseline: int = ENOUGH_TO_SET_LIMITS) -> WatchedCounts:
    """Return what a chart of shares, or without ``looked_at`` of counts, says.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Whole numbers in the order in which they came.
    looked_at : array_like, shape (n,), or None
        Of how many each; None for counts without an end, such as faults a visit.
    baseline : int
        How many of the first set the centre, 20 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.3; exact limits for small groups, as in :mod:`tersum.evidence.control_charts`.

    Examples
    --------
    >>> found = watch_counts([1, 0, 2, 1] * 5 + [6], [8] * 21)
    >>> found.verdict, found.exact, round(found.run_length)
    ('signal', True, 813)
    """
    count, first = wholes("counts", counts), whole("baseline", baseline, at_least=ENOUGH_TO_SET_LIMITS)
    size = None if looked_at is None else wholes("looked_at", looked_at, at_least=1)
    if count.ndim != 1 or (size is not None and (size.shape != count.shape or np.any(count > size))):
        raise OutOfRange("counts", count.size, N_("a flat list of whole numbers, none above its own number looked at"))
    kind, values = (COUNT, count) if size is None else (SHARE, count / size)
    if count.size < first:
        return _untold(kind, TOO_FEW, values, first)
    seen = float(count[:first].sum())
    most = math.inf if size is None else float(size[:first].sum())
    if not 0.0 < seen < most:
        return _untold(kind, ALL_OR_NONE, values, first)
    center = seen / first if size is None else seen / most
    chart = c_chart(count, center=center) if size is None else p_chart(count, size, center_frac=center)
    signals = tuple(place for place in chart.outside if place >= first)
    since = count.size > first
    return WatchedCounts(kind, SIGNAL if signals else STEADY if since else CANNOT_TELL, "" if since else NOTHING_SINCE,
                         tuple(values.tolist()), first, center, tuple(chart.lower.tolist()),
                         tuple(chart.upper.tolist()), signals, chart.exact, _run_length(chart, size))


def _run_length(chart: CountChart, size: Array | None) -> float:
    """Return one over the mean chance of lying outside these limits while nothing has changed."""
    if size is None:
        low, high = np.ceil(chart.lower - 1e-9), np.floor(chart.upper + 1e-9)
        inside = pdtr(high, chart.center) - np.where(low > 0, pdtr(np.maximum(low - 1, 0), chart.center), 0.0)
    else:
        low, high = np.ceil(chart.lower * size - 1e-9), np.floor(chart.upper * size + 1e-9)
        whole_size = size.astype(int)
        inside = bdtr(high, whole_size, chart.center) - np.where(
            low > 0, bdtr(np.maximum(low - 1, 0), whole_size, chart.center), 0.0)
    outside = float(np.mean(1.0 - inside))
    return 1.0 / outside if outside > 1e-12 else math.inf


def _untold(kind: str, why: str, values: Array, first: int) -> WatchedCounts:
    none = (math.nan,) * values.size
    return WatchedCounts(kind, CANNOT_TELL, why, tuple(values.tolist()), first, math.nan, none, none, (), exact=True,
                         run_length=math.nan)

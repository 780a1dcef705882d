"""One chart and one rule for one stream: limits from its first values, and what has happened since."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, sample, whole
from tersum.errors import OutOfRange
from tersum.evidence.control_charts import ENOUGH_TO_SET_LIMITS, cusum, ewma, individuals
from tersum.evidence.run_length import cusum_run_length, ewma_run_length, shewhart_run_length
from tersum.evidence.trend import Break, Trend, mann_kendall, single_break

INDIVIDUALS, EWMA, CUSUM = "individuals", "ewma", "cusum"
KINDS = (INDIVIDUALS, EWMA, CUSUM)
STEADY, SIGNAL, CANNOT_TELL = "steady", "signal", "cannot-tell"
TOO_FEW, CONSTANT, NOTHING_SINCE, INEQUALITIES = "too-few", "constant", "nothing-since", "inequalities"
SHORT_BASELINE, BASELINE_OUTSIDE, HANGS_TOGETHER = "short-baseline", "baseline-outside", "hangs-together"
LAM, WIDTH, ALLOWANCE, LIMIT = 0.2, 2.962, 0.5, 5.0
ENOUGH_TO_TRUST_RUN_LENGTH = 100


@dataclass(frozen=True)
class Watched:
    """What a chart says of one stream.

    ``drawn``, ``lower`` and ``upper`` are what the chart draws (for a cumulative sum the larger of its two sums, in
    standard deviations); ``signals`` are places in the stream, from 0. ``run_length`` is the mean number of values
    between false alarms, ``run_length_shift`` that until a shift of one standard deviation is found, both with known
    limits. ``why`` is a code where it cannot tell.
    """

    kind: str
    verdict: str
    why: str
    values: tuple[float, ...]
    baseline: int
    center: float
    sigma: float
    drawn: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    signals: tuple[int, ...]
    run_length: float
    run_length_shift: float
    jump: Break | None
    trend: Trend | None
    neighbours: float
    remarks: tuple[tuple[str, tuple[float, ...]], ...]


def watch(values: ArrayLike, *, kind: str = EWMA, baseline: int = ENOUGH_TO_SET_LIMITS,
          residuals: bool = False, left_out: int = 0) -> Watched:
    """Return what one chart with one rule says of a stream.

    Parameters
    ----------
    values : array_like, shape (n,)
        One a visit, log10, in the order in which they came; any number, none included.
    kind : str
        ``individuals`` (beyond three standard deviations), ``ewma`` (0.2, 2.962) or ``cusum`` (0.5, 5).
    baseline : int
        How many of the first values set centre and spread, 20 or more: a period known to have been in order. The
        spread comes from the raw values, by their moving range, never from what the chart smooths.
    residuals : bool
        Chart what is left after each value's predecessor, for streams whose neighbours hang together.
    left_out : int
        Visits whose value was an inequality; above a fifth of all, nothing is charted: count what lies above a limit.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 6.3.2 (read in transcriptions). Run lengths are computed for known limits and values that
    do not hang together; limits from fewer than about 100 values ring far more often.

    Examples
    --------
    >>> level = [2.0, 2.2, 1.9, 2.1, 1.8, 2.0, 2.1, 2.3, 1.9, 2.0] * 2
    >>> found = watch([*level, 2.5, 2.6, 2.7, 2.6])
    >>> found.verdict, found.signals, round(found.run_length)
    ('signal', (21, 22, 23), 500)
    """
    series, first = sample("values", values, count=0), whole("baseline", baseline, at_least=ENOUGH_TO_SET_LIMITS)
    if kind not in KINDS:
        raise OutOfRange("kind", kind, "{names}", names=", ".join(KINDS))
    if 5 * whole("left_out", left_out) > series.size + left_out:
        return _untold(kind, INEQUALITIES, series, first)
    if series.size < first:
        return _untold(kind, TOO_FEW, series, first)
    if np.ptp(series[:first]) == 0.0:
        return _untold(kind, CONSTANT, series, first)
    hang = _neighbours(series[:first])
    if residuals:
        series = _residuals(series, series[:first], hang)
    limits = individuals(series[:first])
    sigma = (limits.upper - limits.center) / 3.0
    drawn, lower, upper, signals = _charted(series, kind, first, limits.center, sigma)
    alarm, shifted = run_lengths(kind)
    remarks: list[tuple[str, tuple[float, ...]]] = []
    if first < ENOUGH_TO_TRUST_RUN_LENGTH:
        remarks.append((SHORT_BASELINE, (float(first),)))
    if limits.outside:
        remarks.append((BASELINE_OUTSIDE, tuple(float(place + 1) for place in limits.outside)))
    if not residuals and abs(hang) > 2.0 / math.sqrt(first):
        remarks.append((HANGS_TOGETHER, (hang,)))
    since = series.size > first
    verdict = CANNOT_TELL if not since else SIGNAL if signals else STEADY
    return Watched(kind, verdict, "" if since else NOTHING_SINCE, tuple(series.tolist()), first, limits.center, sigma,
                   drawn, lower, upper, signals, alarm, shifted, single_break(series), whitened_trend(series), hang,
                   tuple(remarks))


@cache
def run_lengths(kind: str) -> tuple[float, float]:
    """Return the mean number of values to a false alarm, and to finding a shift of one standard deviation.

    Examples
    --------
    >>> [round(value, 1) for value in run_lengths("individuals")]
    [370.4, 43.9]
    """
    shifts = [0.0, 1.0]
    if kind == INDIVIDUALS:
        found = shewhart_run_length(shifts)
    elif kind == EWMA:
        found = ewma_run_length(shifts, lam=LAM, width=WIDTH)
    else:
        found = cusum_run_length(shifts, allowance=ALLOWANCE, limit=LIMIT)
    return float(found[0]), float(found[1])


def whitened_trend(values: ArrayLike) -> Trend:
    """Return the trend; where neighbours hang together, of the series with that taken out, slope put right.

    Source
    ------
    Prewhitening: von Storch 1995 (known from memory). Putting the slope back before the test, as others do, makes it
    ring more often than it states: tried here on series without a trend.

    Examples
    --------
    >>> round(whitened_trend([1.0, 3.0, 2.0, 4.0, 5.0, 6.0]).slope, 2)
    1.0
    """
    series = sample("values", values, count=4)
    found = mann_kendall(series)
    if found.neighbours <= 2.0 / math.sqrt(series.size) or series.size < 10:
        return found
    white = series[1:] - found.neighbours * series[:-1]
    if np.ptp(white) == 0.0:
        return found
    after = mann_kendall(white)
    return replace(after, slope=after.slope / (1.0 - found.neighbours))


def _charted(series: Array, kind: str, first: int, center: float, sigma: float,
             ) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[int, ...]]:
    """Return what is drawn, its limits and the signals; a rule with a memory starts afresh after the baseline."""
    lower, upper = np.full(series.size, center - 3.0 * sigma), np.full(series.size, center + 3.0 * sigma)
    drawn = series.copy()
    if kind == INDIVIDUALS:
        outside = (series < lower) | (series > upper)
        outside[:first] = False
    elif kind == EWMA:
        parts = [ewma(part, target=center, sigma=sigma, lam=LAM, width=WIDTH)
                 for part in (series[:first], series[first:]) if part.size]
        drawn = np.concatenate([part.ewma for part in parts])
        lower, upper = (np.concatenate([getattr(part, end) for part in parts]) for end in ("lower", "upper"))
        outside = (drawn < lower) | (drawn > upper)
        outside[:first] = False
    else:
        drawn = np.zeros(series.size)
        if series.size > first:
            sums = cusum((series[first:] - center) / sigma, target=0.0, allowance=ALLOWANCE, limit=LIMIT)
            drawn[first:] = np.where(sums.high >= sums.low, sums.high, -sums.low)
        lower, upper = np.full(series.size, -LIMIT), np.full(series.size, LIMIT)
        outside = np.abs(drawn) > LIMIT
    return (tuple(drawn.tolist()), tuple(lower.tolist()), tuple(upper.tolist()),
            tuple(int(place) for place in np.flatnonzero(outside)))


def _neighbours(series: Array) -> float:
    about = series - series.mean()
    return float(about[1:] @ about[:-1]) / float(about @ about)


def _residuals(series: Array, base: Array, hang: float) -> Array:
    mean = float(base.mean())
    after = series.copy()
    after[1:] = series[1:] - hang * (series[:-1] - mean)
    return after


def _untold(kind: str, why: str, series: Array, first: int) -> Watched:
    alarm, shifted = run_lengths(kind)
    none = (math.nan,) * series.size
    return Watched(kind, CANNOT_TELL, why, tuple(series.tolist()), first, math.nan, math.nan, tuple(series.tolist()),
                   none, none, (), alarm, shifted, None, None, math.nan, ())

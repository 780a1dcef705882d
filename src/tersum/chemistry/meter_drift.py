"""How the slope and the offset of an electrode change over its calibrations, and when it will want replacing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.ph_meter import Acceptance, customary
from tersum.chemistry.student import t_factor
from tersum.errors import N_, OutOfRange

CANNOT_TELL, STEADY, FALLING, RISING = "cannot-tell", "steady", "falling", "rising"
FEWEST = 3


@dataclass(frozen=True)
class PastCalibration:
    """One calibration in an electrode's history: day (any zero), slope in percent, offset in mV."""

    day: float
    slope_pct: float
    offset_mv: float


@dataclass(frozen=True)
class Trend:
    """A straight line over time: change per 30 days with its interval at 95 %, and the residual scatter.

    ``answer`` is ``steady``, ``falling``, ``rising``, or ``cannot-tell`` with fewer than three calibrations (then the
    numbers are NaN).
    """

    answer: str
    per_30_days: float
    low_per_30_days: float
    high_per_30_days: float
    scatter: float
    latest: float


@dataclass(frozen=True)
class Drift:
    """The history of one electrode; ``replace_after_day`` is where the slope line reaches "replace", None if never.

    It is the early end: the line with its steepest plausible fall.
    """

    slope_pct: Trend
    offset_mv: Trend
    replace_after_day: float | None


def drift(history: Sequence[PastCalibration], *, acceptance: Acceptance | None = None) -> Drift:
    """Return the trend of slope and offset over an electrode's calibrations.

    Parameters
    ----------
    history : sequence of PastCalibration
        One or more, in any order, no two on one day; slopes 0 to 120 %, offsets -200 to 200 mV.

    Source
    ------
    Ordinary least squares with Student's t. An electrode ages by steps (a blocked junction, a dried bulb) more than by
    lines: the trend warns, it promises nothing.

    Examples
    --------
    >>> seen = [PastCalibration(day, 99.0 - 0.05 * day + wobble, 2.0) for day, wobble in
    ...         ((0, 0.05), (30, -0.05), (60, 0.05), (90, -0.05))]
    >>> found = drift(seen)
    >>> found.slope_pct.answer, round(found.slope_pct.per_30_days, 2), found.offset_mv.answer
    ('falling', -1.52, 'steady')
    """
    checks = Checks()
    if not history:
        checks.add(OutOfRange("history", 0, N_("one calibration or more")))
    for place, one in enumerate(history, start=1):
        checks.number(f"calibration {place}: day", one.day, N_("-100000 to 100000"), low=-1e5, high=1e5)
        checks.number(f"calibration {place}: slope_pct", one.slope_pct, N_("0 to 120 %"), low=0.0, high=120.0)
        checks.number(f"calibration {place}: offset_mv", one.offset_mv, N_("-200 to 200 mV"), low=-200.0, high=200.0)
    if len({one.day for one in history}) < len(history):
        checks.add(OutOfRange("day", "two calibrations", N_("one calibration a day, or days with fractions")))
    checks.done()
    ordered = sorted(history, key=lambda one: one.day)
    days = [one.day for one in ordered]
    slope = _trend(days, [one.slope_pct for one in ordered])
    offset = _trend(days, [one.offset_mv for one in ordered])
    return Drift(slope, offset, _reached(days[-1], slope, (acceptance or customary()).slope_replace_pct))


def _trend(days: Sequence[float], values: Sequence[float]) -> Trend:
    if len(days) < FEWEST:
        return Trend(CANNOT_TELL, math.nan, math.nan, math.nan, math.nan, values[-1])
    number = len(days)
    mean_day, mean = sum(days) / number, sum(values) / number
    across = sum((day - mean_day) ** 2 for day in days)
    steep = sum((day - mean_day) * (value - mean) for day, value in zip(days, values, strict=True)) / across
    left = sum((value - mean - steep * (day - mean_day)) ** 2 for day, value in zip(days, values, strict=True))
    scatter = math.sqrt(left / (number - 2))
    reach = t_factor(0.95, number - 2) * scatter / math.sqrt(across)
    low, high = 30.0 * (steep - reach), 30.0 * (steep + reach)
    # A change that rounding alone could make is no trend.
    answer = FALLING if high < -1e-9 else RISING if low > 1e-9 else STEADY
    return Trend(answer, 30.0 * steep, low, high, scatter, values[-1])


def _reached(last_day: float, slope: Trend, replace_pct: float) -> float | None:
    if slope.latest <= replace_pct:
        return last_day
    if slope.answer != FALLING:
        return None
    return last_day + 30.0 * (slope.latest - replace_pct) / -slope.low_per_30_days

"""Two instruments on the same surfaces: limits of agreement as factors, a Deming line, and whether one may convert."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tersum.arguments import Array, sample
from tersum.errors import N_, OutOfRange
from tersum.evidence.agreement import (
    PAIRS_FOR_CONVERSION,
    DemingLine,
    LimitsOfAgreement,
    deming,
    limits_of_agreement,
)
from tersum.evidence.coverage import coverage_factor

CONVERTIBLE, TOO_FEW, CONSTANT = "convertible", "too-few-pairs", "constant"
LEAST_PAIRS = 6
RATIO_ASSUMED, NARROW_RANGE, GROWS, THIN = "ratio-assumed", "narrow-range", "difference-grows", "thin-intervals"
PAIRS_FOR_INTERVALS = 12  # below, intervals meant to cover 95 % cover 92 % (1,000 trials at 6, 8 and 10 pairs)
_ASSUMED = (0.25, 1.0, 4.0)


@dataclass(frozen=True)
class TwoInstruments:
    """What pairs of log10 readings show of two instruments.

    ``lower_interval`` and ``upper_interval`` cover each limit of agreement at 95 %. ``lines`` holds one line where the
    ratio of error variances is known from duplicates, and three (a quarter, one, four) where it is assumed.
    """

    verdict: str
    pairs: int
    left_out: int
    limits: LimitsOfAgreement | None
    lower_interval: tuple[float, float]
    upper_interval: tuple[float, float]
    variance_ratio: float
    lines: tuple[tuple[float, DemingLine], ...]
    range_log10: tuple[float, float]
    remarks: tuple[str, ...]


def two_instruments(first: ArrayLike, second: ArrayLike, *, variance_ratio: float | None = None,
                    left_out: int = 0) -> TwoInstruments:
    """Return what paired readings show of two instruments.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        log10 net RLU of adjacent areas.
    variance_ratio : float or None
        Error variance of the second over that of the first, from duplicates of each; None: not known.
    left_out : int
        Pairs of which a reading was an inequality.

    Source
    ------
    Bland & Altman 1986 (limits, and the standard error ``sd sqrt(3/n)`` of each); Deming 1943; 40 pairs over the range
    before any conversion: common practice, no source.

    Examples
    --------
    >>> x = np.linspace(1.0, 3.0, 12)
    >>> found = two_instruments(x, x + 0.3 + 0.05 * np.cos(40 * x))
    >>> found.verdict, [round(value, 1) for value in found.limits.as_factors], len(found.lines)
    ('too-few-pairs', [0.5, 0.4, 0.6], 3)
    """
    one, two = sample("first", first, count=0), sample("second", second, count=0)
    if one.size != two.size:
        raise OutOfRange("second", two.size, N_("as many as the first ({n})"), n=one.size)
    none = (math.nan, math.nan)
    if one.size < LEAST_PAIRS:
        return TwoInstruments(TOO_FEW, one.size, left_out, None, none, none, math.nan, (), none, ())
    if np.ptp(one) == 0.0 or np.ptp(two) == 0.0:
        return TwoInstruments(CONSTANT, one.size, left_out, None, none, none, math.nan, (), none, ())
    limits = limits_of_agreement(one, two)
    half = float(coverage_factor(0.95, one.size - 1)) * limits.sd_difference * math.sqrt(3.0 / one.size)
    ratios = _ASSUMED if variance_ratio is None else (variance_ratio,)
    lines = tuple((ratio, deming(one, two, variance_ratio=ratio)) for ratio in ratios)
    span = float(one.min()), float(one.max())
    return TwoInstruments(CONVERTIBLE if one.size >= PAIRS_FOR_CONVERSION and variance_ratio is not None else TOO_FEW
                          if one.size < PAIRS_FOR_CONVERSION else RATIO_ASSUMED, one.size, left_out, limits,
                          (limits.lower - half, limits.lower + half), (limits.upper - half, limits.upper + half),
                          math.nan if variance_ratio is None else variance_ratio, lines, span,
                          _remarks(one, two, span, variance_ratio))


def variance_ratio_of(first_pairs: ArrayLike, second_pairs: ArrayLike) -> float:
    """Return the error variance of the second over that of the first, from log10 duplicates, shape (k, 2) each.

    >>> round(variance_ratio_of([[1.0, 1.1], [2.0, 1.9]], [[1.0, 1.2], [2.0, 1.8]]), 2)
    4.0
    """
    found = []
    for name, pairs in (("first_again", first_pairs), ("second_again", second_pairs)):
        array = np.asarray(pairs, dtype=np.float64).reshape(-1, 2)
        variance = float(np.mean((array[:, 0] - array[:, 1]) ** 2) / 2.0) if len(array) else 0.0
        if variance <= 0.0:
            raise OutOfRange(name, len(array), N_("duplicates that are not all equal"))
        found.append(variance)
    return found[1] / found[0]


def _remarks(one: Array, two: Array, span: tuple[float, float], ratio: float | None) -> tuple[str, ...]:
    found = [] if ratio is not None else [RATIO_ASSUMED]
    if one.size < PAIRS_FOR_INTERVALS:
        found.append(THIN)
    if span[1] - span[0] < 1.0:
        found.append(NARROW_RANGE)
    middle, difference = (one + two) / 2.0, one - two
    r = float(np.corrcoef(middle, difference)[0, 1]) if np.ptp(difference) > 0.0 and np.ptp(middle) > 0.0 else 0.0
    if abs(r) * math.sqrt((one.size - 2) / max(1.0 - r * r, 1e-12)) > float(coverage_factor(0.95, one.size - 2)):
        found.append(GROWS)
    return tuple(found)

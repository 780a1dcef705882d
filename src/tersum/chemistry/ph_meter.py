"""Calibration of a pH meter at the measured temperature: slope, offset, residuals, and whether it may be used."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from tersum.catalogue.load import table
from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.flags import Flag
from tersum.errors import N_, OutOfRange, TersumError

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
FARADAY = 96485.33212  # C/mol, CODATA 2018
KELVIN = 273.15
NEUTRAL = 7.0  # where a glass electrode is built to show 0 mV
CLOSEST_BUFFERS = 0.5

GOOD, REPEAT, REPLACE = "good", "clean-and-repeat", "replace"


@dataclass(frozen=True)
class BufferPoint:
    """One buffer in the cup: its set value at the measured temperature, and the potential it gave, mV."""

    ph: float
    potential_mv: float


@dataclass(frozen=True)
class Acceptance:
    """What a calibration is accepted by. Customary figures with no single standard behind them: set your own."""

    slope_good_low_pct: float
    slope_good_high_pct: float
    slope_replace_pct: float
    offset_mv: float
    residual_ph: float


@dataclass(frozen=True)
class Segment:
    """A straight line between two neighbouring buffers: slope, mV per pH, and potential at pH 7, mV."""

    low_ph: float
    high_ph: float
    slope_mv: float
    offset_mv: float

    def ph(self, potential_mv: float) -> float:
        """Return the pH that a potential stands for at the temperature of the calibration."""
        return NEUTRAL + (self.offset_mv - potential_mv) / self.slope_mv


@dataclass(frozen=True)
class Calibration:
    """A meter calibrated with two or three buffers at one temperature.

    ``slope_mv`` and ``offset_mv`` are those of the line through all points (least squares); ``slope_pct`` is the slope
    in percent of the Nernst slope. ``residuals_ph`` are the buffers less the line, from the lowest pH up.
    ``verdict`` is ``good``, ``clean-and-repeat`` or ``replace``; ``reasons`` say why it is not good.
    """

    temp_c: float
    points: tuple[BufferPoint, ...]
    segments: tuple[Segment, ...]
    slope_mv: float
    offset_mv: float
    slope_pct: float
    residuals_ph: tuple[float, ...]
    verdict: str
    reasons: tuple[Flag, ...]

    def segment(self, potential_mv: float) -> Segment:
        """Return the line whose two buffers lie around a potential; beyond the buffers, the nearest."""
        for one in self.segments[:-1]:
            if one.ph(potential_mv) <= one.high_ph:
                return one
        return self.segments[-1]


def nernst_slope(temp_c: float) -> float:
    """Return the Nernst slope k = ln 10 R T / F, mV per pH.

    Parameters
    ----------
    temp_c : float
        -10 to 150 °C.

    Source
    ------
    codata-2018 for R and F; iupac-ph-2002, section 11.

    Examples
    --------
    >>> round(nernst_slope(25.0), 3), round(nernst_slope(0.0), 3)
    (59.159, 54.199)
    """
    number("temp_c", temp_c, N_("-10 to 150 °C"), low=-10.0, high=150.0)
    return 1000.0 * math.log(10.0) * GAS_CONSTANT * (temp_c + KELVIN) / FARADAY


@cache
def customary() -> Acceptance:
    """Return the customary acceptance settings of the catalogue (practice, no standard)."""
    entry = table("ph_meter")["acceptance"]
    return Acceptance(entry["slope_good_low"].number, entry["slope_good_high"].number, entry["slope_replace"].number,
                      entry["offset"].number, entry["residual"].number)


def calibration(points: Sequence[BufferPoint], *, temp_c: float, acceptance: Acceptance | None = None) -> Calibration:
    """Return the calibration that two or three buffers give.

    Parameters
    ----------
    points : sequence of BufferPoint
        Two or three, in any order, at least 0.5 pH apart; set values at ``temp_c``, from one scale.
    temp_c : float
        Temperature of the buffers, 0 to 60 °C.
    acceptance : Acceptance, optional
        Settings; the customary ones if left out.

    Raises
    ------
    OutOfRange
        For one or four buffers, two equal ones, and a potential that does not fall as the pH rises (buffers swapped).

    Source
    ------
    iupac-ph-2002, section 11: two-point (bracketing) and multi-point calibration. With three buffers a sample is read
    on the line between its two neighbours; the least-squares line shows how straight the electrode is.

    Examples
    --------
    >>> made = calibration([BufferPoint(4.005, 171.9), BufferPoint(6.865, 4.1)], temp_c=25.0)
    >>> round(made.slope_mv, 2), round(made.slope_pct, 2), round(made.offset_mv, 2), made.verdict
    (58.67, 99.18, -3.82, 'good')
    >>> round(made.segment(230.0).ph(230.0), 3)
    3.015
    """
    _check(points, temp_c)
    ordered = tuple(sorted(points, key=lambda one: one.ph))
    segments = tuple(_segment(low, high) for low, high in zip(ordered, ordered[1:], strict=False))
    slope, offset = _line(ordered)
    residuals = tuple(NEUTRAL + (offset - one.potential_mv) / slope - one.ph for one in ordered)
    pct = 100.0 * slope / nernst_slope(temp_c)
    verdict, reasons = _judged(pct, offset, residuals, segments, temp_c, acceptance or customary())
    return Calibration(temp_c, ordered, segments, slope, offset, pct, residuals, verdict, reasons)


def _segment(low: BufferPoint, high: BufferPoint) -> Segment:
    slope = (low.potential_mv - high.potential_mv) / (high.ph - low.ph)
    return Segment(low.ph, high.ph, slope, high.potential_mv + slope * (high.ph - NEUTRAL))


def _line(points: Sequence[BufferPoint]) -> tuple[float, float]:
    """Return slope, mV per pH, and potential at pH 7 of the least-squares line."""
    mean_ph = sum(one.ph for one in points) / len(points)
    mean_mv = sum(one.potential_mv for one in points) / len(points)
    over = sum((one.ph - mean_ph) * (one.potential_mv - mean_mv) for one in points)
    slope = -over / sum((one.ph - mean_ph) ** 2 for one in points)
    return slope, mean_mv + slope * (mean_ph - NEUTRAL)


def _judged(pct: float, offset: float, residuals: Sequence[float], segments: Sequence[Segment], temp_c: float,
            accepted: Acceptance) -> tuple[str, tuple[Flag, ...]]:
    nernst, reasons = nernst_slope(temp_c), []
    slopes = [pct, *(100.0 * one.slope_mv / nernst for one in segments)]
    if min(slopes) < accepted.slope_good_low_pct:
        reasons.append(Flag("slope-low", "", min(slopes)))
    if max(slopes) > accepted.slope_good_high_pct:
        reasons.append(Flag("slope-high", "", max(slopes)))
    if abs(offset) > accepted.offset_mv:
        reasons.append(Flag("offset", "", offset))
    if max(map(abs, residuals)) > accepted.residual_ph:
        reasons.append(Flag("not-straight", "", max(map(abs, residuals))))
    if min(slopes) < accepted.slope_replace_pct:
        return REPLACE, tuple(reasons)
    return (REPEAT if reasons else GOOD), tuple(reasons)


def _check(points: Sequence[BufferPoint], temp_c: float) -> None:
    checks = Checks()
    checks.number("temp_c", temp_c, N_("0 to 60 °C"), low=0.0, high=60.0)
    if not 2 <= len(points) <= 3:
        checks.add(OutOfRange("buffers", len(points), N_("two or three")))
    for place, one in enumerate(points, start=1):
        checks.number(f"buffer {place}: ph", one.ph, N_("0 to 14"), low=0.0, high=14.0)
        checks.number(f"buffer {place}: potential_mv", one.potential_mv, N_("-1000 to 1000 mV"), low=-1000.0,
                      high=1000.0)
    checks.done()
    ordered = sorted(points, key=lambda one: one.ph)
    for low, high in zip(ordered, ordered[1:], strict=False):
        fault = _pair(low, high)
        if fault:
            checks.add(fault)
    checks.done()


def _pair(low: BufferPoint, high: BufferPoint) -> TersumError | None:
    if high.ph - low.ph < CLOSEST_BUFFERS:
        return OutOfRange("buffers", f"pH {low.ph:g} and {high.ph:g}", N_("buffers at least 0.5 pH apart"))
    if low.potential_mv <= high.potential_mv:
        return OutOfRange("potential_mv", f"{low.potential_mv:g} mV at pH {low.ph:g}, {high.potential_mv:g} mV at pH "
                          f"{high.ph:g}", N_("a potential that falls as the pH rises; are the buffers swapped?"))
    return None

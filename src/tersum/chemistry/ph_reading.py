"""A pH read with a calibrated meter: its value, its uncertainty budget, and what may not be concluded from it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from tersum.catalogue.load import table
from tersum.chemistry.accepted import Checks
from tersum.chemistry.flags import Flag
from tersum.chemistry.ph_meter import GOOD, KELVIN, NEUTRAL, Calibration
from tersum.errors import N_


@dataclass(frozen=True)
class MeterUncertainty:
    """Standard uncertainties of a field reading: buffers in pH, potentials in mV, junction in pH, temperature in K."""

    buffer_ph: float
    potential_mv: float
    junction_ph: float
    temperature_k: float


@dataclass(frozen=True)
class MeterReading:
    """A pH with its standard uncertainty, the parts of it (pH each), and flags.

    Flags: ``outside-the-buffers``, ``sample-not-at-buffer-temperature`` (number: K), ``low-conductivity`` (number:
    µS/cm), ``outside-accurate-range``, ``calibration-not-good``.
    """

    ph: float
    standard_uncertainty: float
    budget: Mapping[str, float]
    flags: tuple[Flag, ...]


@dataclass(frozen=True)
class HydroniumRatio:
    """Hydrogen-ion activity at reading b over that at reading a, 10^(pH_a - pH_b), with its interval.

    ``factor`` is what the ratio is divided and multiplied by; ``digits`` is how many digits of it mean anything.
    """

    ratio: float
    low: float
    high: float
    factor: float
    digits: int


@cache
def field_uncertainty() -> MeterUncertainty:
    """Return the uncertainties that stand in where none of one's own are known (practice)."""
    entry = table("ph_meter")["field"]
    return MeterUncertainty(entry["buffer"].number, entry["potential"].number, entry["junction"].number,
                            entry["temperature"].number)


def reading(potential_mv: float, calibrated: Calibration, *, sample_c: float, resolution_ph: float = 0.01,
            conductivity_us_cm: float | None = None, uncertainty: MeterUncertainty | None = None) -> MeterReading:
    """Return the pH that a potential stands for, with its uncertainty budget.

    Parameters
    ----------
    potential_mv : float
        Potential in the sample, -1000 to 1000 mV.
    sample_c : float
        Temperature of the sample, 0 to 60 °C. Temperature compensation corrects the slope of the electrode; it does not
        bring the sample to 25 °C: its own pH at its own temperature is what is read.
    resolution_ph : float
        Last digit of the display, 0 to 0.5; taken as rectangular, half of it either side.
    conductivity_us_cm : float, optional
        Of the sample; below 100 µS/cm the junction is not to be trusted.
    uncertainty : MeterUncertainty, optional
        One's own standard uncertainties; those of the catalogue if left out.

    Source
    ------
    Two-point formula pH = pH1 + (E1 - E)/(E1 - E2) (pH2 - pH1), propagated by jcgm-100-2008, 5.1.2; range astm-e70;
    temperature gap gb-t-6920-1986; low conductivity astm-d5464. Between laboratories the scatter is larger, 0.1 to 0.2
    (aoac-973-41).

    Examples
    --------
    >>> from tersum.chemistry.ph_meter import BufferPoint, calibration
    >>> made = calibration([BufferPoint(4.005, 171.9), BufferPoint(6.865, 4.1)], temp_c=25.0)
    >>> found = reading(230.0, made, sample_c=25.0)
    >>> round(found.ph, 3), round(found.standard_uncertainty, 3), [flag.code for flag in found.flags]
    (3.015, 0.037, ['outside-the-buffers'])
    """
    checks = Checks()
    checks.number("potential_mv", potential_mv, N_("-1000 to 1000 mV"), low=-1000.0, high=1000.0)
    checks.number("sample_c", sample_c, N_("0 to 60 °C"), low=0.0, high=60.0)
    checks.number("resolution_ph", resolution_ph, N_("0 to 0.5"), low=0.0, high=0.5)
    if conductivity_us_cm is not None:
        checks.number("conductivity_us_cm", conductivity_us_cm, N_("0 or more"), low=0.0)
    checks.done()
    line = calibrated.segment(potential_mv)
    slope = line.slope_mv * (sample_c + KELVIN) / (calibrated.temp_c + KELVIN)
    ph = NEUTRAL + (line.offset_mv - potential_mv) / slope
    share = (ph - line.low_ph) / (line.high_ph - line.low_ph)
    budget = _budget(share, ph, slope, sample_c, resolution_ph, uncertainty or field_uncertainty())
    return MeterReading(ph, math.hypot(*budget.values()), budget,
                        _flags(ph, calibrated, sample_c=sample_c, conductivity_us_cm=conductivity_us_cm))


def hydronium_ratio(ph_a: float, ph_b: float, *, u_a: float, u_b: float, coverage: float = 2.0,
                    shared_frac: float = 0.0) -> HydroniumRatio:
    """Return how many times more acid b is than a, as a ratio of hydrogen-ion activities.

    Parameters
    ----------
    ph_a, ph_b : float
        The two readings, -1 to 15.
    u_a, u_b : float
        Their standard uncertainties, 0 to 1.
    coverage : float
        Coverage factor, above 0 to 4.
    shared_frac : float
        Share of each variance that both readings have in common (one calibration, minutes apart), 0 to 1: it cancels.
        The junction shift in a condensate of low conductivity is not shared.

    Source
    ------
    jcgm-100-2008, 5.1.2 on log10: the interval is the ratio divided and multiplied by 10^(k u).

    Examples
    --------
    >>> found = hydronium_ratio(4.37, 3.55, u_a=0.02, u_b=0.02)
    >>> round(found.ratio, 3), round(found.factor, 3), found.digits
    (6.607, 1.139, 1)
    """
    checks = Checks()
    for name, value in (("ph_a", ph_a), ("ph_b", ph_b)):
        checks.number(name, value, N_("-1 to 15"), low=-1.0, high=15.0)
    for name, value in (("u_a", u_a), ("u_b", u_b)):
        checks.number(name, value, N_("0 to 1"), low=0.0, high=1.0)
    checks.number("coverage", coverage, N_("above 0, up to 4"), above=0.0, high=4.0)
    checks.number("shared_frac", shared_frac, N_("0 to 1"), low=0.0, high=1.0)
    checks.done()
    ratio = 10.0 ** (ph_a - ph_b)
    factor = 10.0 ** (coverage * math.sqrt((u_a**2 + u_b**2) * (1.0 - shared_frac)))
    digits = 1 if factor >= 1.1 else 2 if factor >= 1.01 else 3
    return HydroniumRatio(ratio, ratio / factor, ratio * factor, factor, digits)


def _budget(share: float, ph: float, slope: float, sample_c: float, resolution_ph: float,
            wide: MeterUncertainty) -> dict[str, float]:
    # A sample between two buffers leans on both; beyond them the far one pulls with more than its weight.
    lever = math.hypot(1.0 - share, share)
    return {"buffers": wide.buffer_ph * lever,
            "potentials": wide.potential_mv / slope * math.hypot(1.0, lever),
            "junction": wide.junction_ph,
            "resolution": resolution_ph / math.sqrt(12.0),
            "temperature": abs(ph - NEUTRAL) * wide.temperature_k / (sample_c + KELVIN)}


def _flags(ph: float, calibrated: Calibration, *, sample_c: float,
           conductivity_us_cm: float | None) -> tuple[Flag, ...]:
    limits, gap = table("ph_meter")["range"], abs(sample_c - calibrated.temp_c)
    flags = []
    if not calibrated.points[0].ph <= ph <= calibrated.points[-1].ph:
        flags.append(Flag("outside-the-buffers", "", ph))
    if gap > table("ph_meter")["acceptance"]["temperature_gap"].number:
        flags.append(Flag("sample-not-at-buffer-temperature", "", gap))
    if conductivity_us_cm is not None and conductivity_us_cm < limits["conductivity_low"].number:
        flags.append(Flag("low-conductivity", "", conductivity_us_cm))
    if not limits["ph_low"].number <= ph <= limits["ph_high"].number:
        flags.append(Flag("outside-accurate-range", "", ph))
    if calibrated.verdict != GOOD:
        flags.append(Flag("calibration-not-good", calibrated.verdict, calibrated.slope_pct))
    return tuple(flags)

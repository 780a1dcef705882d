"""The heat of a step: how its trace was logged, what the trace amounts to on record, and whether that was wanted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from tersum.fields import Fields
from tersum.lethality.wet_time import CANNOT_TELL, MET, NOT_MET


@dataclass(frozen=True)
class TraceAsked:
    """A trace that a visit file names: its CSV file and how it was logged (None: not stated)."""

    file: str
    sensor_u_k: float | None = None
    longest_gap_s: float | None = None
    time_constant_s: float | None = None
    celsius_confirmed: bool = False


@dataclass(frozen=True)
class HeatOnRecord:
    """What a trace amounts to, sealed with the hash of its file; of several sensors the one with the least dose.

    ``low`` and ``high`` are A0 with the sensor's uncertainty against and for it; None where that was not stated.
    ``findings`` maps what was not credited, or is worth knowing, to its amount.
    """

    file: str
    sha256: str
    sensor: str
    sensors: int
    samples: int
    duration_s: float
    credited_s: float
    hottest_c: float
    a0: float
    low: float | None
    high: float | None
    cut_off_c: float
    reference_c: float
    z_k: float
    sensor_u_k: float | None = None
    findings: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


def trace_from(fields: Fields) -> TraceAsked:
    """Return the ``trace`` table of a step; what is wrong with it is noted in its fields."""
    asked = TraceAsked(
        fields.text("file"), fields.optional_number("sensor_u_k", least=0.0, most=50.0),
        fields.optional_number("longest_gap_s", above=0.0, most=86400.0),
        fields.optional_number("time_constant_s", above=0.0, most=3600.0), fields.yes("celsius_confirmed", False))
    fields.close()
    return asked


def heat_met(wanted: float, heat: HeatOnRecord) -> str:
    """Return whether a dose was reached whatever the sensor's error: ``met``, ``not-met`` or ``cannot-tell``."""
    if heat.low is None or heat.high is None:
        return CANNOT_TELL
    if heat.low >= wanted:
        return MET
    return NOT_MET if heat.high < wanted else CANNOT_TELL

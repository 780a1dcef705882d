"""What ``tersum meter`` prints."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tersum.chemistry.meter_drift import Drift, Trend
from tersum.chemistry.ph_meter import Calibration
from tersum.chemistry.ph_reading import HydroniumRatio, MeterReading
from tersum.cli.output import remark, table
from tersum.cli.ph_text import ph_number
from tersum.documents.bench_text import flag_text, flag_texts, word
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_

BUDGET = {"buffers": N_("buffers"), "potentials": N_("potentials"), "junction": N_("junction"),
          "resolution": N_("display"), "temperature": N_("temperature")}


def show(made: Calibration) -> None:
    """Print a calibration."""
    table([_("what"), _("how much")],
          [[_("slope"), _("{mv} mV/pH, {pct} % of Nernst at {temp} °C").format(
              mv=number_text(made.slope_mv, digits=4), pct=number_text(made.slope_pct), temp=number_text(made.temp_c))],
           [_("offset at pH 7"), _("{mv} mV").format(mv=number_text(made.offset_mv))],
           *[[_("buffer pH {ph}").format(ph=ph_number(point.ph, 3)), _("{off} pH off the line").format(
               off=ph_number(residual, 3))]
             for point, residual in zip(made.points, made.residuals_ph, strict=True)],
           [_("verdict"), word(made.verdict)]])
    for reason in made.reasons:
        print(flag_text(reason))
    remark(_("What a slope is accepted by is customary, no standard: set your own."))


def body(made: Calibration) -> dict[str, Any]:
    """Return a calibration as the keys of one JSON object."""
    return {**asdict(made), "reasons": flag_texts(made.reasons)}


def show_reading(found: MeterReading) -> None:
    """Print a reading and where its uncertainty comes from."""
    print(_("pH {ph} ± {wide} (95 of 100)").format(ph=ph_number(found.ph), wide=ph_number(
        2.0 * found.standard_uncertainty)))
    print()
    table([_("part"), _("standard uncertainty, pH")],
          [[_(BUDGET[name]), ph_number(part, 3)] for name, part in found.budget.items()], right=(1,))
    for flag in found.flags:
        print(flag_text(flag))


def reading_body(found: MeterReading) -> dict[str, Any]:
    """Return a reading as the keys of one JSON object."""
    return {"ph": found.ph, "standard_uncertainty": found.standard_uncertainty, "budget": dict(found.budget),
            "flags": flag_texts(found.flags)}


def show_drift(found: Drift) -> None:
    """Print the trends of an electrode."""
    table([_("what"), _("latest"), _("trend"), _("in 30 days"), _("lowest"), _("highest")],
          [[name, number_text(trend.latest), word(trend.answer), *_three(trend)] for name, trend in (
              (_("slope, %"), found.slope_pct), (_("offset, mV"), found.offset_mv))], right=(1, 3, 4, 5))
    if found.replace_after_day is not None:
        print(_("The slope may reach its limit from day {day} on.").format(day=number_text(found.replace_after_day)))


def show_ratio(found: HydroniumRatio) -> None:
    """Print a ratio with no more digits than it has."""
    print(_("{ratio} times the hydrogen-ion activity ({low} to {high})").format(
        ratio=number_text(found.ratio, digits=found.digits), low=number_text(found.low, digits=2),
        high=number_text(found.high, digits=2)))


def _three(trend: Trend) -> list[str]:
    values = (trend.per_30_days, trend.low_per_30_days, trend.high_per_30_days)
    return ["?" if value != value else number_text(value) for value in values]

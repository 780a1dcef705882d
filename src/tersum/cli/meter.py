"""``tersum meter``: calibrate a pH meter, read with it, follow its drift, compare two readings."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, TypeVar

import click

from tersum.chemistry.ph_meter import GOOD, Acceptance, BufferPoint, Calibration, calibration, customary
from tersum.cli.given import Given, number_of, option
from tersum.cli.output import emit_json
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange
from tersum.units import parse_temperature_c

Command = TypeVar("Command", bound=Callable[..., Any])


@click.group(help=_("Calibrate a pH meter, read with it, and follow its drift."),
             epilog=_("Example: tersum meter calibrate --temp-c 22 --buffer phthalate=171.9 --buffer phosphate=4.1"))
def meter() -> None:
    pass


def calibrating(command: Command) -> Command:
    """Add the options that say how a meter was calibrated."""
    for one in reversed((
        click.option("--buffer", multiple=True, required=True, metavar="BUFFER=MV",
                     help=_('Two or three: a published buffer or the set value on its bottle, and the potential, mV, '
                            'such as "phthalate=171.9" or "7.02=1.5".')),
        click.option("--temp-c", required=True, help=_("Measured temperature of the buffers, 0 to 60 °C.")),
        click.option("--scale", type=click.Choice(["nist", "hj-1147"]), default="nist", show_default=True,
                     help=_("Table that the published buffers are taken from.")),
        click.option("--slope-good-low-pct", help=_("Lowest slope that is good, % of the Nernst slope.")),
        click.option("--slope-good-high-pct", help=_("Highest slope that is good, %.")),
        click.option("--slope-replace-pct", help=_("Slope below which the electrode is replaced, %.")),
        click.option("--offset-mv", help=_("Largest offset at pH 7, mV, either way.")),
        click.option("--residual-ph", help=_("Largest distance of a buffer from the line, pH.")),
        click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object.")),
    )):
        command = one(command)
    return command


@meter.command(help=_("Calibrate with two or three buffers at their measured temperature."),
               epilog=_("Example: tersum meter calibrate --temp-c 25 --buffer phthalate=171.9 --buffer phosphate=4.1"))
@calibrating
def calibrate(as_json: bool, **options: Any) -> None:
    from tersum.cli import meter_text

    made = _calibrated(Given(options))
    emit_json("tersum/meter/1", meter_text.body(made)) if as_json else meter_text.show(made)
    if made.verdict != GOOD:
        sys.exit(1)


@meter.command(help=_("Turn a potential into a pH with its uncertainty."),
               epilog=_("Example: tersum meter read --potential-mv 100 --sample-c 25 --temp-c 25 "
                        "--buffer phthalate=171.9 --buffer phosphate=4.1"))
@click.option("--potential-mv", required=True, help=_("Potential in the sample, mV."))
@click.option("--sample-c", required=True, help=_("Temperature of the sample, 0 to 60 °C."))
@click.option("--resolution-ph", default="0.01", show_default=True, help=_("Last digit of the display, pH."))
@click.option("--conductivity-us-cm", help=_("Conductivity of the sample, µS/cm."))
@calibrating
def read(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.ph_reading import reading
    from tersum.cli import meter_text

    given = Given(options)
    potential, resolution = given.number("potential_mv", most=999.0), given.number("resolution_ph", most=1.0)
    conductivity = given.maybe("conductivity_us_cm")
    sample_c = given.take(lambda: parse_temperature_c(options["sample_c"], field="--sample-c")) or 0.0
    made = _calibrated(given)
    found = given.run(lambda: reading(potential, made, sample_c=sample_c, resolution_ph=resolution,
                                      conductivity_us_cm=conductivity))
    emit_json("tersum/meter/1", meter_text.reading_body(found)) if as_json else meter_text.show_reading(found)
    if made.verdict != GOOD:
        sys.exit(1)


@meter.command(help=_("Show how slope and offset changed over an electrode's calibrations."),
               epilog=_("Example: tersum meter drift calibrations.csv (columns day, slope_pct, offset_mv)"))
@click.argument("file", type=click.Path())
@click.option("--slope-replace-pct", help=_("Slope below which the electrode is replaced, %."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def drift(file: str, as_json: bool, **options: Any) -> None:
    from dataclasses import replace

    from tersum.chemistry.meter_drift import PastCalibration
    from tersum.chemistry.meter_drift import drift as drift_of
    from tersum.cli import meter_text
    from tersum.records.series_file import read_series

    given = Given(options)
    floor = given.maybe("slope_replace_pct", most=200.0)
    columns = read_series(file, ("day", "slope_pct", "offset_mv"))
    history = [PastCalibration(*row) for row in zip(*columns.values(), strict=True)]
    accepted = customary() if floor is None else replace(customary(), slope_replace_pct=floor)
    found = given.run(lambda: drift_of(history, acceptance=accepted))
    emit_json("tersum/meter/1", asdict(found)) if as_json else meter_text.show_drift(found)


@meter.command(help=_("Say how many times more acid one reading is than another, with its interval."),
               epilog=_("Example: tersum meter ratio --ph-a 4.37 --ph-b 3.55 --u-ph 0.03"))
@click.option("--ph-a", required=True, help=_("First reading."))
@click.option("--ph-b", required=True, help=_("Second reading."))
@click.option("--u-ph", default="0.05", show_default=True, help=_("Standard uncertainty of each reading."))
@click.option("--shared-pct", default="0", show_default=True,
              help=_("Share of the variance that both have in common (one calibration), %."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def ratio(as_json: bool, **options: Any) -> None:
    from tersum.chemistry.ph_reading import hydronium_ratio
    from tersum.cli import meter_text

    given = Given(options)
    a, b, wide = (given.number(name, most=15.0) for name in ("ph_a", "ph_b", "u_ph"))
    shared = given.number("shared_pct", most=100.0)
    found = given.run(lambda: hydronium_ratio(a, b, u_a=wide, u_b=wide, shared_frac=shared / 100.0))
    emit_json("tersum/meter/1", asdict(found)) if as_json else meter_text.show_ratio(found)


def _calibrated(given: Given) -> Calibration:
    temp_c = given.take(lambda: parse_temperature_c(given.options["temp_c"], field="--temp-c")) or 0.0
    points = [point for name, potential in given.pairs("buffer")
              if (point := _point(given, name, potential, temp_c)) is not None]
    accepted = _acceptance(given)
    if len(points) < len(given.options["buffer"]):
        given.done()
    return given.run(lambda: calibration(points, temp_c=temp_c, acceptance=accepted))


def _point(given: Given, name: str, potential: str, temp_c: float) -> BufferPoint | None:
    from tersum.chemistry.buffers import set_value
    from tersum.errors import TersumError

    def read() -> BufferPoint:
        number = number_of(potential, f"--buffer {name}", most=999.0)
        if name[:1].isdigit():  # the set value from the bottle, at the measured temperature
            return BufferPoint(number_of(name, "--buffer", most=15.0), number)
        try:
            return BufferPoint(set_value(name, temp_c, scale=given.options["scale"]).ph, number)
        except TersumError as fault:
            fault.field = f"--buffer {name}"
            raise

    return given.take(read)


def _acceptance(given: Given) -> Acceptance:
    names = ("slope_good_low_pct", "slope_good_high_pct", "slope_replace_pct", "offset_mv", "residual_ph")
    set_to = {name: value for name in names if (value := given.maybe(name, most=999.0)) is not None}
    for name, value in set_to.items():
        if not 0.0 <= value <= 1000.0:
            given.checks.add(OutOfRange(option(name), value, N_("0 or more")))
    return Acceptance(**{**asdict(customary()), **set_to})

"""``tersum heat``: what a logged trace amounted to, how long to hold, z, and what seconds of steam can do."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given, number_of
from tersum.cli.output import emit_json, table
from tersum.cli.said import said
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange, TersumError
from tersum.units import parse_temperature_c

SCHEMA = "tersum/heat/1"
DOSES = click.Choice(["A0", "F0"])


@click.group(help=_("Sum the dose of heat of a logged trace, or say how long to hold it."),
             epilog=_("Example: tersum heat trace examples/bench/trace.csv --wanted 600 --sensor-u-k 0.5"))
def heat() -> None:
    pass


@heat.command(help=_("A0 or F0 of a logged trace: the rate is summed, never the mean temperature."),
              epilog=_("Example: tersum heat trace examples/bench/trace.csv --wanted 600 --sensor-u-k 0.5. Columns: "
                       "time_s, time_min or time, and temp_c or temp_f for each sensor. Exit 0: done, or the dose was "
                       "reached; 1: not reached, or it cannot be told."))
@click.argument("trace", metavar="TRACE.csv|TRACE.toml")
@click.option("--dose", "name", type=DOSES, default="A0", show_default=True, help=_("Which dose to count."))
@click.option("--wanted", help=_("The dose wanted: seconds for A0, minutes for F0."))
@click.option("--sensor-u-k", help=_("Expanded uncertainty of the sensor, K."))
@click.option("--cap-c", help=_("Hotter counts as this, °C: 100 for A0 unless given; none for F0, which is under "
                                "pressure."))
@click.option("--longest-gap-s", help=_("A longer interval earns nothing; three times the usual one unless given."))
@click.option("--time-constant-s", help=_("Of the sensor: shorter stays than three of these earn nothing."))
@click.option("--reference-c", help=_("Reference temperature, where another than the usual one is meant."))
@click.option("--trapezoid", is_flag=True, help=_("The trapezoid on the rate instead of straight lines exactly."))
@click.option("--it-is-celsius", is_flag=True, help=_("Confirm °C where the trace looks like °F."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def trace(trace: str, name: str, trapezoid: bool, it_is_celsius: bool, as_json: bool, **options: Any) -> None:
    from tersum.documents import heat_text
    from tersum.lethality.heat import a0_classes, dose
    from tersum.lethality.heat_rate import STRAIGHT_LINES, TRAPEZOID
    from tersum.lethality.heat_trace import BOILING_C, Logging
    from tersum.records.trace_file import trace_doses

    given = Given(options)
    wanted, reference = given.maybe("wanted", most=1e6), given.maybe("reference_c", most=200.0)
    cap = given.maybe("cap_c", most=200.0)
    numbers = {key: given.maybe(key, most=1e6) for key in ("sensor_u_k", "longest_gap_s", "time_constant_s")}
    counted = given.run(lambda: dose(name, reference_c=reference))
    logging = given.run(lambda: Logging(
        cap_c=cap if cap is not None else BOILING_C if name == "A0" else None,
        method=TRAPEZOID if trapezoid else STRAIGHT_LINES, **numbers))
    found = trace_doses(trace, counted, logging, sure_of_unit=it_is_celsius)
    least = found[0].found
    lines = heat_text.finding_lines(found) + [heat_text.counted_line(counted)]
    if wanted is not None:
        lines.insert(0, heat_text.wanted_line(least, wanted))
        if name == "A0":
            lines += [line for line in (heat_text.class_line(wanted, a0_classes()),) if line]
    answer = None if wanted is None else heat_text.judged(least, wanted)
    if as_json:
        emit_json(SCHEMA, {"sensors": [{"sensor": one.sensor, **asdict(one.found)} for one in found],
                           "wanted": wanted, "answer": answer, "sentences": lines,
                           "cautions": heat_text.trace_cautions()})
    else:
        table(heat_text.sensor_headings(counted), heat_text.sensor_rows(found), right=(1, 2, 3, 4, 5))
        print()
        said(lines, heat_text.trace_cautions())
    if answer not in (None, heat_text.REACHED):
        sys.exit(1)


@heat.command(help=_("How long to hold a surface at a temperature for a dose."),
              epilog=_("Example: tersum heat hold --wanted 600 --temp-c 90 --sensor-u-k 1"))
@click.option("--wanted", required=True, help=_("The dose wanted: seconds for A0, minutes for F0."))
@click.option("--temp-c", required=True, help=_("Temperature of the wet surface; °C unless F or K is written."))
@click.option("--dose", "name", type=DOSES, default="A0", show_default=True, help=_("Which dose to count."))
@click.option("--sensor-u-k", help=_("Expanded uncertainty of the sensor, K."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def hold(name: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import heat_text
    from tersum.lethality.heat import a0_classes, dose, hold_s

    given, counted = Given(options), dose(name)
    wanted, error = given.number("wanted", most=1e6), given.maybe("sensor_u_k", most=50.0)
    temp = given.take(lambda: parse_temperature_c(options["temp_c"], field="--temp-c"))
    if temp is not None and counted.name == "A0" and temp > 100.0:
        given.checks.add(OutOfRange("--temp-c", temp, N_("up to 100 °C: hotter than water boils is no moist heat")))
    given.done()
    assert temp is not None  # a fault was raised
    seconds = given.run(lambda: float(hold_s(wanted, temp, counted=counted)))
    cautious = None if error is None else given.run(lambda: float(hold_s(wanted, temp - error, counted=counted)))
    lines = heat_text.hold_lines(seconds, temp, wanted=wanted, counted=counted, cautious_s=cautious, sensor_u_k=error)
    lines += [line for line in (heat_text.class_line(wanted, a0_classes()) if name == "A0" else "",) if line]
    if as_json:
        emit_json(SCHEMA, {"counted": asdict(counted), "wanted": wanted, "temp_c": temp, "hold_s": seconds,
                           "hold_with_sensor_s": cautious, "sentences": lines, "cautions": heat_text.trace_cautions()})
    else:
        said(lines, heat_text.trace_cautions())


@heat.command(help=_("z from the time for one log10 at two or more temperatures."),
              epilog=_("Example: tersum heat z --d 98=18 --d 105=1.4"))
@click.option("--d", "pairs", multiple=True, required=True, metavar="TEMP=TIME",
              help=_("Temperature, °C, and the time for one log10 there; all times in one unit."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def z(pairs: tuple[str, ...], as_json: bool) -> None:
    from tersum.documents.numbers import number_text
    from tersum.lethality.heat import z_from_series

    given = Given({"d": pairs})
    read: list[tuple[float, float]] = []
    for temp, time in given.pairs("d"):
        try:
            read.append((parse_temperature_c(temp, field="--d"), number_of(time, "--d", most=1e6)))
        except TersumError as fault:
            given.checks.add(fault)
    found = given.run(lambda: z_from_series([one for one, _time in read], [one for _temp, one in read]))
    low, high = min(one for one, _time in read), max(one for one, _time in read)
    line = _("z = {z} K, from {low} to {high} °C; not to be taken more than 5.6 K beyond.").format(
        z=number_text(found), low=number_text(low), high=number_text(high))
    emit_json(SCHEMA, {"z_k": found, "low_c": low, "high_c": high, "sentences": [line]}) if as_json else said([line])


@heat.command(help=_("What seconds of steam on a material can amount to, by conduction, with the assumptions."),
              epilog=_('Example: tersum heat steam "hard plastic" --footprint-cm 5 --speed-cm-s 1'))
@click.argument("material")
@click.option("--dwell-s", help=_("Time under steam, s."))
@click.option("--footprint-cm", help=_("Of the steam, along the way, cm; instead of --dwell-s."))
@click.option("--speed-cm-s", help=_("Of the nozzle, cm/s."))
@click.option("--thickness-mm", help=_("Of a sheet, mm; as thick as matters unless given."))
@click.option("--start-c", default="20", show_default=True, help=_("Temperature of the surface before, °C."))
@click.option("--steam-c", default="100", show_default=True, help=_("Of the steam where it condenses, °C."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def steam(material: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import heat_text
    from tersum.lethality.steam_contact import dwell_of_pass_s, steam_contact

    moving = options["footprint_cm"] is not None and options["speed_cm_s"] is not None
    if (options["dwell_s"] is None) != moving:
        raise click.UsageError(_("Give --dwell-s, or --footprint-cm with --speed-cm-s."))
    given = Given(options)
    footprint, speed = given.maybe("footprint_cm", most=500.0), given.maybe("speed_cm_s", most=500.0)
    still, thick = given.maybe("dwell_s", most=600.0), given.maybe("thickness_mm", most=500.0)
    start = given.take(lambda: parse_temperature_c(options["start_c"], field="--start-c"))
    hot = given.take(lambda: parse_temperature_c(options["steam_c"], field="--steam-c"))
    given.done()
    assert start is not None and hot is not None  # a fault was raised
    dwell = still or 0.0
    if footprint is not None and speed is not None:
        dwell = given.run(lambda: dwell_of_pass_s(footprint, speed))
    found = given.run(lambda: steam_contact(material, dwell, start_c=start, steam_c=hot, thickness_mm=thick))
    lines = heat_text.steam_lines(found)
    cautions = heat_text.steam_assumptions(found) + heat_text.steam_cautions()
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "hot_enough": found.hot_enough, "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)

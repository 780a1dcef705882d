"""``tersum chart``: the residue ladder, readings over time, and the operating curve, as SVG, PNG or definition."""

from __future__ import annotations

import math
import sys
from contextlib import nullcontext
from datetime import UTC, datetime
from typing import Any

import click

from tersum.cli.output import remark
from tersum.cli.picture import drawing_options, write_picture
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange
from tersum.records.columns import Expected
from tersum.records.decisions_file import read_decisions
from tersum.records.intake import FaultList, open_input
from tersum.records.readings_file import read_readings
from tersum.units import parse_decimal


@click.group(help=_("Draw the residue ladder, readings over time, or the operating curve of a plan."),
             epilog=_("Example: tersum decide READINGS.csv --limit 250 --json > decisions.json; then: tersum chart "
                      "ladder decisions.json --out ladder.svg. The ending of the file says what is written: .svg, "
                      ".png, or .json for the Vega-Lite definition; - writes SVG to the standard output."))
def chart() -> None:
    pass


@chart.command(help=_("Draw the residue ladder of decisions: from as found to now, against the limit."),
               epilog=_("Example: tersum chart ladder decisions.json --out ladder.png --width 390 --theme dark"))
@click.argument("decisions", metavar="DECISIONS.json")
@drawing_options
def ladder(decisions: str, **given: Any) -> None:
    from tersum.documents.charts.residue_ladder import ladder_rows, residue_ladder

    with nullcontext(sys.stdin.buffer) if decisions == "-" else open_input(decisions) as stream:
        rows = ladder_rows(read_decisions(stream, file=decisions))
    write_picture(given, lambda look: residue_ladder(rows, **look).definition)


@chart.command(help=_("Draw readings over time, one panel for each point."),
               epilog=_("Example: tersum chart readings readings.csv --limit 250 --zone Europe/Rome --out time.svg. "
                        "Rows with a fault are told and left out; exit 3."))
@click.argument("readings", metavar="READINGS.csv")
@click.option("--limit", metavar="RLU", help=_("A limit to draw in every panel."))
@click.option("--zone", default="UTC", show_default=True, metavar="NAME", help=_("The zone of the clock shown."))
@drawing_options
@click.pass_context
def readings(ctx: click.Context, /, readings: str, limit: str | None, zone: str, **given: Any) -> None:
    from tersum.documents.charts.readings_over_time import readings_over_time, zone_named

    limit_rlu = None if limit is None else float(parse_decimal(limit, field="--limit"))
    if limit_rlu is not None and limit_rlu <= 0:
        raise OutOfRange("--limit", limit, N_("more than 0 RLU"))
    faults, clock = FaultList(), zone_named(zone)
    with nullcontext(sys.stdin.buffer) if readings == "-" else open_input(readings) as stream:
        with read_readings(stream, file=readings, expected=Expected(datetime.now(UTC), clock), faults=faults) as table:
            rows = sorted((one for point in table.points() for one in point.readings), key=lambda one: one.row)
    for fault in faults:
        remark(fault.sentence(_))
    limits = {one.point: limit_rlu for one in rows} if limit_rlu is not None else {}
    write_picture(given, lambda look: readings_over_time(rows, limits=limits, zone=zone, **look))
    ctx.exit(3 if len(faults) else 0)


@chart.command(help=_("Draw the operating curve of a plan: how many points it releases, by how dirty they are."),
               epilog=_("Example: tersum chart curve --looks 2 --duplicates 12 --spread-log10 0.17 --out curve.svg"))
@click.option("--looks", type=click.IntRange(1, 5), default=2, show_default=True, metavar="N",
              help=_("Swabs planned at a point."))
@click.option("--spread-log10", type=click.FloatRange(0.001, 2.0), default=None, metavar="S",
              help=_("Repeatability of one swab; the book value if left out."))
@click.option("--duplicates", type=click.IntRange(1, 10_000), default=None, metavar="N",
              help=_("Pairs of duplicates it is from; taken as known if left out."))
@click.option("--risk", type=click.FloatRange(0.001, 0.5), default=0.05, show_default=True, metavar="P",
              help=_("Accepted risk of releasing a point that lies at its limit."))
@drawing_options
def curve(looks: int, spread_log10: float | None, duplicates: int | None, risk: float, **given: Any) -> None:
    from tersum.catalogue.load import book_repeatability
    from tersum.documents.charts.operating_curve import curve_chart, operating_curve
    from tersum.visit.decision import Terms

    spread = book_repeatability().value if spread_log10 is None else spread_log10
    terms = Terms(looks=looks, spread_log10=float(spread), risk=risk,
                  degrees_of_freedom=math.inf if duplicates is None else float(duplicates))
    write_picture(given, lambda look: curve_chart(operating_curve(terms), **look))

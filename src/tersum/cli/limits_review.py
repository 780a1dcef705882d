"""``tersum limits review``: whether a frozen limit still fits the readings since."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

import click

from tersum.cli.output import emit_json, line, remark
from tersum.documents.text import _
from tersum.errors import N_, Faults, OutOfRange

STAYS, TO_DO = 0, 1


@click.command(
    help=_("Say whether limits learnt earlier still fit the readings since; visits already judged stay as judged."),
    epilog=_("Example: tersum limits review LIMITS.toml visits/*.csv --swab \"Demo Swab\" --area-cm2 100 --visits all. "
             "A limit is due for review at 30 points or a year after it was frozen, and changes only if the new "
             "interval leaves it out. Exit 0: every limit stays; 1: one no longer fits, or cannot be told."))
@click.argument("limits_path", metavar="LIMITS.toml")
@click.argument("readings", nargs=-1, required=True, metavar="READINGS.csv...")
@click.option("--visits", type=click.Choice(["all", "passed"]), required=True,
              help=_("Whether these are all visits of a period, or only those that had passed."))
@click.option("--swab", required=True, metavar="TYPE", help=_("The swab type all of them were read with."))
@click.option("--area-cm2", required=True, metavar="CM2", help=_("The area swabbed at each point."))
@click.option("--vehicle", "vehicles", multiple=True, metavar="NAME",
              help=_("The vehicle or room of each file, in their order; left out: each file is another."))
@click.option("--stage", type=click.Choice(["cleaned", "treated"]), default="cleaned", show_default=True,
              help=_("The stage that is read."))
@click.option("--on", "today", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD",
              help=_("The day of the review; left out: today."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def review(ctx: click.Context, /, limits_path: str, readings: tuple[str, ...], as_json: bool, **given: Any) -> None:
    from tersum.cli.limits import baseline_of, number
    from tersum.documents.limits_text import review_lines
    from tersum.evidence.baseline import KEEP, NOT_DUE
    from tersum.records.limits_file import Meter, read_limits
    from tersum.records.limits_review import reviews

    area, limits = number("--area-cm2", given["area_cm2"]), read_limits(limits_path)
    if not any(limits.frozen):
        raise Faults([OutOfRange("LIMITS.toml", limits_path,
                                 N_("limits that tersum limits learn wrote: others do not say what they are from"))])
    found = baseline_of(readings, given)
    instruments = {point.instrument for point in found.points} or {None}
    day = (given["today"] or datetime.now(UTC)).date()
    made = reviews(limits, found.points, Meter(instruments.pop(), given["swab"], area), today=day,
                   only_passed=given["visits"] == "passed")
    undated = sum(point.day is None for point in found.points)
    if as_json:
        emit_json("tersum/limits-review/1", {"on": day.isoformat(), "without_day": undated,
                                             "reviews": [asdict(one) for one in made]})
    else:
        for one in made:
            for text in review_lines(one):
                line(text)
        if undated:
            remark(_("{count} points name no day, and are left out (column at).").format(count=undated))
    ctx.exit(STAYS if all(one.verdict in (KEEP, NOT_DUE) for one in made) else TO_DO)

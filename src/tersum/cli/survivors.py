"""``tersum survivors``: survivor curves fitted to time-kill data, compared, and the time to a reduction."""

from __future__ import annotations

from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.documents.text import _


@click.command(
    help=_("Fit survivor curves to counts over contact time, and say how long a reduction takes."),
    epilog=_("Example: tersum survivors examples/efficacy/survivors.csv --logs 3 --logs 4. The file has the columns "
             "time_min (or time_s, time_h) and cfu (or log10_cfu); <10 is a plate without growth at a detection limit "
             "of 10. Exit 1 where no time to a reduction asked for can be told."))
@click.argument("file", metavar="POINTS.csv")
@click.option("--model", "models", multiple=True, metavar="NAME",
              help=_("Fit only this one; may be given again. All models if left out."))
@click.option("--logs", multiple=True, default=("3",), show_default=True, metavar="N",
              help=_("A log10 reduction to give the time to; may be given again. The first one tells which of several "
                     "tied models is the more cautious."))
@click.option("--confidence-pct", default="95", show_default=True, metavar="P", help=_("Of the intervals, %."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object, with the points of a chart."))
@click.pass_context
def survivors(ctx: click.Context, /, file: str, as_json: bool, **options: Any) -> None:
    from tersum.cli import survivors_output
    from tersum.lethality.survivor_choice import compared
    from tersum.lethality.survivor_models import MODELS
    from tersum.lethality.survivor_time import time_to_logs
    from tersum.records.survivors_file import read_survivors

    given = Given(options)
    logs, confidence = given.numbers("logs", most=15.0), given.number("confidence_pct") / 100.0
    given.done()
    points = read_survivors(file)
    names = options["models"] or tuple(MODELS)
    found = given.run(lambda: compared(points.time, points.log10, below=points.below, models=names, logs=logs[0],
                                       confidence=confidence))
    times = given.run(lambda: [time_to_logs(found.shown, one, confidence=confidence) for one in logs])
    if as_json:
        emit_json("tersum/survivors/1", survivors_output.body(found, times, points, confidence))
    else:
        survivors_output.show(found, times, points)
    ctx.exit(1 if any(one.time != one.time for one in times) else 0)

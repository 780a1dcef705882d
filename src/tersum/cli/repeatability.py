"""``tersum repeatability``: how far two swabs of one surface differ, from planned duplicates."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import click

from tersum.cli.output import blocks, emit_json, remark
from tersum.documents.text import _

FOUND, CANNOT_TELL = 0, 1


@click.command(
    help=_("Work out how far two swabs of one surface differ, from planned duplicates."),
    epilog=_("Example: tersum repeatability examples/duplicates.csv. Columns: point and rlu; where known also planned "
             "(yes or no), surface, person, day, instrument, blank. Only swabs planned before anything was read count. "
             "Exit 0: there is a repeatability; 1: it cannot be told; 3: the table has faults."))
@click.argument("duplicates", metavar="DUPLICATES.csv")
@click.option("--all-planned", is_flag=True, help=_("All rows were planned before anything was read."))
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N",
              help=_("Of the shuffling between classes."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.pass_context
def repeatability(ctx: click.Context, /, duplicates: str, all_planned: bool, seed: int, as_json: bool) -> None:
    import numpy as np

    from tersum.documents import repeatability_text
    from tersum.records.duplicates_file import read_duplicates
    from tersum.records.repeatability import repeatability_of

    table = read_duplicates(duplicates, all_planned=all_planned)
    found = repeatability_of(table.swabs, rng=np.random.default_rng(seed))
    aside = repeatability_text.aside_lines(table.unplanned, table.not_said, table.outside, found.single)
    if as_json:
        emit_json("tersum/repeatability/1", _body(found, table, seed))
    else:
        blocks([[repeatability_text.nothing_line()]] if found.pooled is None
               else repeatability_text.pooled_blocks(found.pooled, found.total))
        for line in aside:
            remark(line)
    ctx.exit(CANNOT_TELL if found.pooled is None else FOUND)


def _body(found: Any, table: Any, seed: int) -> dict[str, Any]:
    pooled, total = found.pooled, found.total
    return {
        "repeatability": None if pooled is None else {
            "spread_log10": pooled.together.spread_log10, "degrees_of_freedom": pooled.together.degrees_of_freedom,
            "upper_log10": pooled.upper_log10, "factor": pooled.factor, "surfaces": pooled.cells},
        "classes": [] if pooled is None else [asdict(one) for one in pooled.classes],
        "p_classes": None if pooled is None else pooled.p_classes,
        "classes_differ": None if pooled is None else pooled.apart,
        "trend": None if pooled is None or pooled.trend is None else asdict(pooled.trend),
        "reproducibility": None if total is None else asdict(total), "seed": seed,
        "left_aside": {"unplanned": table.unplanned, "not_said": table.not_said, "outside": table.outside,
                       "single": found.single}}

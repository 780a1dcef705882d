"""``tersum titre``: virus titres from wells and plaques, and the reduction between two titrations."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _
from tersum.errors import TersumError

SCHEMA = "tersum/titre/1"
VARIANCES = click.Choice(["n-minus-1", "n"])


@click.group(help=_("Titre of a virus from wells or plaques, and its reduction with the operator."),
             epilog=_("Example: tersum titre wells examples/bench/wells-control.csv --inoculum-ml 0.1"))
def titre() -> None:
    pass


@titre.command(help=_("TCID50 by Spearman-Kaerber, with Reed-Muench beside it."),
               epilog=_("Example: tersum titre wells examples/bench/wells-control.csv --inoculum-ml 0.1. Columns: "
                        "dilution, positive and total, one row a dilution."))
@click.argument("wells_path", metavar="WELLS.csv|WELLS.toml")
@click.option("--inoculum-ml", required=True, help=_("Put into each well, mL."))
@click.option("--variance", type=VARIANCES, default="n-minus-1", show_default=True,
              help=_("Of a share: over n - 1, or over n as many published intervals."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def wells(wells_path: str, variance: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import counts_text
    from tersum.lethality.titre import reed_muench, units_per_ml

    given = Given(options)
    inoculum = given.number("inoculum_ml", most=999.0)
    read = given.take(lambda: _read(wells_path))
    given.done()
    made, found = _titre(given, read or [], inoculum, variance)
    other = None
    if found.operator == "=":
        try:
            other = reed_muench(made)
        except TersumError:
            other = None  # its cumulated shares do not pass a half; it is for comparison only
    units = units_per_ml(found.per_ml) if found.operator == "=" else None
    lines = counts_text.titre_lines(found, other=other, units=units)
    cautions = counts_text.count_cautions(after_disinfection=False)
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "per_ml": found.per_ml, "variance": variance,
                           "reed_muench_log10_per_ml": other.log10_per_ml if other else None,
                           "infectious_units_per_ml": units, "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)


@titre.command(help=_("PFU per mL from the plaques of one dilution."),
               epilog=_("Example: tersum titre plaques --count 42 --count 38 --count 46 --dilution 10^-5 "
                        "--inoculum-ml 0.2"))
@click.option("--count", multiple=True, required=True, help=_("Plaques; once for each plate or well."))
@click.option("--dilution", "diluted", required=True, help=_("Of what was plated: 0.01, 1/100 or 10^-2."))
@click.option("--inoculum-ml", required=True, help=_("Put on each, mL."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def plaques(diluted: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import counts_text
    from tersum.lethality.plaques import plaque_count
    from tersum.records.row_file import dilution, whole_count

    given = Given(options)
    seen = []
    for text in options["count"]:
        try:
            seen.append(whole_count("--count", text))
        except TersumError as fault:
            given.checks.add(fault)
    inoculum = given.number("inoculum_ml", most=999.0)
    share = given.take(lambda: dilution("--dilution", diluted))
    given.done()
    found = given.run(lambda: plaque_count(seen, dilution=share or 1.0, inoculum_ml=inoculum))
    lines, cautions = counts_text.plaque_lines(found), counts_text.count_cautions(after_disinfection=False)
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)


@titre.command(help=_("Reduction from a control to a test, with its operator, against what is required."),
               epilog=_("Example: tersum titre reduction examples/bench/wells-control.csv "
                        "examples/bench/wells-test.csv --inoculum-ml 0.1 --required 4. The test's file holds only "
                        "dilutions that the product itself does not poison. Exit 0: met; 1: not met, cannot be told, "
                        "or not assessable."))
@click.argument("control", metavar="CONTROL.csv")
@click.argument("test", metavar="TEST.csv")
@click.option("--inoculum-ml", required=True, help=_("Put into each well, mL."))
@click.option("--required", required=True, help=_("Log10 reduction that is required."))
@click.option("--variance", type=VARIANCES, default="n-minus-1", show_default=True, help=_("Of a share."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def reduction(control: str, test: str, variance: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import counts_text
    from tersum.lethality.log_reduction import MET
    from tersum.lethality.virus_reduction import virus_reduction

    given = Given(options)
    inoculum, required = given.number("inoculum_ml", most=999.0), given.number("required", most=20.0)
    read = [given.take(lambda path=path: _read(path)) or [] for path in (control, test)]  # type: ignore[misc]
    given.done()
    before, after = (_titre(given, rows, inoculum, variance)[1] for rows in read)
    found = given.run(lambda: virus_reduction(before, after, required_log10=required))
    lines, cautions = counts_text.reduction_lines(found), counts_text.count_cautions()
    if as_json:
        emit_json(SCHEMA, {**vars(found), "reduction": found.reduction.as_dict(), "control": asdict(before),
                           "test": asdict(after), "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)
    if found.answer != MET:
        sys.exit(1)


def _read(path: str) -> list[dict[str, Any]]:
    from tersum.records.row_file import dilution, read_rows, whole_count

    return read_rows(path, {"dilution": dilution, "positive": whole_count, "total": whole_count})


def _titre(given: Given, rows: list[dict[str, Any]], inoculum: float, variance: str) -> tuple[Any, Any]:
    import math

    from tersum.lethality.titre import spearman_kaerber, wells

    made = given.run(lambda: wells([math.log10(one["dilution"]) for one in rows], [one["positive"] for one in rows],
                                   [one["total"] for one in rows], inoculum_ml=inoculum))
    return made, given.run(lambda: spearman_kaerber(made, variance=variance))

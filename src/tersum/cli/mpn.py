"""``tersum mpn``: the most probable number of a pattern of tubes, with the interval of a named method."""

from __future__ import annotations

import sys
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _
from tersum.errors import N_, TersumError
from tersum.units import coded

SCHEMA = "tersum/mpn/1"
METHODS = click.Choice(["likelihood-ratio", "two-standard-errors", "standard-error"])


@click.command(help=_("Most probable number of a pattern of tubes that grew, for any design."),
               epilog=_("Example: tersum mpn --row 0.1=2/3 --row 0.01=2/3 --row 0.001=0/3. Columns of a file: amount, "
                        "tubes and positive. No tube positive gives an upper limit, all of them a lower one, never a "
                        "number. Exit 1: the pattern is not to be trusted."))
@click.argument("tubes_path", metavar="[TUBES.csv|TUBES.toml]", required=False)
@click.option("--row", "rows", multiple=True, metavar="AMOUNT=POSITIVE/TUBES",
              help=_("Amount of sample in each tube, g or mL, and the tubes: 0.1=2/3."))
@click.option("--method", type=METHODS, default="likelihood-ratio", show_default=True, help=_("Of the interval."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def mpn(tubes_path: str | None, rows: tuple[str, ...], method: str, as_json: bool) -> None:
    from tersum.documents import counts_text
    from tersum.lethality import mpn as numbers
    from tersum.lethality.mpn_interval import mpn_interval
    from tersum.lethality.mpn_table import tabulated

    given = Given({"row": rows})
    read = _rows(given, tubes_path)
    given.done()
    made = given.run(lambda: numbers.design([one["tubes"] for one in read], [one["amount"] for one in read]))
    found = given.run(lambda: numbers.mpn([one["positive"] for one in read], design=made))
    ends, row = mpn_interval(found, method=method), tabulated(found.positive, design=made)
    lines, cautions = counts_text.mpn_lines(found, ends, row), counts_text.count_cautions(after_disinfection=False)
    if as_json:
        emit_json(SCHEMA, _body(found, ends, row, lines, cautions))
    else:
        said(lines, cautions)
    if str(found.trust) == numbers.NOT_TO_BE_TRUSTED:
        sys.exit(1)


def _body(found: Any, ends: Any, row: Any, lines: list[str], cautions: list[str]) -> dict[str, Any]:
    operator = str(found.operator)
    # The bound of a pattern without a number is its limit: 0 and infinity are no most probable numbers.
    bound = {"=": float(found.mpn), "<": float(ends.high), ">": float(ends.low)}[operator]
    return {"operator": operator, "mpn": bound, "low": float(ends.low), "high": float(ends.high),
            "method": ends.method, "confidence": ends.confidence, "se_log10": float(found.se_log10),
            "rarity": float(found.rarity), "trust": str(found.trust), "table": None if row is None else vars(row),
            "sentences": lines, "cautions": cautions}


def _rows(given: Given, path: str | None) -> list[dict[str, Any]]:
    from tersum.records.row_file import number, read_rows, whole_count

    if bool(path) == bool(given.options["row"]):
        raise click.UsageError(_("Give a file of tubes, or --row for each amount."))
    if path:
        columns = {"amount": number, "tubes": whole_count, "positive": whole_count}
        return given.take(lambda: read_rows(path, columns)) or []
    found = []
    for amount, share in given.pairs("row"):
        positive, mark, tubes = share.partition("/")
        try:
            if not mark:
                raise coded("not-a-share", N_("{field} is no share: got {value}; accepted: {accepted}."), "--row",
                            share, N_("positive tubes, / and tubes, such as 2/3"))
            found.append({"amount": number("--row", amount), "positive": whole_count("--row", positive.strip()),
                          "tubes": whole_count("--row", tubes.strip())})
        except TersumError as fault:
            given.checks.add(fault)
    return found

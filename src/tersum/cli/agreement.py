"""``tersum agreement``: two instruments on the same surfaces, or a rapid reading against a plate count."""

from __future__ import annotations

import csv
import math
import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.cli.output import blocks, emit_json
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange, TersumError
from tersum.units import parse_decimal

DONE, NO, REFUSED = 0, 1, 5


@click.command(
    help=_("Compare two instruments, or a rapid reading with a plate count, on the same surfaces."),
    epilog=_("Example: tersum agreement examples/agreement/pairs.csv. Columns first and second (two instruments), "
             "where known first_again and second_again; or rlu and cfu, with --limit-rlu and --limit-cfu. Exit 0: a "
             "result; 1: cannot be told, or no conversion; 5: RLU into CFU is refused."))
@click.argument("pairs", metavar="PAIRS.csv")
@click.option("--convert", metavar="RLU", help=_("What the second would show; from 40 pairs or more."))
@click.option("--limit-rlu", metavar="RLU", help=_("Above it light calls a surface dirty."))
@click.option("--limit-cfu", metavar="CFU", help=_("Above it the plate does."))
@click.option("--error-ratio", metavar="RATIO",
              help=_("Error variance of the second over that of the first, on logs; from duplicates if left out."))
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N", help=_("Of the draws."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
@click.option("--csv", "as_csv", is_flag=True, help=_("Print the figures as CSV."))
@click.pass_context
def agreement(ctx: click.Context, /, pairs: str, as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.records.evidence_tables import read_pairs

    table = read_pairs(pairs)
    if table.rapid:
        body, lines, code = _rapid(table.rows, given)
    else:
        body, lines, code = _two(table.rows, given)
    if as_json:
        emit_json("tersum/agreement/1", {**body, "sentences": lines})
    elif as_csv:
        out = csv.writer(sys.stdout, lineterminator="\n")
        out.writerow(("figure", "value"))
        out.writerows(_flat("", body))
    else:
        blocks([line] for line in lines)
    ctx.exit(code)


def _two(rows: Any, given: dict[str, Any]) -> tuple[dict[str, Any], list[str], int]:
    from tersum.documents import agreement_text
    from tersum.documents.numbers import number_text
    from tersum.evidence import two_instruments
    from tersum.evidence.agreement import converted

    numbers = [row for row in rows if row["first"][0] == row["first"][1] and row["second"][0] == row["second"][1]]
    logs = [[math.log10(row[name][0]) for row in numbers] for name in ("first", "second")]
    ratio = _number("--error-ratio", given["error_ratio"]) or _ratio(rows, "first", "second")
    found = two_instruments.two_instruments(*logs, variance_ratio=ratio, left_out=len(rows) - len(numbers))
    lines = agreement_text.two_lines(found)
    body: dict[str, Any] = {"kind": "two-instruments", **asdict(found)}
    wanted = _number("--convert", given["convert"])
    told = found.limits is not None
    if wanted is not None:
        told = found.verdict == two_instruments.CONVERTIBLE
        low, high = found.range_log10
        if told and not low <= math.log10(wanted) <= high:
            raise OutOfRange("--convert", given["convert"], N_("{low:.3g} to {high:.3g} RLU, where there are pairs"),
                             low=10.0**low, high=10.0**high)
        if told:
            middle, low, high = (10.0**value for value in converted(found.lines[0][1], math.log10(wanted)))
            body["converted"] = {"from": wanted, "to": middle, "low": low, "high": high}
            lines.append(_("{given} of the first: {to} of the second, one reading {low} to {high}.").format(
                given=number_text(wanted), to=number_text(middle), low=number_text(low), high=number_text(high)))
    return body, lines, DONE if told else NO


def _rapid(rows: Any, given: dict[str, Any]) -> tuple[dict[str, Any], list[str], int]:
    import numpy as np

    from tersum.documents import agreement_text
    from tersum.evidence import rapid_plate

    if given["convert"] is not None:
        refused = TersumError(agreement_text.NO_CONVERSION, field="--convert", value=given["convert"])
        refused.code, refused.exit_code = "no-conversion", REFUSED
        raise refused
    limits = [_number(name, given[key]) for name, key in (("--limit-rlu", "limit_rlu"), ("--limit-cfu", "limit_cfu"))]
    if limits[0] is None or limits[1] is None:
        raise click.UsageError(_("Give --limit-rlu and --limit-cfu: above which each calls a surface dirty."))
    # An inequality enters as its own bound: ranks and cuts keep their order as long as limits lie between.
    light = [row["rlu"][0] if math.isinf(row["rlu"][1]) else row["rlu"][1] for row in rows]
    ratio = _number("--error-ratio", given["error_ratio"]) or 1.0
    found = rapid_plate.rapid_against_plate(light, [row["cfu"] for row in rows], limit_rlu=limits[0],
                                            limit_cfu=limits[1], variance_ratio=ratio,
                                            rng=np.random.default_rng(given["seed"]))
    lines = agreement_text.rapid_lines(found, limit_rlu=limits[0], limit_cfu=limits[1])
    return ({"kind": "rapid-against-plate", "limit_rlu": limits[0], "limit_cfu": limits[1], "error_ratio": ratio,
             "seed": given["seed"], **asdict(found)}, lines, DONE if found.verdict == rapid_plate.TOLD else NO)


def _ratio(rows: Any, first: str, second: str) -> float | None:
    """Return the ratio of error variances from duplicates of both, None where either has none."""
    from tersum.evidence.two_instruments import variance_ratio_of

    twice = [[(math.log10(row[name][0]), math.log10(row[f"{name}_again"][0])) for row in rows
              if row[f"{name}_again"] is not None and all(row[key][0] == row[key][1] for key in
                                                          (name, f"{name}_again"))] for name in (first, second)]
    return variance_ratio_of(*twice) if all(twice) else None


def _number(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        number = float(parse_decimal(text, field=option))
    except TersumError as refused:
        raise click.UsageError(refused.sentence(_)) from None
    if number <= 0.0:
        raise click.UsageError(OutOfRange(option, text, N_("more than 0")).sentence(_))
    return number


def _flat(head: str, value: Any) -> list[tuple[str, Any]]:
    """Return nested figures as rows."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list | tuple) else None
    if pairs is None:
        return [(head, value)]
    return [row for key, one in pairs for row in _flat(f"{head}.{key}" if head else str(key), one)]

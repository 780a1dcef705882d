"""``tersum sampling``: how many points to swab, what that lets one say, and a sealed draw of them."""

from __future__ import annotations

import csv
import secrets
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from tersum.cli.output import blocks, emit_json, remark, table
from tersum.cli.picture import beside, result_options
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange

_CONFIDENCE = click.FloatRange(0.5, 0.999)


@click.group(help=_("Plan how many points to swab, and say what so many swabs show."))
def sampling() -> None:
    pass


@sampling.command(
    help=_("Say what swabbing some of a listed number of points shows, or how many swabs are needed."),
    epilog=_("Example: tersum sampling points --points 40 --swabbed 12 --found 0; or: tersum sampling points --points "
             "40 --failing 4 --sensitivity 0.7"))
@click.option("--points", type=click.IntRange(1, 5000), required=True, metavar="N", help=_("Points on the list."))
@click.option("--swabbed", type=click.IntRange(1, 5000), metavar="N", help=_("Swabbed at random."))
@click.option("--found", type=click.IntRange(0, 5000), metavar="N", help=_("Of these above their limit."))
@click.option("--failing", type=click.IntRange(1, 5000), metavar="N", help=_("So many failing must not be missed."))
@click.option("--sensitivity", type=click.FloatRange(0.01, 1.0), default=1.0, show_default=True, metavar="P",
              help=_("Chance that a swab of a failing point shows it."))
@click.option("--confidence", type=_CONFIDENCE, default=0.95, show_default=True, metavar="P", help=_("Wanted."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def points(as_json: bool, **given: Any) -> None:
    from tersum.documents import sampling_text
    from tersum.evidence.point_sampling import point_statement, swabs_needed

    if (given["swabbed"] is None) == (given["failing"] is None) or (given["found"] is None) != (
            given["swabbed"] is None):
        raise click.UsageError(_("Give --swabbed and --found for what was swabbed, or --failing for how many to swab."))
    wanted = {"sensitivity": given["sensitivity"], "confidence": given["confidence"]}
    if given["failing"] is not None:
        needed = swabs_needed(given["points"], given["failing"], **wanted)
        body: dict[str, Any] = {"points": given["points"], "failing": given["failing"], **wanted, "needed": needed}
        lines = [sampling_text.needed_line(needed, given["failing"], given["points"], given["confidence"])]
    else:
        found = point_statement(given["points"], given["swabbed"], given["found"], **wanted)
        body, lines = asdict(found), [sampling_text.statement_line(found)]
    lines.append(sampling_text.surface_line())
    if as_json:
        emit_json("tersum/sampling-points/1", {**body, "sentences": lines})
    else:
        blocks([line] for line in lines)


@sampling.command(
    help=_("Plan for a series of many alike: a fixed number, or one after the other, with operating curves."),
    epilog=_("Example: tersum sampling series --good 1 --bad 10 --picture curve.svg"))
@click.option("--good", type=click.FloatRange(0.01, 99.0), required=True, metavar="PERCENT",
              help=_("Failing share that should be accepted."))
@click.option("--bad", type=click.FloatRange(0.01, 99.0), required=True, metavar="PERCENT",
              help=_("Failing share that should be refused."))
@click.option("--refuse-good", type=click.FloatRange(0.001, 0.5), default=0.05, show_default=True, metavar="P",
              help=_("Accepted risk of refusing the good."))
@click.option("--accept-bad", type=click.FloatRange(0.001, 0.5), default=0.1, show_default=True, metavar="P",
              help=_("Accepted risk of accepting the bad."))
@result_options
def series(as_json: bool, as_csv: bool, **given: Any) -> None:
    from tersum.documents import sampling_text
    from tersum.evidence.point_sampling import series_plans

    good, bad = given["good"] / 100.0, given["bad"] / 100.0
    found = series_plans(good, bad, refuse_good=given["refuse_good"], accept_bad=given["accept_bad"])
    lines = sampling_text.series_lines(found, good, bad)
    if as_json:
        emit_json("tersum/sampling-series/1", {**asdict(found), "sentences": lines})
    elif as_csv:
        _csv(("failing_frac", "accepted_fixed", "accepted_sequential", "mean_looked_at"), zip(
            found.failing_frac, found.accepted_fixed, found.accepted_sequential, found.mean_looked_at, strict=True))
    else:
        blocks([line] for line in lines)
    if given["picture"]:
        from tersum.documents.charts.plan_curve import plan_curve

        beside(given, lambda look: plan_curve(found, **look))


@sampling.command(
    help=_("Draw points by stratum: sealed before the cleaning, revealed after it."),
    epilog=_("Example: tersum sampling draw examples/sampling/points.csv --draw 4 --seed-file seed.txt; after the "
             "cleaning the same with --reveal. Columns: point, touch and risk (high, medium, low), surface. All points "
             "of high touch and high risk are swabbed always."))
@click.argument("listed", metavar="POINTS.csv")
@click.option("--draw", "count", type=click.IntRange(0, 5000), required=True, metavar="N",
              help=_("Points drawn beside those swabbed always."))
@click.option("--seed-file", required=True, type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help=_("Where the seed of the draw is kept; made if it is not there."))
@click.option("--reveal", is_flag=True, help=_("Show what was drawn."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def draw(listed: str, count: int, seed_file: Path, reveal: bool, as_json: bool) -> None:
    from tersum.records.evidence_tables import read_points
    from tersum.visit.plan import commitment
    from tersum.visit.strata_draw import strata_draw

    points = read_points(listed)
    if reveal and not seed_file.exists():
        raise OutOfRange("--seed-file", str(seed_file), N_("the file of the seed that was sealed"))
    seed = _seed(seed_file) if seed_file.exists() else secrets.token_bytes(16)
    found = strata_draw(points, count, seed)
    if not seed_file.exists():
        seed_file.write_text(seed.hex() + "\n", encoding="ascii")
        remark(_("Seed written to {file}: keep it closed until the cleaning is done.").format(file=seed_file))
    if as_json:
        emit_json("tersum/sampling-draw/1", {
            "always": list(found.always), "method": found.method, "commitment": commitment(seed),
            "seed_hex": seed.hex() if reveal else None,
            "strata": [{"stratum": name, "points": size, "drawn": len(drawn),
                        "names": list(drawn) if reveal else None} for name, size, drawn in found.strata]})
        return
    table((_("touch / risk / surface"), _("points"), _("swabbed"), _("which")),
          [(_("high / high: always"), len(found.always), len(found.always), ", ".join(found.always)),
           *((name, size, len(drawn), ", ".join(drawn) if reveal else _("sealed"))
             for name, size, drawn in found.strata)], right=(1, 2))
    click.echo(_("Fingerprint of the seed, to be written down before the cleaning: {hash}").format(
        hash=commitment(seed)))


def _seed(path: Path) -> bytes:
    text = path.read_text(encoding="ascii", errors="replace").strip()
    try:
        seed = bytes.fromhex(text)
    except ValueError:
        seed = b""
    if len(seed) != 16:
        raise OutOfRange("--seed-file", text[:40], N_("32 hexadecimal digits"))
    return seed


def _csv(names: tuple[str, ...], rows: Any) -> None:
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(names)
    out.writerows(rows)

"""``tersum counts``: colonies on plates to a count per mL, and to a count per cm2 of a surface."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _
from tersum.errors import TersumError

SCHEMA = "tersum/counts/1"
CONVENTIONS = click.Choice(["ISO 7218", "BAM"])


@click.group(help=_("Turn colonies on plates into a count per mL or per cm2, with its operator and interval."),
             epilog=_("Example: tersum counts plates examples/bench/plates.csv"))
def counts() -> None:
    pass


@counts.command(help=_("Count per mL or g from the plates of a dilution series."),
                epilog=_("Example: tersum counts plates --plate 10^-2=235,282 --plate 10^-3=31,39. Columns of a file: "
                         "dilution and count, one row a plate; a count may be TNTC or >300."))
@click.argument("plates_path", metavar="[PLATES.csv|PLATES.toml]", required=False)
@click.option("--plate", multiple=True, metavar="DILUTION=COUNTS", help=_("Plates of one dilution: 10^-2=235,282."))
@click.option("--convention", "rule", type=CONVENTIONS, default="ISO 7218", show_default=True,
              help=_("The rules of range, low counts and rounding."))
@click.option("--volume-ml", default="1", show_default=True, help=_("Put on each plate, mL."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def plates(plates_path: str | None, rule: str, as_json: bool, **options: Any) -> None:
    from tersum.documents import counts_text
    from tersum.lethality.plate_counts import Plates, convention, plate_count

    given = Given(options)
    volume = given.number("volume_ml", most=999.0)
    read = _plates(given, plates_path, options["plate"])
    given.done()
    found = given.run(lambda: plate_count([Plates(one, tuple(counted), volume) for one, counted in read.items()],
                                          convention=convention(rule)))
    lines, cautions = counts_text.plate_lines(found), counts_text.count_cautions()
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "text": found.text, "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)


@counts.command(help=_("Count per cm2 from the plates of a swab or sponge."),
                epilog=_("Example: tersum counts swab --count 35 --count 41 --plated-ml 1 --eluate-ml 10 "
                         "--area-cm2 100 --recovery-pct 50"))
@click.option("--count", multiple=True, required=True, help=_("Colonies; once for each plate."))
@click.option("--plated-ml", required=True, help=_("On each plate, mL."))
@click.option("--eluate-ml", required=True, help=_("What the swab was washed out in, mL."))
@click.option("--area-cm2", required=True, help=_("Swabbed, cm2."))
@click.option("--dilution", default="1", show_default=True, help=_("Of the eluate: 0.1, 1/10 or 10^-1."))
@click.option("--recovery-pct", help=_("What the swab gives back of what is there, %, from one's own trials."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def swab(as_json: bool, **options: Any) -> None:
    from tersum.lethality.surface_counts import swab_count
    from tersum.records.row_file import dilution

    given = Given(options)
    seen = _whole(given, "count")
    plated, eluate, area = (given.number(name, most=999.0) for name in ("plated_ml", "eluate_ml", "area_cm2"))
    diluted = given.take(lambda: dilution("--dilution", options["dilution"])) or 1.0
    share = _share(given)
    found = given.run(lambda: swab_count(seen, plated_ml=plated, eluate_ml=eluate, area_cm2=area, dilution=diluted,
                                         recovery_frac=share))
    _surface(found, as_json)


@counts.command(help=_("Count per cm2 from contact plates."),
                epilog=_("Example: tersum counts contact-plate --count 12 --count 8 --plate-cm2 25"))
@click.option("--count", multiple=True, required=True, help=_("Colonies; once for each plate."))
@click.option("--plate-cm2", required=True, help=_("Area of one plate, cm2."))
@click.option("--recovery-pct", help=_("What the plate takes up of what is there, %, from one's own trials."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def contact_plate(as_json: bool, **options: Any) -> None:
    from tersum.lethality.surface_counts import contact_plate_count

    given = Given(options)
    seen, area, share = _whole(given, "count"), given.number("plate_cm2", most=999.0), _share(given)
    _surface(given.run(lambda: contact_plate_count(seen, plate_cm2=area, recovery_frac=share)), as_json)


def _plates(given: Given, path: str | None, pairs: tuple[str, ...]) -> dict[float, list[float]]:
    from tersum.records.row_file import colonies, dilution, read_rows

    if bool(path) == bool(pairs):
        raise click.UsageError(_("Give a file of plates, or --plate for each dilution."))
    found: dict[float, list[float]] = {}
    if path:
        for row in given.take(lambda: read_rows(path, {"dilution": dilution, "count": colonies})) or []:
            found.setdefault(row["dilution"], []).append(row["count"])
        return found
    for left, right in given.pairs("plate"):
        try:
            found.setdefault(dilution("--plate", left), []).extend(
                colonies("--plate", one.strip()) for one in right.split(","))
        except TersumError as fault:
            given.checks.add(fault)
    return found


def _whole(given: Given, name: str) -> list[int]:
    from tersum.records.row_file import whole_count

    found = []
    for text in given.options[name]:
        try:
            found.append(whole_count("--" + name, text))
        except TersumError as fault:
            given.checks.add(fault)
    return found


def _share(given: Given) -> float | None:
    percent = given.maybe("recovery_pct", most=100.0)
    return None if percent is None else percent / 100.0


def _surface(found: Any, as_json: bool) -> None:
    from tersum.documents import counts_text

    lines, cautions = counts_text.surface_lines(found), counts_text.count_cautions()
    if as_json:
        emit_json(SCHEMA, {**asdict(found), "sentences": lines, "cautions": cautions})
    else:
        said(lines, cautions)

"""``tersum air``: what a task puts into the air of a closed space, and what is known of entering it again."""

from __future__ import annotations

import sys
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json, table
from tersum.cli.said import said
from tersum.documents.text import _

SCHEMA = "tersum/air/1"
WAYS = click.Choice(["wiped", "sprayed", "steamed", "fogged", "ozone"])
LISTS = click.Choice(["osha-pel", "niosh-rel", "acgih-tlv", "eu-ioelv", "uk-wel"])


@click.command(help=_("Work out what a task puts into the air of a cabin or room, and what is known of entering "
                      "again."),
               epilog=_('Example: tersum air "Demo Concentrate A" --ratio 1+20 --applied-ml 200 --work-min 10 '
                        "--drying-min 15 --volume-m3 6 --changes-per-h 20 --label-min 30. Exit 0: below the limits, "
                        "and something can be told; 1: above one, or it cannot be told; 5: not covered (fogging, "
                        "ozone, an oxidiser sprayed with somebody inside)."))
@click.argument("product", metavar="NAME|FILE.toml")
@click.option("--ratio", help=_("Working dilution by volume: 1+20 or 1 in 21. As supplied if left out."))
@click.option("--applied-ml", required=True, help=_("Working solution brought out in all, mL."))
@click.option("--work-min", required=True, help=_("How long it is brought out, min."))
@click.option("--drying-min", required=True, help=_("How long the last of it stays wet after that, min: seats dry for "
                                                    "hours."))
@click.option("--volume-m3", required=True, help=_("Free air of the cabin or room, m3."))
@click.option("--changes-per-h", help=_("Air changes an hour, measured or stated; without it nothing can be told."))
@click.option("--mixing", default="0.3", show_default=True, help=_("Which part of an ideal air change one does: parked "
                                                                   "car 0.3 to 0.5."))
@click.option("--limits", type=LISTS, default="acgih-tlv", show_default=True, help=_("The list of limits."))
@click.option("--way", type=WAYS, default="wiped", show_default=True, help=_("How it is brought out."))
@click.option("--somebody-inside", is_flag=True, help=_("Somebody is inside, doors and windows closed."))
@click.option("--label-min", help=_("Minutes from the beginning that the label asks to wait; 0 where it asks nothing."))
@click.option("--seen-dry", is_flag=True, help=_("The surfaces were seen dry, or rinsed."))
@click.option("--aired", is_flag=True, help=_("The space was aired with doors and windows open."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def air(product: str, ratio: str | None, limits: str, way: str, somebody_inside: bool, seen_dry: bool, aired: bool,
        as_json: bool, **options: Any) -> None:
    from tersum.chemistry import exposure
    from tersum.chemistry.ratio import parse_ratio
    from tersum.chemistry.reentry import re_entry
    from tersum.cli.mix import product_named

    made, given = product_named(product), Given(options)
    read = given.take(lambda: parse_ratio(ratio, reading=made.ratio_reading, field="--ratio")) if ratio else None
    numbers = {name: given.number(name, most=1e6) for name in ("applied_ml", "work_min", "drying_min", "volume_m3",
                                                               "mixing")}
    changes, label = given.maybe("changes_per_h", most=1e6), given.maybe("label_min", most=1e6)
    task = exposure.Task(numbers["applied_ml"], numbers["work_min"], numbers["drying_min"], way, somebody_inside)
    found = given.run(lambda: exposure.air_of_task(
        exposure.Space(numbers["volume_m3"], changes or 0.0, numbers["mixing"]), task,
        exposure.volatile_mg_l(made, read), limits=limits))
    again = given.run(lambda: re_entry(
        label_min=label, model_min=exposure.clear_from_min(found), ventilation_known=changes is not None,
        dry_or_rinsed=seen_dry or None, aired=aired or None))
    _show(made.name, found, again, known=changes is not None, as_json=as_json)
    sys.exit(0 if found.verdict == exposure.BELOW and again.answer == "not-before" and changes is not None else 1)


def _show(name: str, found: Any, again: Any, *, known: bool, as_json: bool) -> None:
    from dataclasses import asdict

    from tersum.documents import air_text

    lines = [air_text.verdict_line(found), *air_text.limit_lines(found), air_text.irritant_line(found),
             air_text.still_air_line(found)]
    if not known:
        lines.insert(0, _("No air change is stated: computed as if none took place."))
    lines = [line for line in (*lines, *air_text.reentry_lines(again)) if line]
    if as_json:
        emit_json(SCHEMA, {
            "product": name, "verdict": found.verdict, "irritants_share": found.irritants, "ventilation_known": known,
            "box": asdict(found.box), "source_until_min": found.source_until_min,
            "actives": [{"name": one.name, "mass_mg": one.mass_mg, "peak_mg_m3": one.peak_mg_m3,
                         "mean_15_min_mg_m3": one.mean_15_min_mg_m3, "mean_8_h_mg_m3": one.mean_shift_mg_m3,
                         "verdict": one.verdict, "list_silent": one.limits.silent,
                         "limits": [{"list": limit.set, "kind": limit.kind, "ppm": limit.ppm, "mg_m3": limit.mg_m3,
                                     "share": share, "known": limit.known.known} for limit, share in one.shares]}
                        for one in found.actives],
            "entering_again": asdict(again), "sentences": lines, "cautions": air_text.cautions()})
        return
    if found.actives:
        table(air_text.active_headings(), air_text.active_rows(found), right=(1, 2, 3, 4))
        print()
    said(lines, air_text.cautions())

"""``tersum material``: what a material takes, by product or by heat, and how well that is known."""

from __future__ import annotations

import sys
from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.cli.said import said
from tersum.documents.text import _


@click.command(help=_("Say what a material takes: a product at its dilution, or heat."),
               epilog=_('Example: tersum material ABS --product "Demo Concentrate A" --ratio 1+20. Exit 0: usually '
                        "fine, or with care; 1: to be avoided, not known, or by its maker's method alone."))
@click.argument("name")
@click.option("--product", metavar="NAME|FILE.toml", help=_("The product."))
@click.option("--ratio", help=_("Its working dilution by volume: 1+20 or 1 in 21. As supplied if left out."))
@click.option("--surface-c", help=_("Temperature that the surface comes to, °C; 100 under steam."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def material(name: str, product: str | None, ratio: str | None, as_json: bool, **options: Any) -> None:
    from tersum.chemistry import materials
    from tersum.chemistry.ratio import parse_ratio
    from tersum.cli.mix import product_named
    from tersum.documents import together_text

    if product is None and options["surface_c"] is None:
        raise click.UsageError(_("Give --product or --surface-c."))
    given, found = Given(options), []
    temp = given.maybe("surface_c", most=1000.0)
    made = product_named(product) if product is not None else None
    if made is not None:
        read = given.take(lambda: parse_ratio(ratio, reading=made.ratio_reading, field="--ratio")) if ratio else None
        share = read.concentrate_frac if read else 1.0
        found.append(given.run(lambda: materials.material_under_product(name, made, concentrate_frac=share)))
    if temp is not None:
        found.append(given.run(lambda: materials.material_heated(name, temp)))
    given.done()
    lines = [line for one in found for line in together_text.verdict_lines(one)]
    if all(one.value is None for one in found):
        lines.append(_("Known here: {names}.").format(names=", ".join(materials.materials())))
    if as_json:
        emit_json("tersum/material/1", {
            "material": name, "verdicts": [{"verdict": one.verdict, "by": one.by, "evidence": one.evidence or None,
                                            "source": one.value.source if one.value else None} for one in found],
            "sentences": lines, "cautions": together_text.cautions()})
    else:
        said(lines, together_text.cautions())
    sys.exit(0 if all(one.verdict in (materials.FINE, materials.CARE) for one in found) else 1)

"""``tersum hazard``: hazard class of a product as supplied and of its working dilution, with every sum on request."""

from __future__ import annotations

from typing import Any

import click

from tersum.cli.given import Given
from tersum.cli.output import emit_json
from tersum.documents.text import _


@click.command(help=_("Classify a product and its working dilution by its listed ingredients."),
               epilog=_('Example: tersum hazard "Demo Concentrate A" --ratio 1+20 --ph 3.1 --trace'))
@click.argument("product", metavar="NAME|FILE.toml")
@click.option("--ratio", help=_("Working dilution by volume: 1+20 or 1 in 21."))
@click.option("--percent", help=_("Concentrate in the working dilution, % v/v."))
@click.option("--dose-g-l", help=_("Powder for one litre, g."))
@click.option("--ph", help=_("pH of the working dilution, measured or predicted for this water."))
@click.option("--trace", is_flag=True, help=_("Show every rule with its sum and its limit."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def hazard(product: str, trace: bool, as_json: bool, **options: Any) -> None:
    from tersum.chemistry.hazard_product import product_hazard
    from tersum.chemistry.ratio import parse_ratio
    from tersum.cli import hazard_text
    from tersum.cli.mix import product_named

    if sum(bool(options[name]) for name in ("ratio", "percent", "dose_g_l")) > 1:
        raise click.UsageError(_("Give one of --ratio, --percent and --dose-g-l."))
    if options["ph"] and not any(options[name] for name in ("ratio", "percent", "dose_g_l")):
        raise click.UsageError(_("--ph is that of a working dilution: give --ratio, --percent or --dose-g-l with it. "
                                 "The pH of the product as supplied stands in its file."))
    made = product_named(product)
    given = Given(options)
    ratio = None
    if options["ratio"]:
        ratio = given.take(lambda: parse_ratio(options["ratio"], reading=made.ratio_reading, field="--ratio"))
    elif options["percent"]:
        text = options["percent"]
        ratio = given.take(lambda: parse_ratio(text if "%" in text else f"{text} %", field="--percent"))
    ph, dose = given.maybe("ph", most=15.0), given.maybe("dose_g_l", most=1000.0)
    found = given.run(lambda: product_hazard(made, ratio, dose_g_l=dose, ph=ph))
    if as_json:
        emit_json("tersum/hazard/1", hazard_text.body(found, made))
    else:
        hazard_text.show(found, made, trace=trace)

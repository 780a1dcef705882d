"""``tersum mix``: concentrate and water for a working solution, three ways, with the strength of each active."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, TypeVar

import click

from tersum.catalogue import load
from tersum.catalogue.product import Product, products_in
from tersum.chemistry.accepted import Checks
from tersum.chemistry.measure import measure
from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.chemistry.targets import Bounds
from tersum.chemistry.working_solution import PowderSolution, WorkingSolution, powder_working_solution, working_solution
from tersum.cli import mix_text
from tersum.cli.output import emit_json
from tersum.documents.text import _
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.units import coded, parse_decimal, parse_strength, parse_volume_ml

T = TypeVar("T")
Solution = WorkingSolution | PowderSolution


@click.command(
    help=_("Compute concentrate and water for a working solution."),
    epilog=_('Example: tersum mix --volume-ml 5000 --ratio "1+20" --product "Demo Concentrate A"'))
@click.option("--volume-ml", required=True, help=_("Finished solution: 5000, 750 ml or 5 L."))
@click.option("--ratio", help=_("Concentrate and water: 1+20 or 1 in 21."))
@click.option("--percent", help=_("Concentrate in the finished solution, % v/v."))
@click.option("--target", multiple=True, metavar="ACTIVE=STRENGTH",
              help=_('Strength to reach, such as "peracetic acid=1000 mg/L"; may be given again.'))
@click.option("--min", "least", multiple=True, metavar="ACTIVE=STRENGTH", help=_("Least strength of an active."))
@click.option("--max", "most", multiple=True, metavar="ACTIVE=STRENGTH", help=_("Greatest strength of an active."))
@click.option("--dose-g-l", help=_("Powder for one litre, g."))
@click.option("--product", metavar="NAME|FILE.toml", help=_("A product of the catalogue, or your own product file."))
@click.option("--jug", default="kitchen jug", show_default=True,
              help=_('What the concentrate is measured with: kitchen jug, "cylinder B", "5 %" or "2 ml".'))
@click.option("--tank", default="kitchen jug", show_default=True, help=_("What the finished volume is measured with."))
@click.option("--ppm", type=click.Choice(["mg/L"]), help=_('Take "ppm" as mg/L; without this it is asked about.'))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def mix(as_json: bool, **given: Any) -> None:
    product = product_named(given["product"]) if given["product"] else None
    _only_one_way(given, product)
    solution = _solution(given, product)
    if as_json:
        emit_json("tersum/mix/1", mix_text.body(solution, product))
    else:
        mix_text.show(solution, product)
    if any(one.certain for one in solution.findings):
        sys.exit(1)


def product_named(name: str) -> Product:
    """Return a product of the catalogue, or the one of a file."""
    if not name.casefold().endswith(".toml"):
        return load.product(name)
    # Imported here: a mix by name needs nothing of the files people write.
    from tersum.records.toml_file import placed, read_toml

    try:
        found = products_in(read_toml(name))
    except Faults as wrong:
        raise placed(name, wrong.faults) from None
    if len(found) != 1:
        raise OutOfRange("--product", name, N_("a file with one product; this one holds {count}"), count=len(found))
    return found[0]


def _only_one_way(given: dict[str, Any], product: Product | None) -> None:
    ways = [name for name in ("ratio", "percent", "dose_g_l") if given[name]]
    aimed = bool(given["target"] or given["least"] or given["most"])
    if len(ways) > 1 or (ways and given["target"]):
        raise click.UsageError(_("Give one of --ratio, --percent, --dose-g-l and --target."))
    if not ways and not aimed and not (product and product.label_ratio):
        raise click.UsageError(_("Give --ratio, --percent or --target; or a --product whose label states a ratio."))
    if aimed and not product:
        raise click.UsageError(_("A strength needs a --product to be reached with."))
    powder = product is not None and product.kind == "powder"
    if bool(given["dose_g_l"]) != powder and (given["dose_g_l"] or (powder and ways)):
        raise click.UsageError(_("--dose-g-l is for a powder, --ratio and --percent for a liquid."))


def _solution(given: dict[str, Any], product: Product | None) -> Solution:
    """Read every option, tell all that is wrong with them at once, and compute."""
    checks = Checks()
    volume = _taken(checks, lambda: parse_volume_ml(given["volume_ml"], field="--volume-ml"))
    tank = _taken(checks, lambda: measure(given["tank"], field="--tank"))
    jug = _taken(checks, lambda: measure(given["jug"], field="--jug"))
    bounds = _bounds(given, checks)
    dose = _taken(checks, lambda: float(parse_decimal(given["dose_g_l"], field="--dose-g-l"))) \
        if given["dose_g_l"] else None
    ratio = _taken(checks, lambda: _ratio(given, product, aimed=bool(bounds)))
    checks.done()
    assert volume is not None
    if product is not None and product.kind == "powder":
        return powder_working_solution(volume, product, dose_g_l=dose, bounds=bounds, volume_measure=tank)
    return working_solution(volume, product, ratio=ratio, bounds=bounds, concentrate_measure=jug, volume_measure=tank)


def _ratio(given: dict[str, Any], product: Product | None, *, aimed: bool) -> Ratio | None:
    reading = product.ratio_reading if product else None
    if given["ratio"]:
        return parse_ratio(given["ratio"], reading=reading, field="--ratio")
    if given["percent"]:
        text = given["percent"]
        return parse_ratio(text if "%" in text else f"{text} %", field="--percent")
    if aimed or product is None or product.label_ratio is None:
        return None
    return parse_ratio(product.label_ratio, reading=reading, field="label_ratio")


def _bounds(given: dict[str, Any], checks: Checks) -> list[Bounds]:
    found = []
    for option, ends in (("target", (True, True)), ("least", (True, False)), ("most", (False, True))):
        shown = {"target": "--target", "least": "--min", "most": "--max"}[option]
        for text in given[option]:
            pair = _taken(checks, lambda: _strength(text, shown, given["ppm"]))  # noqa: B023 - called at once
            if pair:
                found.append(Bounds(pair[0], pair[1] if ends[0] else None, pair[1] if ends[1] else None))
    return found


def _strength(text: str, option: str, ppm: str | None) -> tuple[str, float]:
    name, mark, strength = text.partition("=")
    if not mark or not name.strip():
        raise coded("not-a-target", N_("{field} names no active: got {value}; accepted: {accepted}."), option, text,
                    N_("an active, = and its strength, such as peracetic acid=1000 mg/L"))
    return name.strip(), parse_strength(strength, ppm=ppm, field=f"{option} {name.strip()}").mg_l


def _taken(checks: Checks, read: Callable[[], T]) -> T | None:
    """Return what an option says, or keep its fault and go on to the next."""
    try:
        return read()
    except TersumError as fault:
        checks.add(fault)
        return None

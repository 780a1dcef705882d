"""``tersum ph``: the pH of a mixture or of a product's dilution in this water, and back from a pH to an acidity."""

from __future__ import annotations

import math
import sys
from dataclasses import asdict
from typing import Any

import click

from tersum.catalogue.product import Product
from tersum.chemistry.acetic_equivalent import AceticEquivalent, acetic_equivalent
from tersum.chemistry.alkalinity import carbonate_mol_kg, parse_alkalinity
from tersum.chemistry.amounts import parse_amount
from tersum.chemistry.equilibria import substance
from tersum.chemistry.ph import Solution, solution
from tersum.chemistry.product_ph import AIR_PCO2_ATM, AS_PREDICTED, Concentrate, TapWater
from tersum.chemistry.recipe import Water
from tersum.chemistry.uncertainty import Quantity
from tersum.cli import ph_text
from tersum.cli.given import Given, number_of
from tersum.cli.output import emit_json
from tersum.documents.text import _
from tersum.errors import N_, OutOfRange
from tersum.units import parse_temperature_c


@click.command(
    help=_("Predict the pH of a solution in this water, or find the acidity behind a pH."),
    epilog=_('Example: tersum ph --put "acetic acid=10 mmol/L" --alkalinity "3 mmol/L"'))
@click.option("--put", multiple=True, metavar="SUBSTANCE=AMOUNT",
              help=_('What is in it, such as "acetic acid=600 mg/L" or "=10 mmol/L"; may be given again.'))
@click.option("--product", metavar="NAME|FILE.toml", help=_("A product of the catalogue, or your own product file."))
@click.option("--ratio", help=_("Dilution of the product: 1+20 or 1 in 21."))
@click.option("--strong-acid-mol-l", help=_("Strong acid of the product, fitted beforehand; negative for a base."))
@click.option("--alkalinity", default="0 mmol/L", show_default=True,
              help=_('Alkalinity of the water with its unit: "3 mmol/L", "150 mg/L CaCO3" or "8.4 dKH".'))
@click.option("--alkalinity-pct", default="5", show_default=True, help=_("How well it is known, %, one sigma."))
@click.option("--water-ph", help=_("pH of the water as drawn; without it the carbonate is taken from a range."))
@click.option("--temp-c", default="20", show_default=True, help=_("Temperature of the solution, 0 to 60 °C."))
@click.option("--closed", is_flag=True, help=_("With --put: carbonate stays in (freshly mixed); without: open to air."))
@click.option("--dilution-pct", default="3", show_default=True, help=_("How well the dilution is known, %, one sigma."))
@click.option("--measured-ph", help=_("A reading to compare with the prediction for a product."))
@click.option("--u-ph", default="0.05", show_default=True, help=_("Its standard uncertainty."))
@click.option("--from-ph", help=_("Find the acetic acid that would give this pH in this water."))
@click.option("--fit", multiple=True, metavar="RATIO=PH",
              help=_('Fit the product\'s strong acid to readings of known dilutions, such as "1+20=3.31".'))
@click.option("--curve", help=_("Parts of water to predict the product's pH at, such as 10,20,50,100."))
@click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object."))
def ph(as_json: bool, **options: Any) -> None:
    given = Given(options)
    _one_question(options)
    if options["from_ph"] is not None:
        found = _inverse(given)
        emit_json("tersum/ph/1", {**asdict(found), "g_kg": found.g_kg}) if as_json else ph_text.show_inverse(found)
    elif options["product"]:
        _product(given, as_json)
    else:
        mixed = _mixture(given)
        emit_json("tersum/ph/1", ph_text.solution_body(mixed)) if as_json else ph_text.show_solution(mixed)


def _one_question(options: dict[str, Any]) -> None:
    asked = [name for name in ("put", "product", "from_ph") if options[name]]
    if len(asked) > 1:
        raise click.UsageError(_("Give one of --put, --product and --from-ph."))
    if options["product"] and not (options["ratio"] or options["curve"] or options["fit"]):
        raise click.UsageError(_("A --product needs its --ratio, a --curve of dilutions, or readings to --fit."))
    if not options["product"] and (options["ratio"] or options["curve"] or options["measured_ph"] or options["fit"]):
        raise click.UsageError(_("--ratio, --curve, --fit and --measured-ph go with a --product."))


def _water(given: Given, temp_c: float) -> Water:
    alkalinity = _alkalinity_mmol_l(given) / 1000.0
    water_ph = given.maybe("water_ph", most=15.0)
    if not given.options["closed"]:
        return Water(alkalinity, pco2_atm=AIR_PCO2_ATM)
    if water_ph is None:
        given.checks.add(OutOfRange("--water-ph", "", N_("the pH of the water as drawn: a closed solution keeps its "
                                                         "carbonate")))
        return Water()
    total = given.take(lambda: carbonate_mol_kg(alkalinity, water_ph, temp_c=temp_c))
    return Water(alkalinity, carbonate_mol_kg=total or 0.0)


def _alkalinity_mmol_l(given: Given) -> float:
    return given.take(lambda: parse_alkalinity(given.options["alkalinity"], field="--alkalinity")) or 0.0


def _temp_c(given: Given) -> float:
    found = given.take(lambda: parse_temperature_c(given.options["temp_c"], field="--temp-c"))
    return math.nan if found is None else found


def _mixture(given: Given) -> Solution:
    temp_c = _temp_c(given)
    amounts = {}
    for name, text in given.pairs("put"):
        given.take(lambda: substance(name))  # noqa: B023 - called at once
        amount = given.take(lambda: parse_amount(text, name, field=f"--put {name}"))  # noqa: B023
        amounts[name] = amount or 0.0
    water, acid = _water(given, temp_c), given.take(lambda: _strong_acid(given.options["strong_acid_mol_l"])) or 0.0
    return given.run(lambda: solution(amounts, temp_c=temp_c, water=water, strong_acid_mol_kg=acid))


def _strong_acid(text: str | None) -> float:
    return 0.0 if text is None else number_of(text, "--strong-acid-mol-l", most=20.0)


def _inverse(given: Given) -> AceticEquivalent:
    temp_c, value, wide = _temp_c(given), given.number("from_ph", most=15.0), given.number("u_ph", most=1.0)
    water = _water(given, temp_c)
    return given.run(lambda: acetic_equivalent(value, u_ph=wide, temp_c=temp_c, water=water))


def _product(given: Given, as_json: bool) -> None:
    from tersum.chemistry.product_ph import compared, ph_against_dilution, predicted_ph
    from tersum.chemistry.ratio import parse_ratio
    from tersum.cli.mix import product_named

    product = product_named(given.options["product"])
    temp_c = Quantity(_temp_c(given), 1.0)
    acid = given.take(lambda: _strong_acid(given.options["strong_acid_mol_l"])) or 0.0
    concentrate = concentrate_of(product, acid)
    alkalinity = _alkalinity_mmol_l(given)
    water = TapWater(Quantity(alkalinity, given.number("alkalinity_pct") / 100.0 * alkalinity),
                     given.maybe("water_ph", most=15.0))
    relative = given.number("dilution_pct") / 100.0
    if given.options["fit"]:
        _fit(given, product, concentrate, water, temp_c.value, as_json=as_json)
        return
    if given.options["curve"]:
        parts = _parts(given)
        curve = given.run(lambda: ph_against_dilution(concentrate, water, parts_water=parts, relative_u=relative,
                                                      temp_c=temp_c))
        emit_json("tersum/ph/1", {"product": product.name, **asdict(curve)}) if as_json else ph_text.show_curve(curve)
        return
    ratio = given.take(lambda: parse_ratio(given.options["ratio"], reading=product.ratio_reading, field="--ratio"))
    measured, u_ph = given.maybe("measured_ph", most=15.0), given.number("u_ph", most=1.0)
    frac = ratio.concentrate_frac if ratio else 1.0
    share = Quantity(frac, relative * frac)
    found = given.run(lambda: predicted_ph(concentrate, share, water, temp_c=temp_c))
    said = None if measured is None else given.run(lambda: compared(Quantity(measured, u_ph), found))
    if as_json:
        emit_json("tersum/ph/1", ph_text.prediction_body(product, found, said))
    else:
        ph_text.show_prediction(product, found, said)
    if said is not None and said.answer != AS_PREDICTED:
        sys.exit(1)


def _fit(given: Given, product: Product, concentrate: Concentrate, water: TapWater, temp_c: float, *,
         as_json: bool) -> None:
    from tersum.chemistry.fitted_acid import FITS, PhReading, fitted_acid
    from tersum.chemistry.ratio import parse_ratio

    wide, readings = given.number("u_ph", most=1.0), []
    for ratio, text in given.pairs("fit"):
        share = given.take(lambda: parse_ratio(ratio, reading=product.ratio_reading, field="--fit"))  # noqa: B023
        value = given.take(lambda: number_of(text, f"--fit {ratio}", most=15.0))  # noqa: B023 - called at once
        if share is not None and value is not None:
            readings.append(PhReading(share.concentrate_frac, Quantity(value, wide), temp_c))
    given.done()
    found = given.run(lambda: fitted_acid(concentrate, readings, water))
    if as_json:
        emit_json("tersum/ph/1", {"product": product.name, **asdict(found)})
    else:
        ph_text.show_fit(product, found)
    if found.answer != FITS:
        sys.exit(1)


def concentrate_of(product: Product, acid_mol_l: float) -> Concentrate:
    """Return what the pH of a product hangs on."""
    from tersum.chemistry.strength import active

    made = [active(one.name, one.strength, one.unit, density_kg_l=product.density_kg_l,
                   tolerance_frac=one.tolerance_frac or 0.0) for one in product.ingredients]
    return Concentrate({one.name: Quantity(one.strength_mg_l, one.standard_uncertainty_mg_l) for one in made},
                       Quantity(acid_mol_l))


def _parts(given: Given) -> list[float]:
    texts = tuple(given.options["curve"].split(","))
    found = Given({"curve": texts})
    parts = found.numbers("curve")
    given.checks.faults += found.checks.faults
    if any(not 0.0 <= one <= 1e6 for one in parts):
        given.checks.add(OutOfRange("--curve", given.options["curve"], N_("parts of water, 0 or more")))
        return []
    return parts

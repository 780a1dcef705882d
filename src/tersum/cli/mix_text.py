"""What ``tersum mix`` prints: the mixture in tables and sentences, or the same as one JSON object."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict

from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.dilution import Working
from tersum.chemistry.measure import Measure
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.working_solution import Finding, PowderSolution, WorkingSolution
from tersum.cli.output import remark, table
from tersum.documents.numbers import decimal_mark, number_text
from tersum.documents.text import _
from tersum.errors import N_

Solution = WorkingSolution | PowderSolution

_FINDINGS = {
    "below-the-least": N_("{name}: {strength} mg/L, below the least of {bound} mg/L ({origin})."),
    "above-the-greatest": N_("{name}: {strength} mg/L, above the greatest of {bound} mg/L ({origin})."),
    "may-be-below-the-least": N_("{name}: may be below the least of {bound} mg/L ({origin}), within its uncertainty."),
    "may-be-above-the-greatest": N_("{name}: may be above the greatest of {bound} mg/L ({origin}), within its "
                                    "uncertainty."),
}
_ORIGINS = {"label": N_("label"), "asked": N_("asked for")}
_KNOWN = {"stated": N_("as stated"), "practice": N_("common practice, no source"), "read": N_("its standard"),
          "memory": N_("its standard, from memory"), "secondary": N_("its standard, as quoted"),
          "computed": N_("computed")}
_POUR = {
    "water-first": N_("Pour the water first, then the concentrate into it; never the other way round."),
    "concentrate-first": N_("The label has the concentrate first: add the water to it slowly."),
}


def show(solution: Solution, product: Product | None) -> None:
    """Print a working solution for people."""
    if product:
        print(_("{name} (invented)").format(name=product.name) if product.invented else product.name)
        print()
    table([_("what"), _("how much")], list(_amounts(solution)))
    strengths = _strengths(solution)
    if product and strengths:
        print()
        asked = {one.name: one for one in product.ingredients}
        table([_("active"), _("mg/L"), _("± mg/L"), _("label, mg/L")],
              [[one.name, *with_spread(one.strength_mg_l, one.expanded_mg_l), _label(asked[one.name])]
               for one in strengths], right=[1, 2])
    for finding in solution.findings:
        print()
        print(finding_text(finding))
    print()
    for line in _instructions(solution, product):
        print(line)
    for line in _remarks(solution, product):
        remark(line)


def body(solution: Solution, product: Product | None) -> dict[str, object]:
    """Return a working solution as the keys of one JSON object."""
    told: dict[str, object] = {
        "product": None if product is None else {
            "name": product.name, "kind": product.kind, "invented": product.invented, "source": product.source,
            "where": product.where, "known": product.known, "use_by_h": product.use_by_h,
            "contact_min": product.contact_min, "pour_order": _pour_order(solution, product),
            "cautions": product.cautions},
        "strengths": [{**asdict(one), "expanded_mg_l": one.expanded_mg_l} for one in _strengths(solution)],
        "findings": [{**asdict(one), "sentence": finding_text(one)} for one in solution.findings],
        "within_bounds": not any(one.certain for one in solution.findings),
        "volume_measure": _measure_body(solution.volume_measure, _volume_ml(solution)),
    }
    if isinstance(solution, PowderSolution):
        return {"volume_ml": solution.powder.volume_ml, "powder_g": solution.powder.powder_g, **told}
    made = solution.mixture
    ratio = made.ratio
    return {
        "volume_ml": made.volume_ml, "concentrate_ml": made.concentrate_ml, "water_ml": made.water_ml,
        "no_water_because": made.no_water_because, "concentrate_g": made.concentrate_g,
        "ratio": {"concentrate_frac": ratio.concentrate_frac, "parts_water": ratio.parts_water,
                  "percent": ratio.percent, "one_in": ratio.one_in},
        "interval": asdict(solution.interval) if solution.interval else None, **told,
        "concentrate_measure": _measure_body(solution.concentrate_measure, made.concentrate_ml)}


def with_spread(value: float, spread: float) -> tuple[str, str]:
    """Return a value and its uncertainty, both to the second digit of the uncertainty.

    >>> with_spread(2076.19, 283.7), with_spread(0.5, 0.0)
    (('2080', '280'), ('0.5', ''))
    """
    if spread <= 0.0:
        return number_text(value), ""
    places = 1 - math.floor(math.log10(spread))
    texts = [f"{round(one, places):.{max(places, 0)}f}".replace(".", decimal_mark()) for one in (value, spread)]
    return texts[0], texts[1]


def finding_text(finding: Finding) -> str:
    """Return a strength outside a bound as a sentence."""
    return _(_FINDINGS[finding.code]).format(
        name=finding.name, strength=number_text(finding.strength_mg_l, digits=4),
        bound=number_text(finding.bound_mg_l, digits=4), origin=_(_ORIGINS[finding.origin]))


def _amounts(solution: Solution) -> Iterator[list[str]]:
    if isinstance(solution, PowderSolution):
        yield [_("powder"), _("{grams} g").format(grams=number_text(solution.powder.powder_g))]
        yield [_("makes"), _ml(solution.powder.volume_ml)]
        return
    made = solution.mixture
    mass = "" if made.concentrate_g is None else _(" ({grams} g)").format(grams=number_text(made.concentrate_g))
    yield [_("concentrate"), _ml(made.concentrate_ml) + mass]
    yield [_("water"), _("make up to the volume below") if made.water_ml is None else _ml(made.water_ml)]
    yield [_("makes"), _ml(made.volume_ml)]
    yield from _three_ways(made.ratio, additive=made.water_ml is not None)
    interval = solution.interval
    if interval and interval.low_set_by and interval.high_set_by and interval.low_frac < interval.high_frac:
        yield [_("allowed"), _("{low} to {high} % v/v ({first} to {second})").format(
            low=number_text(100.0 * interval.low_frac), high=number_text(100.0 * interval.high_frac),
            first=interval.low_set_by, second=interval.high_set_by)]


def _three_ways(ratio: Ratio, *, additive: bool) -> Iterator[list[str]]:
    if additive:
        yield [_("parts + parts"), f"1 + {number_text(ratio.parts_water, digits=4)}"]
    yield [_("percent"), _("{percent} % v/v").format(percent=number_text(ratio.percent, digits=4))]
    yield [_("part of the whole"), _("1 in {whole}").format(whole=number_text(ratio.one_in, digits=4))]


def _instructions(solution: Solution, product: Product | None) -> Iterator[str]:
    order = _pour_order(solution, product)
    if isinstance(solution, PowderSolution):
        yield _("Strew the powder into most of the water, stir until it is dissolved, then make up to volume.")
    elif solution.mixture.water_ml is None:
        yield _("Measure the concentrate and make up with water to volume: the volumes of alcohol and water do not add "
                "up.")
    else:
        yield _(_POUR[order])
    if product and product.use_by_h:
        yield _("Use within {hours} h of mixing, then discard.").format(hours=number_text(product.use_by_h))
    if product and product.contact_min:
        yield _("Contact time of the label: {minutes} min, wet all the while.").format(
            minutes=number_text(product.contact_min))
    for caution in product.cautions if product else ():
        yield f"- {caution}"
    yield _("The label and the safety data sheet go before anything computed here.")


def _remarks(solution: Solution, product: Product | None) -> Iterator[str]:
    if not product:
        return
    yield _("± is the half-width that holds about 95 of 100 mixes.")
    if isinstance(solution, WorkingSolution):
        yield _("Concentrate measured with: {measure}.").format(
            measure=_measured(solution.concentrate_measure, solution.mixture.concentrate_ml))
    yield _("Volume measured with: {measure}.").format(measure=_measured(solution.volume_measure, _volume_ml(solution)))
    if any(one.tolerance_frac is None for one in product.ingredients):
        yield _("A strength without a stated tolerance is taken as exact: the ± is then of the measuring alone.")


def _pour_order(solution: Solution, product: Product | None) -> str:
    return product.pour_order if product and product.pour_order else "water-first"


def _measured(one: Measure, volume_ml: float) -> str:
    return _("{name}, ± {wide} mL ({known})").format(
        name=one.name, wide=number_text(one.half_width_ml(volume_ml)), known=_(_KNOWN[one.known]))


def _measure_body(one: Measure, volume_ml: float) -> dict[str, object]:
    return {"name": one.name, "known": one.known, "half_width_ml": one.half_width_ml(volume_ml)}


def _strengths(solution: Solution) -> tuple[Working, ...]:
    return solution.powder.strengths if isinstance(solution, PowderSolution) else solution.mixture.strengths


def _volume_ml(solution: Solution) -> float:
    return solution.powder.volume_ml if isinstance(solution, PowderSolution) else solution.mixture.volume_ml


def _label(one: Ingredient) -> str:
    least, most = (None if bound is None else number_text(bound, digits=4) for bound in (one.min_mg_l, one.max_mg_l))
    if least and most:
        return _("{least} to {most}").format(least=least, most=most)
    return _("{least} or more").format(least=least) if least else _("up to {most}").format(most=most) if most else ""


def _ml(volume_ml: float) -> str:
    return _("{volume} mL").format(volume=number_text(volume_ml))

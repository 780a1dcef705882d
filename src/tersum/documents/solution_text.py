"""A working solution in words: what to measure out, three ways, strengths, order of pouring, use-by, cautions."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.dilution import Mixture, Working
from tersum.chemistry.measure import Measure
from tersum.chemistry.working_solution import Finding, PowderSolution, WorkingSolution
from tersum.documents.numbers import decimal_mark, number_text
from tersum.documents.text import _
from tersum.errors import N_

Solution = WorkingSolution | PowderSolution

WATER_FIRST = "water-first"
_POUR = {
    WATER_FIRST: N_("Pour the water first, then the concentrate into it; never the other way round."),
    "concentrate-first": N_("The label has the concentrate first: add the water to it slowly."),
}
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


def product_name(product: Product) -> str:
    """Return the name of a product, marked where it is invented."""
    return _("{name} (invented)").format(name=product.name) if product.invented else product.name


def amounts(solution: Solution) -> list[tuple[str, str]]:
    """Return what to measure out, in the order of pouring where there is one, and the ratio three ways."""
    if isinstance(solution, PowderSolution):
        return [(_("powder"), _("{grams} g").format(grams=number_text(solution.powder.powder_g))),
                (_("makes"), _ml(solution.powder.volume_ml))]
    made = solution.mixture
    mass = "" if made.concentrate_g is None else _(" ({grams} g)").format(grams=number_text(made.concentrate_g))
    concentrate = (_("concentrate"), _ml(made.concentrate_ml) + mass)
    if made.water_ml is None:
        poured = [concentrate, (_("water"), _("make up to the volume below"))]
    else:
        poured = [(_("water"), _ml(made.water_ml)), concentrate]
    return [*poured, (_("makes"), _ml(made.volume_ml)), *_three_ways(made), *_allowed(solution)]


def strengths(solution: Solution) -> tuple[Working, ...]:
    """Return the strength of each active."""
    return solution.powder.strengths if isinstance(solution, PowderSolution) else solution.mixture.strengths


def with_spread(value: float, spread: float) -> tuple[str, str]:
    """Return a value and its uncertainty, both to the second digit of the uncertainty; the latter empty for none.

    >>> with_spread(2076.19, 283.7), with_spread(0.5, 0.0)
    (('2080', '280'), ('0.5', ''))
    """
    if spread <= 0.0:
        return number_text(value), ""
    places = 1 - math.floor(math.log10(spread))
    one, other = (f"{round(number, places):.{max(places, 0)}f}".replace(".", decimal_mark())
                  for number in (value, spread))
    return one, other


def label_bounds(one: Ingredient) -> str:
    """Return what the label asks of an active in the working solution, mg/L; empty where it asks nothing."""
    least, most = (None if bound is None else number_text(bound, digits=4) for bound in (one.min_mg_l, one.max_mg_l))
    if least and most:
        return _("{least} to {most}").format(least=least, most=most)
    if least:
        return _("{least} or more").format(least=least)
    return _("up to {most}").format(most=most) if most else ""


def instructions(solution: Solution, product: Product | None, *, contact_min: float | None = None) -> list[str]:
    """Return the order of pouring, how long it may be used and must stay wet, and the product's cautions.

    ``contact_min`` is what a plan asks for; the label's time where it is left out.
    """
    return list(_instructions(solution, product, contact_min or (product.contact_min if product else None)))


def finding_text(finding: Finding) -> str:
    """Return a strength outside a bound as a sentence."""
    return _(_FINDINGS[finding.code]).format(
        name=finding.name, strength=number_text(finding.strength_mg_l, digits=4),
        bound=number_text(finding.bound_mg_l, digits=4), origin=_(_ORIGINS[finding.origin]))


def basis(solution: Solution, product: Product) -> Iterator[str]:
    """Yield what the uncertainty of the strengths rests on."""
    yield _("± is the half-width that holds about 95 of 100 mixes.")
    interval = solution.interval if isinstance(solution, WorkingSolution) else None
    if interval and not interval.high_set_by:
        yield _("Aimed above the least asked for by this ±, so that a mix rarely falls below it.")
    elif interval and not interval.low_set_by:
        yield _("Aimed below the greatest asked for by this ±, so that a mix rarely rises above it.")
    if isinstance(solution, WorkingSolution):
        yield _("Concentrate measured with: {measure}.").format(
            measure=_measured(solution.concentrate_measure, solution.mixture.concentrate_ml))
    yield _("Volume measured with: {measure}.").format(measure=_measured(solution.volume_measure, volume_ml(solution)))
    if any(one.tolerance_frac is None for one in product.ingredients):
        yield _("A strength without a stated tolerance is taken as exact: the ± is then of the measuring alone.")


def pour_order(product: Product | None) -> str:
    """Return the order of pouring: the label's, else water first."""
    return product.pour_order if product and product.pour_order else WATER_FIRST


def volume_ml(solution: Solution) -> float:
    """Return the finished volume."""
    return solution.powder.volume_ml if isinstance(solution, PowderSolution) else solution.mixture.volume_ml


def _three_ways(made: Mixture) -> Iterator[tuple[str, str]]:
    if made.water_ml is not None:
        yield _("parts + parts"), f"1 + {number_text(made.ratio.parts_water, digits=4)}"
    yield _("percent"), _("{percent} % v/v").format(percent=number_text(made.ratio.percent, digits=4))
    yield _("part of the whole"), _("1 in {whole}").format(whole=number_text(made.ratio.one_in, digits=4))


def _allowed(solution: WorkingSolution) -> Iterator[tuple[str, str]]:
    interval = solution.interval
    if interval and interval.low_set_by and interval.high_set_by and interval.low_frac < interval.high_frac:
        yield _("allowed"), _("{low} to {high} % v/v ({first} to {second})").format(
            low=number_text(100.0 * interval.low_frac), high=number_text(100.0 * interval.high_frac),
            first=interval.low_set_by, second=interval.high_set_by)


def _instructions(solution: Solution, product: Product | None, contact_min: float | None) -> Iterator[str]:
    if isinstance(solution, PowderSolution):
        yield _("Strew the powder into most of the water, stir until it is dissolved, then make up to volume.")
    elif solution.mixture.water_ml is None:
        yield _("Measure the concentrate and make up with water to volume: the volumes of alcohol and water do not add "
                "up.")
    else:
        yield _(_POUR[pour_order(product)])
    if product and product.use_by_h:
        yield _("Use within {hours} h of mixing, then discard.").format(hours=number_text(product.use_by_h))
    if contact_min:
        yield _("Keep the surface wet for {minutes} min without a break.").format(minutes=number_text(contact_min))
    yield from (product.cautions if product else ())
    yield _("The label and the safety data sheet go before anything computed here.")


def _measured(one: Measure, volume: float) -> str:
    return _("{name}, ± {wide} mL ({known})").format(
        name=one.name, wide=number_text(one.half_width_ml(volume)), known=_(_KNOWN[one.known]))


def _ml(volume: float) -> str:
    return _("{volume} mL").format(volume=number_text(volume))

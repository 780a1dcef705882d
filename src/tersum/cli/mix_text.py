"""What ``tersum mix`` prints: the mixture in tables and sentences, or the same as one JSON object."""

from __future__ import annotations

from dataclasses import asdict

from tersum.catalogue.product import Product
from tersum.chemistry.hazard_product import product_hazard
from tersum.chemistry.measure import Measure
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.working_solution import PowderSolution, WorkingSolution
from tersum.cli.output import remark, table
from tersum.documents import solution_text
from tersum.documents.hazard_card import HazardSaid, hazard_lines, hazard_said
from tersum.documents.text import _
from tersum.errors import TersumError

Solution = WorkingSolution | PowderSolution


def show(solution: Solution, product: Product | None) -> None:
    """Print a working solution for people."""
    if product:
        print(solution_text.product_name(product))
        print()
    table([_("what"), _("how much")], solution_text.amounts(solution))
    if product:
        print()
        _show_strengths(solution, product)
    print()
    for finding in solution.findings:
        print(solution_text.finding_text(finding))
    for line in solution_text.instructions(solution, product):
        print(line)
    if product:
        print()
        print(_("Hazard class, computed:"))
        for line in hazard_lines(_hazard(solution, product)):
            print(f"  {line}")
    for line in solution_text.basis(solution, product) if product else ():
        remark(line)


def body(solution: Solution, product: Product | None) -> dict[str, object]:
    """Return a working solution as the keys of one JSON object."""
    told: dict[str, object] = {
        "product": None if product is None else _product_body(product),
        "hazard": None if product is None else hazard_body(product, *_diluted(solution)),
        "strengths": [{**asdict(one), "expanded_mg_l": one.expanded_mg_l} for one in solution_text.strengths(solution)],
        "findings": [{**asdict(one), "sentence": solution_text.finding_text(one)} for one in solution.findings],
        "within_bounds": not any(one.certain for one in solution.findings),
        "volume_measure": _measure_body(solution.volume_measure, solution_text.volume_ml(solution)),
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


def hazard_body(product: Product, ratio: Ratio | None, dose_g_l: float | None = None) -> dict[str, object] | None:
    """Return the codes of a product as supplied and diluted, triggered and not to be excluded; None where unknown."""
    try:
        found = product_hazard(product, ratio, dose_g_l=dose_g_l)
    except TersumError:
        return None
    return {name: None if one is None else {
        "signal": one.label.signal, "h_codes": one.label.h_codes, "euh_codes": one.label.euh_codes,
        "h_codes_at_worst": one.label_at_worst.h_codes, "euh_codes_at_worst": one.label_at_worst.euh_codes,
        "cannot_tell": one.cannot_tell} for name, one in (("as_supplied", found.neat), ("diluted", found.working))}


def _hazard(solution: Solution, product: Product) -> HazardSaid:
    ratio, dose = _diluted(solution)
    return hazard_said(product, ratio, dose_g_l=dose)


def _diluted(solution: Solution) -> tuple[Ratio | None, float | None]:
    if isinstance(solution, PowderSolution):
        return None, 1000.0 * solution.powder.powder_g / solution.powder.volume_ml
    return solution.mixture.ratio, None


def _show_strengths(solution: Solution, product: Product) -> None:
    asked = {one.name: one for one in product.ingredients}
    table([_("active"), _("mg/L"), _("± mg/L"), _("label, mg/L")],
          [[one.name, *solution_text.with_spread(one.strength_mg_l, one.expanded_mg_l),
            solution_text.label_bounds(asked[one.name])] for one in solution_text.strengths(solution)], right=[1, 2])


def _product_body(product: Product) -> dict[str, object]:
    return {"name": product.name, "kind": product.kind, "invented": product.invented, "source": product.source,
            "where": product.where, "known": product.known, "use_by_h": product.use_by_h,
            "contact_min": product.contact_min, "pour_order": solution_text.pour_order(product),
            "cautions": product.cautions}


def _measure_body(one: Measure, volume_ml: float) -> dict[str, object]:
    return {"name": one.name, "known": one.known, "half_width_ml": one.half_width_ml(volume_ml)}

"""What ``tersum hazard`` prints: classes and statements of the product and its dilution, or one JSON object."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tersum.catalogue.product import Product
from tersum.chemistry.hazard import Classification
from tersum.chemistry.hazard_product import ProductHazard
from tersum.cli.output import table
from tersum.documents import hazard_text
from tersum.documents.numbers import number_text
from tersum.documents.solution_text import product_name
from tersum.documents.text import _


def show(found: ProductHazard, product: Product, *, trace: bool) -> None:
    """Print the hazard class of a product and of its dilution."""
    print(product_name(product))
    print()
    print(_("as supplied"))
    _show(found, found.neat, trace=trace)
    if found.working is not None and found.concentrate_mass_frac is not None:
        print()
        share = number_text(100.0 * found.concentrate_mass_frac)
        print(_("working dilution, {share} % w/w of the product").format(share=share))
        _show(found, found.working, trace=trace)
    print()
    for line in hazard_text.list_lines(found.neat):
        print(line)


def body(found: ProductHazard, product: Product) -> dict[str, Any]:
    """Return the same as the keys of one JSON object."""
    return {"product": product.name, "invented": product.invented, "label_wins": _(hazard_text.LABEL_WINS),
            "list": asdict(found.neat.list_date), "concentrate_mass_frac": found.concentrate_mass_frac,
            "neat": _body(found, found.neat),
            "working": _body(found, found.working) if found.working is not None else None}


def _show(found: ProductHazard, mixture: Classification, *, trace: bool) -> None:
    print(hazard_text.answer(mixture))
    rows = hazard_text.class_rows(mixture)
    if rows:
        print()
        table([_("class"), _("statement"), _("by the rules")], rows)
        print()
    worst = hazard_text.at_worst(mixture)
    if worst:
        print(worst)
    for text in hazard_text.gap_texts(found, mixture):
        print(text)
    if trace:
        print()
        table([_("ingredient"), _("% w/w"), _("index number"), _("entry")], hazard_text.entry_rows(mixture), right=[1])
        print()
        table([_("rule"), _("class"), _("sum"), _("limit"), _("result")], hazard_text.trace_rows(mixture), right=[2, 3])
        print()
        table([_("code"), _("precaution")], hazard_text.precautions(mixture))


def _body(found: ProductHazard, mixture: Classification) -> dict[str, Any]:
    return {
        "answer": hazard_text.answer(mixture), "nothing_triggered": mixture.nothing_triggered,
        "cannot_tell": mixture.cannot_tell, "label": asdict(mixture.label),
        "label_at_worst": asdict(mixture.label_at_worst), "ph": mixture.composition.ph,
        "endpoints": [{**asdict(one), "undecided": one.undecided} for one in mixture.endpoints],
        "estimates": mixture.estimates, "available_oxygen_pct": mixture.oxygen_pct,
        "unlisted_ww_pct": mixture.composition.unlisted_ww_pct,
        "gaps": [{**asdict(gap), "sentence": hazard_text.gap_text(gap)} for gap in (*found.gaps, *mixture.gaps)],
        "ingredients": [{"name": part.name, "ww_pct": part.ww_pct, "entries": [
            {"substance": one.substance, "index_number": one.index_number, "cas": one.cas, "status": one.status,
             "law": one.law, "since": one.since, "until": one.until, "newest": one.newest, "known": one.known,
             "sources": one.sources, "classes": one.classes} for one in part.entries]}
            for part in mixture.composition.parts],
        "trace": [{**asdict(one), "ratio": one.ratio} for one in mixture.trace]}

"""The chemistry's word on what the steps of a plan touch and on what meets in them."""

from __future__ import annotations

from collections.abc import Callable

from tersum.catalogue.product import Product
from tersum.chemistry import materials, together
from tersum.chemistry.ratio import parse_ratio
from tersum.errors import N_, TersumError
from tersum.visit.material_use import AVOID, CARE, FINE, MAKERS_METHOD, UNKNOWN, VerdictOn
from tersum.visit.steps import Step

STEAM_C = 100.0  # what a surface may come to under steam at the ambient pressure
_WORSE = (FINE, CARE, UNKNOWN, AVOID, MAKERS_METHOD)
_WHY = {
    "gas": N_("together they give off a dangerous gas."),
    "pressure": N_("together they decompose with heat and oxygen under pressure."),
    "heat": N_("together they heat up and spatter."),
    "fire": N_("together they may catch fire."),
    "loss": N_("together neither does its work any more."),
}
_UNKNOWN = N_("the chemical class of one of them is not known, and an unknown class meets nothing.")


def forbids(first: Product, second: Product, setting: str) -> str | None:
    """Return why two products must not meet in a setting, None where nothing known forbids it."""
    found = together.products_meeting(first, second, setting=setting)
    if found.pairs:
        return _WHY[found.pairs[0].danger]
    return _UNKNOWN if found.unknown else None


def verdict_on(product_of: Callable[[str], Product]) -> VerdictOn:
    """Return the verdict on a material under a step: the worst of its product, as diluted, and of its steam."""

    def verdict(material: str, step: Step) -> str:
        found = []
        if step.product:
            try:
                product = product_of(step.product)
                found.append(materials.material_under_product(material, product,
                                                              concentrate_frac=_share(step, product)).verdict)
            except TersumError:
                found.append(UNKNOWN)
        if step.kind == "steam":
            found.append(materials.material_heated(material, STEAM_C).verdict)
        return max(found, key=_WORSE.index, default=FINE)

    return verdict


def _share(step: Step, product: Product) -> float:
    """Return the volume share of product that a step puts on surfaces; undiluted where nothing says otherwise."""
    text = step.ratio or (product.label_ratio if step.volume_ml is not None else None)
    return parse_ratio(text, reading=product.ratio_reading).concentrate_frac if text else 1.0

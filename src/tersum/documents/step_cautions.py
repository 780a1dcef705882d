"""The cautions of a step, shown before it; and what the step asks for, in lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tersum.catalogue.product import Product
from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.documents.caution_text import step_caution_lines
from tersum.documents.hazard_card import hazard_said
from tersum.documents.material_text import material_lines
from tersum.documents.numbers import number_text
from tersum.documents.steps_text import wet_again_line
from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.visit.plan import Plan
from tersum.visit.steps import Step
from tersum.visit.verdict_on import verdict_on


@dataclass(frozen=True)
class StepShown:
    """One step of a plan as people read it: its number, what to mind first, then what it asks for."""

    place: int
    step: Step
    cautions: tuple[str, ...]
    asked: tuple[str, ...]


def steps_shown(plan: Plan, product_of: Callable[[str], Product]) -> tuple[StepShown, ...]:
    """Return every step in order with its cautions before it.

    Parameters
    ----------
    plan : Plan
        The plan.
    product_of : callable
        Returns the product of a name, or raises :class:`TersumError`: then its label alone counts, and that is said.
    """
    verdict = verdict_on(product_of)
    return tuple(StepShown(place, step, (*step_caution_lines(step.kind), *_cautions(step, product_of),
                                         *material_lines(step, verdict)), tuple(_asked(step)))
                 for place, step in enumerate(plan.steps, start=1))


def _cautions(step: Step, product_of: Callable[[str], Product]) -> list[str]:
    if not step.product:
        return []
    try:
        product = product_of(step.product)
    except TersumError:
        return [_("{product} is not known here: go by its label and safety data sheet.").format(product=step.product)]
    said = hazard_said(product, ratio_of(step, product))
    return [*product.cautions, said.codes, *said.parts[-1].lines,
            _("The label and the safety data sheet go before anything computed here.")]


def ratio_of(step: Step, product: Product) -> Ratio | None:
    """Return the dilution of a step: its own, else the label's; None where it is used as it is or cannot be read."""
    text = step.ratio or (product.label_ratio if step.volume_ml is not None else None)
    if product.kind != "liquid" or not text:
        return None
    try:
        return parse_ratio(text, reading=product.ratio_reading)
    except TersumError:
        return None  # the mixing card refuses it with its reason


def _asked(step: Step) -> list[str]:
    asked = []
    if step.surfaces:
        asked.append(_("On: {surfaces}.").format(surfaces=", ".join(step.surfaces)))
    if step.targets:
        asked.append(_("By its label against: {targets}.").format(targets=", ".join(step.targets)))
    if step.contact_min:
        asked.append(_("Keep the surface wet for {minutes} min without a break.").format(
            minutes=number_text(step.contact_min)))
        asked.append(wet_again_line(step))
    if step.a0 is not None:
        asked.append(_("Heat wanted: an A0 of {a0} s, logged at a wet spot.").format(a0=number_text(step.a0)))
    return asked

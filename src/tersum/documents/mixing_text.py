"""A mixing card in words: volumes, the ratio three ways, strengths, order of pouring, use-by and cautions."""

from __future__ import annotations

from tersum.documents import solution_text, steps_text
from tersum.documents.hazard_card import HazardSaid, hazard_said
from tersum.documents.text import _
from tersum.visit.mixing import MixingCard


def heading(card: MixingCard) -> str:
    """Return what the card is for."""
    return _("{step}: {product}").format(step=card.step.id, product=solution_text.product_name(card.product))


def amounts(card: MixingCard) -> list[tuple[str, str]]:
    """Return what to measure out and the ratio three ways, as label and value."""
    return solution_text.amounts(card.solution)


def strengths(card: MixingCard) -> list[tuple[str, str]]:
    """Return each active with its strength and the half-width that holds about 95 of 100 mixes."""
    found = []
    for one in solution_text.strengths(card.solution):
        strength, spread = solution_text.with_spread(one.strength_mg_l, one.expanded_mg_l)
        found.append((one.name, _("{strength} ± {spread} mg/L").format(strength=strength, spread=spread or "0")))
    return found


def hazards(card: MixingCard) -> HazardSaid:
    """Return the hazard class of the product as supplied and of this dilution, and whose word wins."""
    return hazard_said(card.product, card.solution.mixture.ratio)


def instructions(card: MixingCard) -> list[str]:
    """Return what to mind first, then what to do in order, and last whose word wins."""
    *_do, wins = _all(card)
    return [*mind_first(card), *in_order(card), wins]


def mind_first(card: MixingCard) -> list[str]:
    """Return what is outside the label, and the cautions of the product: read before anything is poured."""
    return [*(solution_text.finding_text(one) for one in card.solution.findings), *card.product.cautions]


def in_order(card: MixingCard) -> list[str]:
    """Return the order of pouring, how long it may be used and must stay wet, and when to wet again."""
    lines = [line for line in _all(card)[:-1] if line not in card.product.cautions]
    again = steps_text.wet_again_line(card.step)
    return [*lines, again] if again else lines


def _all(card: MixingCard) -> list[str]:
    return solution_text.instructions(card.solution, card.product, contact_min=card.step.contact_min)

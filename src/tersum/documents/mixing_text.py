"""A mixing card in words: volumes, the ratio three ways, strengths, order of pouring, use-by and cautions."""

from __future__ import annotations

from collections.abc import Iterator

from tersum.chemistry.working_solution import Finding
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_
from tersum.visit.mixing import MixingCard

_POUR = {
    "water-first": N_("Pour the water first, then the concentrate into it; never the other way round."),
    "concentrate-first": N_("The label has the concentrate first: add the water to it slowly."),
}
_FINDINGS = {
    "below-the-least": N_("{name}: {strength} mg/L is below the least of {bound} mg/L on the label."),
    "above-the-greatest": N_("{name}: {strength} mg/L is above the greatest of {bound} mg/L on the label."),
    "may-be-below-the-least": N_("{name}: within its uncertainty it may be below the label's least of {bound} mg/L."),
    "may-be-above-the-greatest": N_("{name}: within its uncertainty it may be above the label's greatest of {bound} "
                                    "mg/L."),
}


def heading(card: MixingCard) -> str:
    """Return what the card is for."""
    name = _("{name} (invented)") if card.product.invented else "{name}"
    return _("{step}: {product}").format(step=card.step.id, product=name.format(name=card.product.name))


def amounts(card: MixingCard) -> list[tuple[str, str]]:
    """Return what to measure out and the ratio three ways, as label and value."""
    made = card.solution.mixture
    ratio = made.ratio
    water = _("make up to the volume below") if made.water_ml is None else _ml(made.water_ml)
    return [
        (_("water"), water), (_("concentrate"), _ml(made.concentrate_ml)), (_("makes"), _ml(made.volume_ml)),
        (_("parts + parts"), f"1 + {number_text(ratio.parts_water, digits=4)}"),
        (_("percent"), _("{percent} % v/v").format(percent=number_text(ratio.percent, digits=4))),
        (_("part of the whole"), _("1 in {whole}").format(whole=number_text(ratio.one_in, digits=4)))]


def strengths(card: MixingCard) -> list[tuple[str, str]]:
    """Return each active with its strength and the half-width that holds about 95 of 100 mixes."""
    return [(one.name, _("{strength} ± {spread} mg/L").format(
        strength=number_text(one.strength_mg_l, digits=2 if one.expanded_mg_l else 3),
        spread=number_text(one.expanded_mg_l, digits=2))) for one in card.solution.mixture.strengths]


def instructions(card: MixingCard) -> list[str]:
    """Return the order of pouring, how long it may be used and must stay wet, findings and cautions."""
    return [*_steps(card), *(finding(one) for one in card.solution.findings), *card.product.cautions,
            _("The label and the safety data sheet go before anything computed here.")]


def finding(one: Finding) -> str:
    """Return a strength outside the label's bounds as a sentence."""
    return _(_FINDINGS[one.code]).format(name=one.name, strength=number_text(one.strength_mg_l, digits=4),
                                         bound=number_text(one.bound_mg_l, digits=4))


def _steps(card: MixingCard) -> Iterator[str]:
    if card.solution.mixture.water_ml is None:
        yield _("Measure the concentrate and make up with water: the volumes of alcohol and water do not add up.")
    else:
        yield _(_POUR[card.product.pour_order or "water-first"])
    if card.product.use_by_h:
        yield _("Use within {hours} h of mixing, then discard.").format(hours=number_text(card.product.use_by_h))
    contact_min = card.step.contact_min or card.product.contact_min
    if contact_min:
        yield _("Keep the surface wet for {minutes} min without a break.").format(minutes=number_text(contact_min))


def _ml(volume_ml: float) -> str:
    return _("{volume} mL").format(volume=number_text(volume_ml))

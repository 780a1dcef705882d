"""What a mixing card says of hazard: class of the product as supplied and of the dilution, and whose word wins."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.catalogue.product import Product
from tersum.chemistry.hazard import Classification
from tersum.chemistry.hazard_product import ProductHazard, product_hazard
from tersum.chemistry.ratio import Ratio
from tersum.documents import hazard_text
from tersum.documents.caution_text import protection_lines
from tersum.documents.text import _
from tersum.errors import TersumError


@dataclass(frozen=True)
class HazardPart:
    """One mixture: what it is, and its hazard in lines."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class HazardSaid:
    """The hazard of a product as supplied and as it is used, what is not known of either, and whose word wins.

    ``codes`` is the short form: the codes to protect people by, the stricter ones where nothing less can be told.
    """

    parts: tuple[HazardPart, ...]
    codes: str
    not_known: tuple[str, ...]
    wins: str


def hazard_said(product: Product, ratio: Ratio | None = None, *, dose_g_l: float | None = None) -> HazardSaid:
    """Return what is shown of the hazard of a product and of its working dilution.

    A product whose class cannot be worked out is told so and shown as one whose class is not known: never as milder.
    """
    wins = _(hazard_text.LABEL_WINS)
    try:
        found = product_hazard(product, ratio, dose_g_l=dose_g_l)
    except TersumError as fault:
        unknown = _("Its hazard class cannot be worked out: {why} Protect people as the safety data sheet "
                    "says.").format(why=fault.sentence(_))
        protect = HazardPart(_("protect people"), tuple(protection_lines(product, ("H314", "H335"))))
        return HazardSaid((HazardPart(_("as supplied"), (unknown,)), protect), unknown, (), wins)
    parts = [HazardPart(_("as supplied"), _lines(found.neat))]
    gaps = list(hazard_text.gap_texts(found, found.neat))
    if found.working is not None:
        parts.append(HazardPart(_("diluted as here"), _lines(found.working)))
        gaps += hazard_text.gap_texts(found, found.working)
    worst = [*found.neat.label_at_worst.h_codes, *found.neat.label_at_worst.euh_codes]
    if found.working is not None:
        worst += [*found.working.label_at_worst.h_codes, *found.working.label_at_worst.euh_codes]
    parts.append(HazardPart(_("protect people"), tuple(protection_lines(product, worst))))
    return HazardSaid(tuple(parts), _codes(found), tuple(dict.fromkeys(gaps)), wins)


def hazard_lines(said: HazardSaid) -> list[str]:
    """Return the same in plain lines."""
    return [*(f"{part.title}: {line}" for part in said.parts for line in part.lines), *said.not_known, said.wins]


def _codes(found: ProductHazard) -> str:
    neat = _list(found.neat)
    if found.working is None:
        return _("Hazard codes to protect people by, computed: as supplied {neat}.").format(neat=neat)
    return _("Hazard codes to protect people by, computed: as supplied {neat}; diluted as here {working}.").format(
        neat=neat, working=_list(found.working))


def _list(found: Classification) -> str:
    codes = ", ".join((*found.label_at_worst.h_codes, *found.label_at_worst.euh_codes))
    return codes or _("none triggered by the listed ingredients")


def _lines(found: Classification) -> tuple[str, ...]:
    shown = [hazard_text.answer(found)]
    shown += dict.fromkeys(statement for _class, statement, said in hazard_text.class_rows(found)
                           if said == _(hazard_text.TRIGGERED) and statement[:1] in "HE" and statement[:2] != "EU")
    worst = hazard_text.at_worst(found)
    return (*shown, worst) if worst else tuple(shown)

"""Cautions and protection in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tersum.catalogue.product import Product
from tersum.chemistry.protection import caution_keys
from tersum.chemistry.together import classes_of
from tersum.documents.text import _
from tersum.errors import N_

SAID: Mapping[str, str] = {
    "goggles-and-shield": N_("Tight goggles; a face shield too when pouring."),
    "gloves-and-apron": N_("Chemical gloves (EN ISO 374-1) with the breakthrough time for this product, and an apron."),
    "glasses-and-gloves": N_("Eye protection and gloves."),
    "ventilate-first": N_("Open doors and windows before the product is opened, and leave them open."),
    "respirator-by-the-competent": N_("A respirator only as a competent person chose and fitted it: not every filter "
                                      "takes oxidising vapour."),
    "no-ignition": N_("No flame, spark or hot surface near."),
    "oxidiser-vented": N_("Leave vessels vented: it gives off oxygen. Never close one tightly."),
    "rinse-rags": N_("Rinse used rags at once with plenty of water; keep them apart from oil and solvent."),
    "never-alone-with-aerosol": N_("Never alone in a closed space with droplets of it."),
    "concentrate-to-water": N_("Concentrate into water, never water into concentrate."),
    "chlorine-with-acid": N_("With acid it gives off chlorine."),
    "sharps": N_("Look before you reach. Sharps are picked up with a tool, into a sharps box, by whoever is trained."),
    "droppings": N_("Droppings are never vacuumed or brushed dry: wet them first, by the method for them."),
    "steam-burns": N_("Heat-resistant gloves and eye protection; never point steam at anybody."),
    "cold-glass": N_("No hot steam on cold glass: it cracks."),
    "heat-stress": N_("Heat and wet air wear people out: take breaks, drink, have a second person near."),
    "wet-floor": N_("Wet floors are slippery: mark them, and work towards the door."),
    "lone-worker": N_("Let somebody know where you are and when you will be back."),
    "exhaust": N_("No running engine to heat or dry where its exhaust can gather."),
}
FIRST_AID = N_("If it gets on you or you feel unwell: stop, get out, fresh air, rinse with water, call for help. First "
               "aid: the label and section 4 of the safety data sheet.")
ENTERING_AGAIN = N_("Entering again: not before the label allows, and only once surfaces are seen dry or rinsed and "
                    "the space is aired.")
SECTION_8 = N_("Protection by the codes above; section 8 of the safety data sheet decides.")


def protection_lines(product: Product, h_codes: Iterable[str]) -> list[str]:
    """Return how to protect people from a product: by its class, ventilation first, entering again, first aid."""
    keys = caution_keys(h_codes=h_codes, classes=classes_of(product))
    return [*(_(SAID[key]) for key in keys), _(ENTERING_AGAIN), _(FIRST_AID), _(SECTION_8)]


def step_caution_lines(kind: str) -> list[str]:
    """Return what to mind in a kind of step, whatever product is used."""
    return [_(SAID[key]) for key in caution_keys(step_kind=kind)]

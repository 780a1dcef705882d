"""The tap water of a place, as a plan states it: what the pH of a dilution is compared by."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.errors import N_
from tersum.fields import Fields

MEASURED, REPORTED = "measured", "reported"


@dataclass(frozen=True)
class PlaceWater:
    """Alkalinity with its standard uncertainty, mmol/L, and pH as drawn; ``known`` is by whom.

    ``measured`` is for this visit; ``reported`` is what a supplier or an earlier visit says, so that today's may
    differ.
    """

    alkalinity_mmol_l: float
    u_mmol_l: float
    ph: float | None
    known: str
    basis: str


def water_from(fields: Fields) -> PlaceWater:
    """Return the ``water`` table of a visit file; what is wrong with it is noted in its fields."""
    water = PlaceWater(
        fields.number("alkalinity_mmol_l", least=0.0, most=50.0), fields.number("u_mmol_l", least=0.0, most=20.0),
        fields.optional_number("ph", least=4.0, most=11.0), fields.text("known", choices=(MEASURED, REPORTED)),
        fields.text("basis"))
    if water.ph is not None and water.alkalinity_mmol_l == 0.0 and water.ph > 8.0:
        fields.refuse("ph", water.ph, N_("a pH of up to 8 for water without alkalinity"))
    fields.close()
    return water

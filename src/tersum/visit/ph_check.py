"""A pH on record against the one predicted for the dilution in this water: plausible, off, other water, or not told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.product import Product
from tersum.chemistry.product_ph import (
    AS_PREDICTED,
    COVERAGE,
    Concentrate,
    PredictedPh,
    TapWater,
    compared,
    predicted_ph,
)
from tersum.chemistry.uncertainty import Quantity
from tersum.chemistry.working_solution import actives_of
from tersum.errors import TersumError
from tersum.visit.carried_out import Work
from tersum.visit.mixing import MixingCard
from tersum.visit.ph_seen import PhSeen
from tersum.visit.place_water import MEASURED, PlaceWater

PLAUSIBLE = "plausible"
OFF_THE_DILUTION = "off-the-dilution"
UNUSUAL_WATER = "unusual-tap-water"
CANNOT_TELL = "cannot-tell"
# A kitchen jug: what a dilution is known to, one sigma (common practice, no source).
_DILUTION_U_FRAC = 0.03
# What is tried as an explanation: a quarter of the concentrate to four times it, next to none of it, and tap water from
# without any alkalinity to 12 mmol/L (common practice, no source).
_MISMIXED = (0.25, 1.0, 4.0)
_FORGOTTEN = (0.001, 0.03)
_ANY_DILUTION = (0.001, 1.0, 4.0)  # where the water is known there is no other explanation
_ALKALINITIES_MMOL_L = (0.0, 12.0)
# A prediction wider than this tells a right dilution from a wrong one no more.
_WIDEST_PH = 1.0


@dataclass(frozen=True)
class PhCheck:
    """What a pH on record says; it says nothing of the strength of a peracid, which pH does not see.

    ``reason`` tells why nothing can be told: ``no-water`` (the plan states none), ``not-a-mixture`` (no product with
    data), ``both`` (another dilution and another water explain it alike), ``neither``, ``too-wide`` (the prediction
    spans more than 1 pH, as of a weak lye that takes up carbon dioxide); else it is empty. ``low`` to ``high`` is the
    prediction.
    """

    step: str
    answer: str
    seen: PhSeen
    low: float | None = None
    high: float | None = None
    reason: str = ""


def ph_checks(work: Sequence[Work], cards: Sequence[MixingCard], water: PlaceWater | None) -> tuple[PhCheck, ...]:
    """Return what every pH on record says, in the order of the work.

    Parameters
    ----------
    work : sequence of Work
        What was carried out.
    cards : sequence of MixingCard
        The solutions of the plan.
    water : PlaceWater or None
        The tap water of the place, as the plan states it.

    Source
    ------
    The prediction is that of :func:`tersum.chemistry.product_ph.predicted_ph`. A reading off it is laid to the dilution
    where only another dilution explains it, to the water where only another water does; a water measured for the visit
    is not doubted.
    """
    by_step = {card.step.id: card for card in cards}
    return tuple(ph_check(one.step, one.ph, by_step.get(one.step), one, water) for one in work if one.ph is not None)


def ph_check(step: str, seen: PhSeen, card: MixingCard | None, work: Work, water: PlaceWater | None) -> PhCheck:
    """Return what one pH says."""
    if card is None or not _has_data(card.product):
        return PhCheck(step, CANNOT_TELL, seen, reason="not-a-mixture")
    if water is None:
        return PhCheck(step, CANNOT_TELL, seen, reason="no-water")
    case = _Case(card.product, _frac(card, work), water, seen)
    try:
        found = case.predicted(case.frac, case.tap)
    except TersumError:
        return PhCheck(step, CANNOT_TELL, seen, reason="not-a-mixture")
    told = PhCheck(step, PLAUSIBLE, seen, round(found.low, 3), round(found.high, 3))
    if found.high - found.low > _WIDEST_PH:
        return replace(told, answer=CANNOT_TELL, reason="too-wide")
    if compared(Quantity(seen.value, seen.u), found).answer == AS_PREDICTED:
        return told
    by_dilution = any(case.within([case.predicted(min(case.frac * factor, 1.0), case.tap) for factor in factors])
                      for factors in ((_ANY_DILUTION,) if water.known == MEASURED else (_MISMIXED, _FORGOTTEN)))
    by_water = water.known != MEASURED and case.within(
        [found, *(case.predicted(case.frac, TapWater(Quantity(one))) for one in _ALKALINITIES_MMOL_L)])
    if by_dilution == by_water:
        return replace(told, answer=CANNOT_TELL, reason="both" if by_dilution else "neither")
    return replace(told, answer=OFF_THE_DILUTION if by_dilution else UNUSUAL_WATER)


@dataclass(frozen=True)
class _Case:
    """One reading with all that its prediction hangs on."""

    product: Product
    frac: float
    water: PlaceWater
    seen: PhSeen

    @property
    def tap(self) -> TapWater:
        return TapWater(Quantity(self.water.alkalinity_mmol_l, self.water.u_mmol_l), self.water.ph)

    def predicted(self, frac: float, tap: TapWater) -> PredictedPh:
        strengths = {one.name: Quantity(one.strength_mg_l, one.standard_uncertainty_mg_l)
                     for one in actives_of(self.product)}
        return predicted_ph(Concentrate(strengths), Quantity(frac, _DILUTION_U_FRAC * frac), tap,
                            temp_c=Quantity(self.seen.temp_c, 1.0))

    def within(self, found: Sequence[PredictedPh]) -> bool:
        """Tell whether the reading lies among predictions: pH goes without a jump from one mixture to the next."""
        reach = COVERAGE * self.seen.u
        return min(one.low for one in found) - reach <= self.seen.value <= max(one.high for one in found) + reach


def _frac(card: MixingCard, work: Work) -> float:
    """Return the share of concentrate that was made; the planned one where it was not recorded."""
    if work.concentrate_ml is None or work.water_ml is None:
        return card.needs.planned_frac
    return work.concentrate_ml / (work.concentrate_ml + work.water_ml)


def _has_data(product: Product) -> bool:
    from tersum.chemistry.equilibria import substances  # noqa: PLC0415 - only where a pH was read

    return product.kind == "liquid" and any(one.name in substances() for one in product.ingredients)

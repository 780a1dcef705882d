"""The mixing card of each step: what goes into the bucket, how strong it is, and what it must be when it is used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tersum.catalogue.product import Product
from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.chemistry.targets import Bounds, ratio_for_targets
from tersum.chemistry.working_solution import WorkingSolution, actives_of, working_solution
from tersum.errors import N_, Faults, OutOfRange, TersumError
from tersum.visit.carried_out import SolutionNeeds
from tersum.visit.plan import Plan
from tersum.visit.steps import Step

# Where a label states no bounds, a solution within a tenth of the planned strength is taken as made: a kitchen jug
# reads no better. Common practice, no source.
_NEAR_FRAC = 0.1


@dataclass(frozen=True)
class MixingCard:
    """One working solution of a plan."""

    step: Step
    product: Product
    solution: WorkingSolution
    needs: SolutionNeeds


def mixing_cards(plan: Plan, product_of: Callable[[str], Product]) -> tuple[MixingCard, ...]:
    """Return the mixing card of every step that has a solution, in the order of the steps.

    Parameters
    ----------
    plan : Plan
        The plan.
    product_of : callable
        Returns the product of a name, or raises :class:`TersumError`.

    Raises
    ------
    Faults
        Every step whose product or ratio is refused.
    """
    cards, faults = [], []
    for step in plan.steps:
        if not step.product:
            continue
        try:
            product = product_of(step.product)
            if step.volume_ml is not None:
                cards.append(_card(step, product, step.volume_ml))
        except Faults as several:
            faults += [_at(step, one) for one in several.faults]
        except TersumError as one:
            faults.append(_at(step, one))
    if faults:
        raise Faults(faults)
    return tuple(cards)


def solution_needs(cards: tuple[MixingCard, ...]) -> Mapping[str, SolutionNeeds]:
    """Return what the solution of each step must be, by step id."""
    return {card.step.id: card.needs for card in cards}


def _card(step: Step, product: Product, volume_ml: float) -> MixingCard:
    if product.kind != "liquid":
        raise OutOfRange("product", product.name, N_("a liquid: a powder is weighed out, see tersum mix"))
    ratio = parse_ratio(step.ratio or product.label_ratio or "", reading=product.ratio_reading)
    return MixingCard(step, product, working_solution(volume_ml, product, ratio=ratio), _needs(product, ratio))


def _needs(product: Product, ratio: Ratio) -> SolutionNeeds:
    """Return the fractions that the label allows; near the planned one on a side where it states nothing."""
    planned = ratio.concentrate_frac
    bounds = [Bounds(one.name, one.min_mg_l, one.max_mg_l) for one in product.ingredients
              if one.min_mg_l is not None or one.max_mg_l is not None]
    allowed = ratio_for_targets(actives_of(product), bounds) if bounds else None
    least = allowed.low_frac if allowed and allowed.low_set_by else planned * (1.0 - _NEAR_FRAC)
    most = allowed.high_frac if allowed and allowed.high_set_by else min(1.0, planned * (1.0 + _NEAR_FRAC))
    return SolutionNeeds(planned, least, most, product.use_by_h)


def _at(step: Step, fault: TersumError) -> TersumError:
    """Return a fault with the step it belongs to."""
    fault.field = f"step {step.id}: {fault.field}"
    return fault

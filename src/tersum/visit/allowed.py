"""Whether a plan may be carried out at all: every way in which it may not, each as one sentence, all at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from tersum.catalogue.product import Product
from tersum.chemistry.together import classes_of
from tersum.errors import N_, TersumError
from tersum.visit.kept_apart import MustNotMeet, kept_apart, must_not_meet
from tersum.visit.label_use import outside_the_label
from tersum.visit.material_use import material_refusals
from tersum.visit.meetings import ON_A_SURFACE, meetings
from tersum.visit.plan import Plan
from tersum.visit.steps import Step
from tersum.visit.verdict_on import forbids, verdict_on

STEAM = "steam"  # stands where a product would, so that a steam step meets what was on the surface


def not_allowed(plan: Plan, product_of: Callable[[str], Product]) -> tuple[TersumError, ...]:
    """Return every refusal of a plan; none where it may be carried out.

    Outside the label, products that meet though they must not, materials that must not be touched: the first two
    nothing overrides.

    Parameters
    ----------
    plan : Plan
        The plan.
    product_of : callable
        Returns the product of a name, or raises :class:`TersumError`; a name that is not known is left to the mixing
        cards, which refuse it.
    """
    products = _known(plan, product_of)
    verdict = verdict_on(product_of)
    return (*outside_the_label(plan, product_of), *must_not_meet(_steps(plan, products), products, forbids),
            *steam_on_vapour(_steps(plan, products), products),
            *(refusal for step in plan.steps for refusal in material_refusals(step, verdict)))


def steam_on_vapour(steps: Sequence[Step], products: Mapping[str, Product]) -> Iterator[MustNotMeet]:
    """Yield one refusal for each steam step that follows a flammable product on a surface with no rinse between."""
    hot = tuple(replace(step, product=STEAM) if step.kind == "steam" and not step.product else step for step in steps)
    for one in meetings(hot):
        product = products.get(one.first.product)
        if one.second.kind != "steam" or one.setting != ON_A_SURFACE or product is None:
            continue
        if {"alcohol", "solvent"} & set(classes_of(product)):
            yield MustNotMeet(N_("step {second} must not follow step {first} on {name}: alcohol or solvent gives a "
                                 "flammable vapour under steam. Only a rinsing step between them that names the "
                                 "surface parts them; nothing overrides that."), field=f"step {one.second.id}",
                              value=STEAM, first=one.first.id, second=one.second.id, name=one.name or "its surfaces")


def must_stay_apart(plan: Plan, product_of: Callable[[str], Product]) -> tuple[tuple[str, str], ...]:
    """Return the steps of a plan that must never meet, to be sealed with it."""
    products = _known(plan, product_of)
    return kept_apart(_steps(plan, products), products, forbids)


def _known(plan: Plan, product_of: Callable[[str], Product]) -> Mapping[str, Product]:
    found = {}
    for step in plan.steps:
        try:
            if step.product:
                found[step.product] = product_of(step.product)
        except TersumError:
            continue
    return found


def _steps(plan: Plan, products: Mapping[str, Product]) -> tuple[Step, ...]:
    """Return the steps whose products are known; the others part nothing and stand in for nothing."""
    return tuple(step for step in plan.steps if not step.product or step.product in products)

"""Whether a plan may be carried out at all: every way in which it may not, each as one sentence, all at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tersum.catalogue.product import Product
from tersum.errors import TersumError
from tersum.visit.kept_apart import kept_apart, must_not_meet
from tersum.visit.label_use import outside_the_label
from tersum.visit.material_use import material_refusals
from tersum.visit.plan import Plan
from tersum.visit.steps import Step
from tersum.visit.verdict_on import forbids, verdict_on


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
            *(refusal for step in plan.steps for refusal in material_refusals(step, verdict)))


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

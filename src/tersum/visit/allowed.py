"""Whether a plan may be carried out at all: every way in which it may not, each as one sentence, all at once."""

from __future__ import annotations

from collections.abc import Callable

from tersum.catalogue.product import Product
from tersum.errors import TersumError
from tersum.visit.label_use import outside_the_label
from tersum.visit.plan import Plan


def not_allowed(plan: Plan, product_of: Callable[[str], Product]) -> tuple[TersumError, ...]:
    """Return every refusal of a plan; none where it may be carried out.

    Parameters
    ----------
    plan : Plan
        The plan.
    product_of : callable
        Returns the product of a name, or raises :class:`TersumError`.
    """
    return outside_the_label(plan, product_of)

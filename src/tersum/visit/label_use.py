"""Use by the label: dilution, surface, target and contact time of each step, held against its product's label."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tersum.catalogue.product import Product
from tersum.chemistry.boiler_chemicals import REFUSED, WrittenPermission, chemical_in_boiler
from tersum.chemistry.ratio import parse_ratio
from tersum.chemistry.targets import Bounds, ratio_for_targets
from tersum.chemistry.working_solution import actives_of
from tersum.errors import N_, Faults, TersumError
from tersum.visit.plan import Plan
from tersum.visit.steps import Permission, Step

_SAME = 1e-9  # relative: a ratio that was only written another way is the label's


class OutsideTheLabel(TersumError):
    """A step uses its product in a way that the label does not state."""

    code = "outside-the-label"
    exit_code = 5


def outside_the_label(plan: Plan, product_of: Callable[[str], Product]) -> tuple[TersumError, ...]:
    """Return one refusal for each way in which a step of a plan is outside its product's label.

    Parameters
    ----------
    plan : Plan
        The plan.
    product_of : callable
        Returns the product of a name; a name that is not known is left to the mixing cards, which refuse it.

    Source
    ------
    The label is the law of its product (common practice, no source). Where a label is silent the stricter reading
    holds: no claim, surface or contact time stated means no disinfection with it; a side of the dilution without a
    bound ends at the label's own ratio.
    """
    found: list[TersumError] = []
    for step in plan.steps:
        if not step.product:
            continue
        try:
            product = product_of(step.product)
            found += _outside(step, product)
        except Faults as several:
            found += several.faults
        except TersumError:
            continue
    return tuple(found)


def label_contact_min(step: Step, product: Product) -> float | None:
    """Return how long the label wants a surface wet for what a step is to do, minutes; None where it states no time."""
    claims = [one for one in product.claims if one.target in step.targets]
    times = [product.contact_min if one.contact_min is None else one.contact_min for one in claims]
    stated = [one for one in times or [product.contact_min] if one is not None]
    return max(stated) if stated else None


def label_fractions(product: Product) -> tuple[float, float] | None:
    """Return the fractions of concentrate, by volume, that the label allows; None where it states no dilution.

    A product without a ratio and without bounds is used as it is.
    """
    own = None
    if product.label_ratio:
        own = parse_ratio(product.label_ratio, reading=product.ratio_reading).concentrate_frac
    bounds = [Bounds(one.name, one.min_mg_l, one.max_mg_l) for one in product.ingredients
              if one.min_mg_l is not None or one.max_mg_l is not None]
    allowed = ratio_for_targets(actives_of(product), bounds) if bounds else None
    if allowed is None:
        return None if own is None else (own, own)
    least = allowed.low_frac if allowed.low_set_by else own
    most = allowed.high_frac if allowed.high_set_by else own
    return None if least is None or most is None else (least, most)


def _outside(step: Step, product: Product) -> Iterator[TersumError]:
    if step.kind == "steam":
        yield from _in_the_boiler(step, product)
    if product.kind == "liquid":
        yield from _dilution(step, product)
    yield from _surfaces(step, product)
    if step.kind == "disinfect":
        yield from _targets(step, product)
    yield from _contact(step, product)


def _dilution(step: Step, product: Product) -> Iterator[TersumError]:
    allowed, planned = label_fractions(product), _planned_frac(step, product)
    if planned is None:
        return
    if allowed is None:
        if planned < 1.0:
            yield _refused(step, "ratio", step.ratio, N_("the product as it is: the label of {product} states no "
                                                         "dilution"), product)
        return
    low, high = allowed
    if not low * (1.0 - _SAME) <= planned <= high * (1.0 + _SAME):
        yield _refused(step, "ratio", f"{100.0 * planned:.4g} %", N_("{low} to {high} %, the dilution on the label of "
                                                                    "{product}"),
                       product, low=f"{100.0 * low:.4g}", high=f"{100.0 * high:.4g}")
    for claim in product.claims:
        if claim.target in step.targets and claim.weakest_ratio:
            weakest = parse_ratio(claim.weakest_ratio, reading=product.ratio_reading).concentrate_frac
            if planned < weakest * (1.0 - _SAME):
                yield _refused(step, "ratio", f"{100.0 * planned:.4g} %",
                               N_("{low} % or more: the label of {product} claims {target} from there"), product,
                               low=f"{100.0 * weakest:.4g}", target=claim.target)


def _planned_frac(step: Step, product: Product) -> float | None:
    if step.volume_ml is None:
        return 1.0
    text = step.ratio or product.label_ratio
    return parse_ratio(text, reading=product.ratio_reading).concentrate_frac if text else None


def _surfaces(step: Step, product: Product) -> Iterator[TersumError]:
    if not product.surfaces:
        if step.kind == "disinfect":
            yield _refused(step, "surfaces", ", ".join(step.surfaces), N_(
                "another product: the label of {product} names no surface that it disinfects"), product)
        return
    known = {one.casefold() for one in product.surfaces}
    strange = [one for one in step.surfaces if one.casefold() not in known]
    if strange or not step.surfaces:
        yield _refused(step, "surfaces", ", ".join(strange), N_("surfaces on the label of {product}: {surfaces}"),
                       product, surfaces=", ".join(product.surfaces))


def _targets(step: Step, product: Product) -> Iterator[TersumError]:
    claimed = [one.target for one in product.claims]
    if not claimed:
        yield _refused(step, "targets", ", ".join(step.targets), N_(
            "another product: the label of {product} claims no disinfection"), product)
        return
    strange = [one for one in step.targets if one not in claimed]
    if strange or not step.targets:
        yield _refused(step, "targets", ", ".join(strange), N_("targets on the label of {product}: {targets}"), product,
                       targets=", ".join(claimed))


def _contact(step: Step, product: Product) -> Iterator[TersumError]:
    label = label_contact_min(step, product)
    if label is None:
        if step.kind == "disinfect":
            yield _refused(step, "contact_min", step.contact_min, N_(
                "another product: the label of {product} states no contact time, so it cannot be planned to "
                "disinfect"), product)
        return
    if step.contact_min < label:
        yield _refused(step, "contact_min", f"{step.contact_min:g}",
                       N_("{minutes} min or more, the contact time on the label of {product}"), product,
                       minutes=f"{label:g}")


def _in_the_boiler(step: Step, product: Product) -> Iterator[TersumError]:
    on_file = {one.of: one for one in step.permissions}
    answer = chemical_in_boiler([one.name for one in product.ingredients], machine=_written(on_file.get("machine")),
                                product=_written(on_file.get("product")))
    if answer.answer == REFUSED:
        yield _refused(step, "product", step.product, N_(
            "plain water in a boiler, or a chemical with the written permission of both makers on file, never chlorine "
            "or alcohol"), product)


def _written(one: Permission | None) -> WrittenPermission | None:
    return None if one is None else WrittenPermission(one.maker, one.document, one.date)


def _refused(step: Step, field: str, value: object, accepted: str, product: Product,
             **places: object) -> OutsideTheLabel:
    return OutsideTheLabel(
        N_("{field} is outside the label: got {value}; accepted: {accepted}. Nothing overrides that."),
        field=f"step {step.id}: {field}", value=value, accepted=accepted, product=product.name, **places)

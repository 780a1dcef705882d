"""A working solution of one product: the mixture, and how it stands against the label and against what was asked."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tersum.catalogue.product import Product
from tersum.chemistry.dilution import Mixture, Powder, Working, mixture, powder_solution
from tersum.chemistry.measure import KITCHEN_JUG, Measure, measure
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.strength import Active, active
from tersum.chemistry.targets import Bounds, FractionInterval, ratio_for_targets
from tersum.errors import N_, OutOfRange

BELOW, ABOVE = "below-the-least", "above-the-greatest"
MAY_BE_BELOW, MAY_BE_ABOVE = "may-be-below-the-least", "may-be-above-the-greatest"
LABEL, ASKED = "label", "asked"
_MOST_STEPS = 100  # of a fixed point that comes closer by the square of a small share at each


@dataclass(frozen=True)
class Finding:
    """One strength that is, or within its uncertainty may be, outside a bound; ``origin`` is whose bound it is."""

    code: str
    name: str
    bound_mg_l: float
    strength_mg_l: float
    origin: str

    @property
    def certain(self) -> bool:
        """True where the strength itself lies outside, not only its uncertainty."""
        return self.code in (BELOW, ABOVE)


@dataclass(frozen=True)
class WorkingSolution:
    """The mixture of a product with what it was measured with; ``interval`` where targets set the ratio."""

    mixture: Mixture
    concentrate_measure: Measure
    volume_measure: Measure
    interval: FractionInterval | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class PowderSolution:
    """The solution of a powder, with what its volume was measured with."""

    powder: Powder
    volume_measure: Measure
    findings: tuple[Finding, ...]


def actives_of(product: Product) -> tuple[Active, ...]:
    """Return what is in a liquid product, in mg/L.

    >>> from tersum.catalogue.load import product
    >>> [round(one.strength_mg_l) for one in actives_of(product("Demo Concentrate A"))]
    [43600, 207100, 87200]
    """
    return tuple(active(one.name, one.strength, one.unit, density_kg_l=product.density_kg_l,
                        tolerance_frac=one.tolerance_frac or 0.0) for one in product.ingredients)


def working_solution(volume_ml: float, product: Product | None, *, ratio: Ratio | None = None,
                     bounds: Sequence[Bounds] = (), concentrate_measure: Measure | None = None,
                     volume_measure: Measure | None = None) -> WorkingSolution:
    """Return the working solution of a liquid product.

    Parameters
    ----------
    volume_ml : float
        Finished solution, mL, above 0.
    product : Product or None
        None gives volumes alone.
    ratio : Ratio, optional
        Where it is left out, the bounds set it.
    bounds : sequence of Bounds
        What is asked of its actives, mg/L; equal bounds are a target.
    concentrate_measure, volume_measure : Measure, optional
        A kitchen jug unless stated.

    Raises
    ------
    TersumError
        As :func:`ratio_for_targets` and :func:`mixture`.

    Examples
    --------
    >>> from tersum.catalogue.load import product
    >>> made = working_solution(5000.0, product("Demo Concentrate A"), bounds=[Bounds("peracetic acid", 2000, 2000)])
    >>> round(made.mixture.concentrate_ml, 1), made.findings
    (229.4, ())
    """
    stock = actives_of(product) if product else ()
    jug, tank = concentrate_measure or measure(KITCHEN_JUG), volume_measure or measure(KITCHEN_JUG)

    def made_by(ratio: Ratio) -> Mixture:
        return mixture(volume_ml, ratio, stock, density_kg_l=product.density_kg_l if product else None,
                       concentrate_half_width_ml=jug.half_width_ml(volume_ml * ratio.concentrate_frac),
                       volume_half_width_ml=tank.half_width_ml(volume_ml))

    interval = None
    if ratio is None:
        interval = ratio_for_targets(stock, bounds)
        ratio = Ratio(_aim(interval, lambda frac: made_by(Ratio(frac, "percent")).strengths), "percent")
    made = made_by(ratio)
    return WorkingSolution(made, jug, tank, interval, _findings(made.strengths, product, bounds))


def powder_working_solution(volume_ml: float, product: Product, *, dose_g_l: float | None = None,
                            bounds: Sequence[Bounds] = (), volume_measure: Measure | None = None) -> PowderSolution:
    """Return the working solution of a powder, from its dose or from targets; the powder is taken as weighed."""
    tank = volume_measure or measure(KITCHEN_JUG)

    def made_by(dose: float) -> Powder:
        return powder_solution(volume_ml, dose, [(one.name, one.strength) for one in product.ingredients],
                               volume_half_width_ml=tank.half_width_ml(volume_ml))

    if dose_g_l is None:
        # What 1000 g/L of the powder would hold, so that the fraction of it is the dose in kg/L.
        whole = [Active(one.name, one.strength * 1e4) for one in product.ingredients]
        interval = ratio_for_targets(whole, bounds)
        dose_g_l = 1000.0 * _aim(interval, lambda frac: made_by(1000.0 * frac).strengths)
    made = made_by(dose_g_l)
    return PowderSolution(made, tank, _findings(made.strengths, product, bounds))


def _aim(interval: FractionInterval, strengths_at: Callable[[float], Sequence[Working]]) -> float:
    """Return the fraction to mix: inside a single bound by the uncertainty, so that about 95 of 100 mixes keep it.

    Between two bounds, and at a target, there is no room to move. A bound too uncertain to be kept is aimed at itself,
    and the findings say that it may be missed.
    """
    by, toward = (interval.low_set_by, -1.0) if interval.low_set_by else (interval.high_set_by, 1.0)
    if by is None:
        raise OutOfRange("bounds", "", N_("a strength that sets the ratio: the concentrate itself is weaker than the "
                                          "greatest asked for, and neat concentrate is no working solution"))
    if interval.low_set_by and interval.high_set_by:
        return interval.chosen_frac
    frac = interval.chosen_frac
    for _step in range(_MOST_STEPS):
        one = next(made for made in strengths_at(frac) if made.name == by)
        room = 1.0 + toward * one.expanded_mg_l / one.strength_mg_l
        moved = interval.chosen_frac / room if room > 0.0 else math.inf
        if not moved < 1.0:
            return interval.chosen_frac
        if math.isclose(moved, frac, rel_tol=1e-12):
            break
        frac = moved
    return frac


def _findings(strengths: Iterable[Working], product: Product | None, asked: Sequence[Bounds]) -> tuple[Finding, ...]:
    named = {one.name.casefold(): one for one in strengths}
    label = [(LABEL, Bounds(one.name, one.min_mg_l, one.max_mg_l)) for one in (product.ingredients if product else ())]
    found: list[Finding] = []
    for origin, bounds in (*label, *((ASKED, one) for one in asked)):
        if bounds.name.casefold() not in named:
            raise OutOfRange("active", bounds.name, N_("an active of the product: {names}"), names=", ".join(named))
        found.extend(_outside(named[bounds.name.casefold()], bounds, origin))
    return tuple(found)


def _outside(one: Working, bounds: Bounds, origin: str) -> list[Finding]:
    least, most, strength, spread = bounds.min_mg_l, bounds.max_mg_l, one.strength_mg_l, one.expanded_mg_l
    if least is not None and most is not None and least == most:
        spread = 0.0  # a target is aimed at, not kept to
    codes = []
    if least is not None and strength - spread < least * (1.0 - 1e-9):
        codes.append((BELOW if strength < least * (1.0 - 1e-9) else MAY_BE_BELOW, least))
    if most is not None and strength + spread > most * (1.0 + 1e-9):
        codes.append((ABOVE if strength > most * (1.0 + 1e-9) else MAY_BE_ABOVE, most))
    return [Finding(code, one.name, bound, strength, origin) for code, bound in codes]

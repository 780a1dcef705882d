"""The pH that a product should show in *this* water, with its interval, and what a reading says against it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.load import table
from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.activity import ActivityModel
from tersum.chemistry.alkalinity import carbonate_mol_kg
from tersum.chemistry.equilibria import CARBONIC, acid, molar_mass_g_mol, pk, substance, substances
from tersum.chemistry.flags import Flag
from tersum.chemistry.ph import Solution, solution
from tersum.chemistry.recipe import Water
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import N_, TersumError

AIR_PCO2_ATM = 0.00042
COVERAGE = 2.0
ROOM_TEMPERATURE_C = Quantity(20.0, 1.0)
# Tap water between pH 7 and 8.3 holds 1.0 to 1.25 mol of carbonate per mol of alkalinity; where nobody measured its
# pH, the most of it stands in for a freshly drawn, closed solution.
MOST_CARBONATE_PER_ALKALINITY = 1.25

AS_PREDICTED, MORE_ACID, LESS_ACID = "as-predicted", "more-acid", "less-acid"


@dataclass(frozen=True)
class Concentrate:
    """What a product's pH hangs on: strengths in the concentrate, mg/L, and its fitted strong acid, mol/L.

    The strong acid stands for stabilisers that no label states; negative for a strong base, 0 where nothing was fitted.
    """

    strengths_mg_l: Mapping[str, Quantity]
    strong_acid_mol_l: Quantity = Quantity(0.0)


@dataclass(frozen=True)
class TapWater:
    """The water of one place: acid capacity, mmol/L, the pH as drawn if it was measured, and neutral salts, mol/kg."""

    alkalinity_mmol_l: Quantity
    ph: float | None = None
    other_salts_mol_kg: float = 0.0


@dataclass(frozen=True)
class PredictedPh:
    """The pH to expect, and what it says.

    ``low`` to ``high`` covers the standard uncertainty twice on either side of what lies between freshly mixed
    (``closed_ph``, no CO2 lost) and stood in air (``open_ph``). ``budget`` holds each part of the uncertainty in pH.
    ``shifts`` says what a pH can and cannot see: the change in pH with half the concentrate (``half-the-concentrate``),
    with twice the alkalinity (``twice-the-alkalinity``) and with all peracid and peroxide gone (``oxidisers-gone``).
    """

    ph: float
    low: float
    high: float
    closed_ph: float
    open_ph: float
    standard_uncertainty: float
    budget: Mapping[str, float]
    shifts: Mapping[str, float]
    solution: Solution
    flags: tuple[Flag, ...]


@dataclass(frozen=True)
class Comparison:
    """A measured pH against the predicted one: ``as-predicted``, ``more-acid`` or ``less-acid``.

    Whatever it says, it says about dilution and water; the strength of the peracid is ``not_checked``.
    """

    answer: str
    difference_ph: float
    allowed_ph: float
    not_checked: str = "peracid-strength"


def predicted_ph(product: Concentrate, concentrate_frac: Quantity, water: TapWater, *,
                 temp_c: Quantity = ROOM_TEMPERATURE_C) -> PredictedPh:
    """Return the pH to expect of a dilution in a water, with its interval.

    Parameters
    ----------
    product : Concentrate
        Substances without acid-base data (surfactants, quats) are left out and flagged ``left-out``.
    concentrate_frac : Quantity
        Share of concentrate in the solution, above 0 to 1, and its standard uncertainty.
    water : TapWater
        Alkalinity 0 to 50 mmol/L.
    temp_c : Quantity
        0 to 60 °C.

    Source
    ------
    First-order propagation (jcgm-100-2008, 5.1.2) through :func:`tersum.chemistry.ph.solution`; the share of the
    activity model is the difference between the two printed constants of the Davies equation. A litre of solution
    counts as a kilogram of water: below 0.5 % in strength, 0.001 in pH, for a dilution of 1 % or less.

    Examples
    --------
    >>> demo = Concentrate({"acetic acid": Quantity(87200.0, 5000.0), "peracetic acid": Quantity(43600.0, 2500.0)})
    >>> found = predicted_ph(demo, Quantity(0.02, 0.0005), TapWater(Quantity(3.0, 0.2), ph=7.5))
    >>> round(found.ph, 2), round(found.low, 2), round(found.high, 2)
    (3.81, 3.73, 3.89)
    """
    _check(product, concentrate_frac, water, temp_c)
    case = Forward(product, concentrate_frac.value, water, temp_c.value)
    closed, opened = case.ph(), replace(case, opened=True).ph()
    budget = _budget(case, product, concentrate_frac, temp_c)
    spread = math.hypot(*budget.values())
    middle = 0.5 * (closed + opened)
    reach = 0.5 * abs(closed - opened) + COVERAGE * spread
    made = case.made()
    left_out = tuple(Flag("left-out", name) for name in product.strengths_mg_l if name not in substances())
    return PredictedPh(middle, middle - reach, middle + reach, closed, opened, spread, budget, _shifts(case, closed),
                       made, made.flags + left_out)


def compared(measured: Quantity, predicted: PredictedPh) -> Comparison:
    """Return whether a measured pH is the predicted one.

    Parameters
    ----------
    measured : Quantity
        The reading and its standard uncertainty, pH.
    """
    checks = Checks()
    checks.number("measured", measured.value, N_("-1 to 15"), low=-1.0, high=15.0)
    checks.number("u_ph", measured.standard_uncertainty, N_("0 to 1"), low=0.0, high=1.0)
    checks.done()
    half = 0.5 * abs(predicted.closed_ph - predicted.open_ph)
    allowed = half + COVERAGE * math.hypot(predicted.standard_uncertainty, measured.standard_uncertainty)
    off = measured.value - predicted.ph
    answer = AS_PREDICTED if abs(off) <= allowed else LESS_ACID if off > 0 else MORE_ACID
    return Comparison(answer, off, allowed)


@dataclass(frozen=True)
class PhCurve:
    """pH against dilution, to draw: one point per ratio, with the interval of the prediction."""

    parts_water: tuple[float, ...]
    ph: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    water_ph: float


def ph_against_dilution(product: Concentrate, water: TapWater, *, parts_water: Sequence[float],
                        relative_u: float = 0.03, temp_c: Quantity = ROOM_TEMPERATURE_C) -> PhCurve:
    """Return the predicted pH over dilutions, to draw.

    Parameters
    ----------
    parts_water : sequence of float
        Parts of water to one of concentrate, 0 or more, in the order to draw.
    relative_u : float
        Standard uncertainty of the share of concentrate, as a fraction of it, 0 to 0.3.
    """
    number("relative_u", relative_u, N_("0 to 0.3"), low=0.0, high=0.3)
    points = [predicted_ph(product, Quantity(1.0 / (1.0 + parts), relative_u / (1.0 + parts)), water, temp_c=temp_c)
              for parts in parts_water]
    bare = solution({}, temp_c=temp_c.value, water=waters(water, temp_c.value, 1.0, opened=True)).ph
    return PhCurve(tuple(parts_water), tuple(one.ph for one in points), tuple(one.low for one in points),
                   tuple(one.high for one in points), bare)


@dataclass(frozen=True)
class Forward:
    """One forward calculation, so that a budget can move one thing at a time."""

    product: Concentrate
    share: float
    water: TapWater
    temp_c: float
    opened: bool = False
    model: ActivityModel = ActivityModel()
    pk_shift: tuple[str, float] = ("", 0.0)

    def composition(self) -> dict[str, float]:
        return {name: max(strength.value, 0.0) * self.share / 1000.0 / molar_mass_g_mol(name)
                for name, strength in self.product.strengths_mg_l.items() if name in substances()}

    def made(self) -> Solution:
        name, shift = self.pk_shift
        moved = {name: [pk(name, self.temp_c, step) + shift for step in range(1, len(acid(name).terms) + 1)]
                 } if name else None
        return solution(self.composition(), temp_c=self.temp_c, pks=moved, model=self.model,
                        water=waters(self.water, self.temp_c, 1.0 - self.share, opened=self.opened),
                        strong_acid_mol_kg=self.product.strong_acid_mol_l.value * self.share)

    def ph(self) -> float:
        return self.made().ph


def waters(water: TapWater, temp_c: float, share: float, *, opened: bool) -> Water:
    """Return the water's part of a solution: its alkalinity is diluted too."""
    alkalinity = water.alkalinity_mmol_l.value / 1000.0
    salts = water.other_salts_mol_kg * share
    if opened:
        return Water(alkalinity * share, pco2_atm=AIR_PCO2_ATM, other_salts_mol_kg=salts)
    carbonate = (MOST_CARBONATE_PER_ALKALINITY * alkalinity if water.ph is None
                 else carbonate_mol_kg(alkalinity, water.ph, temp_c=temp_c))
    return Water(alkalinity * share, carbonate_mol_kg=carbonate * share, other_salts_mol_kg=salts)


def _budget(case: Forward, product: Concentrate, share: Quantity, temp_c: Quantity) -> dict[str, float]:
    """Return each part of the standard uncertainty, pH: half the change from one below to one above."""
    def half(lower: Forward, upper: Forward) -> float:
        return 0.5 * abs(upper.ph() - lower.ph())

    parts = {}
    for name, strength in product.strengths_mg_l.items():
        if name in substances() and strength.standard_uncertainty:
            moved = [replace(case, product=replace(product, strengths_mg_l={
                **product.strengths_mg_l, name: Quantity(strength.value + sign * strength.standard_uncertainty)}))
                for sign in (-1, 1)]
            parts[name] = half(*moved)
    strong = product.strong_acid_mol_l
    parts["strong acid"] = half(*(replace(case, product=replace(product, strong_acid_mol_l=Quantity(
        strong.value + sign * strong.standard_uncertainty))) for sign in (-1, 1)))
    wide = share.standard_uncertainty
    parts["dilution"] = half(replace(case, share=max(share.value - wide, 1e-9)),
                             replace(case, share=min(share.value + wide, 1.0)))
    alkalinity = case.water.alkalinity_mmol_l
    parts["alkalinity"] = half(*(replace(case, water=replace(case.water, alkalinity_mmol_l=Quantity(
        max(alkalinity.value + sign * alkalinity.standard_uncertainty, 0.0)))) for sign in (-1, 1)))
    parts["temperature"] = half(replace(case, temp_c=max(temp_c.value - temp_c.standard_uncertainty, 0.0)),
                                replace(case, temp_c=min(temp_c.value + temp_c.standard_uncertainty, 60.0)))
    parts["constants"] = math.hypot(*(half(replace(case, pk_shift=(name, -acid(name).uncertainty)),
                                           replace(case, pk_shift=(name, acid(name).uncertainty)))
                                      for name in _acids(product)))
    parts["activities"] = abs(replace(case, model=ActivityModel(linear=0.2)).ph() - case.ph())
    return parts


def _acids(product: Concentrate) -> tuple[str, ...]:
    named = {substance(name).acid for name in product.strengths_mg_l if name in substances()}
    return tuple(sorted((named | {CARBONIC}) - {""}))


def _shifts(case: Forward, ph: float) -> dict[str, float]:
    known = table("substances")
    kept = {name: strength for name, strength in case.product.strengths_mg_l.items()
            if name not in known or known[name].labels["family"] not in ("peracid", "peroxide")}
    doubled = replace(case.water, alkalinity_mmol_l=Quantity(2.0 * case.water.alkalinity_mmol_l.value))
    return {"half-the-concentrate": replace(case, share=0.5 * case.share).ph() - ph,
            "twice-the-alkalinity": replace(case, water=doubled).ph() - ph,
            "oxidisers-gone": replace(case, product=replace(case.product, strengths_mg_l=kept)).ph() - ph}


def _check(product: Concentrate, share: Quantity, water: TapWater, temp_c: Quantity) -> None:
    checks = Checks()
    for name, strength in product.strengths_mg_l.items():
        checks.number(name, strength.value, N_("0 to 2000000 mg/L"), low=0.0, high=2e6)
        checks.number(f"u({name})", strength.standard_uncertainty, N_("0 or more"), low=0.0)
    together = sum(one.value for one in product.strengths_mg_l.values())
    checks.number("composition", together, N_("ingredients of up to 2000 g in a litre together"), high=2e6)
    checks.number("concentrate_frac", share.value, N_("above 0, up to 1"), above=0.0, high=1.0)
    checks.number("u(concentrate_frac)", share.standard_uncertainty, N_("0 or more"), low=0.0)
    checks.number("alkalinity_mmol_l", water.alkalinity_mmol_l.value, N_("0 to 50 mmol/L"), low=0.0, high=50.0)
    checks.number("u(alkalinity_mmol_l)", water.alkalinity_mmol_l.standard_uncertainty, N_("0 or more"), low=0.0)
    checks.number("temp_c", temp_c.value, N_("0 to 60 °C"), low=0.0, high=60.0)
    checks.number("u(temp_c)", temp_c.standard_uncertainty, N_("0 to 10 °C"), low=0.0, high=10.0)
    try:
        if water.ph is not None and not checks.faults:
            carbonate_mol_kg(water.alkalinity_mmol_l.value / 1000.0, water.ph, temp_c=temp_c.value)
    except TersumError as fault:
        checks.add(fault)
    checks.done()

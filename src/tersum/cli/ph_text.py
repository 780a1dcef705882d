"""What ``tersum ph`` prints: a pH with its interval, what it rests on, and what it does not check."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tersum.catalogue.product import Product
from tersum.chemistry.acetic_equivalent import AceticEquivalent
from tersum.chemistry.fitted_acid import FittedAcid
from tersum.chemistry.ph import Solution
from tersum.chemistry.product_ph import Comparison, PhCurve, PredictedPh
from tersum.cli.output import remark, table
from tersum.documents.bench_text import flag_text, flag_texts, word
from tersum.documents.numbers import decimal_mark, number_text
from tersum.documents.solution_text import product_name, with_spread
from tersum.documents.text import _
from tersum.errors import N_

SHIFTS = {"half-the-concentrate": N_("half the concentrate"), "twice-the-alkalinity": N_("twice the alkalinity"),
          "oxidisers-gone": N_("all peracid and peroxide gone")}


def ph_number(value: float, places: int = 2) -> str:
    """Return a pH, which has decimals and no significant digits."""
    return f"{value:.{places}f}".replace(".", decimal_mark())


def show_solution(found: Solution) -> None:
    """Print the pH of a mixture and its species."""
    table([_("what"), _("how much")],
          [[_("pH"), ph_number(found.ph)],
           [_("ionic strength"), _("{value} mol/kg").format(value=number_text(found.ionic_strength_mol_kg))],
           *[[name, _("{value} mol/kg").format(value=f"{amount:.3g}".replace(".", decimal_mark()))]
             for name, amount in found.species.items()]], right=(1,))
    _flags(found.flags)


def solution_body(found: Solution) -> dict[str, Any]:
    """Return a solution as the keys of one JSON object."""
    return {"ph": found.ph, "ionic_strength_mol_kg": found.ionic_strength_mol_kg, "species_mol_kg": dict(found.species),
            "temp_c": found.temp_c, "flags": flag_texts(found.flags)}


def show_inverse(found: AceticEquivalent) -> None:
    """Print the acetic acid behind a pH."""
    print(_("as much acid as {value} g/kg of acetic acid ({low} to {high} g/kg)").format(
        value=number_text(found.g_kg), low=number_text(found.low_mol_kg * found.g_kg / found.mol_kg),
        high=number_text(found.high_mol_kg * found.g_kg / found.mol_kg)))
    remark(_("A label, not an identification: any acid gives a pH."))


def show_prediction(product: Product, found: PredictedPh, said: Comparison | None) -> None:
    """Print the pH to expect of a product, and a reading against it."""
    print(product_name(product))
    print()
    table([_("what"), _("how much")],
          [[_("pH to expect"), _("{low} to {high}").format(low=ph_number(found.low), high=ph_number(found.high))],
           [_("freshly mixed"), ph_number(found.closed_ph)], [_("stood in air"), ph_number(found.open_ph)],
           *[[_("with {change}").format(change=_(SHIFTS[name])), _signed(shift)]
             for name, shift in found.shifts.items()]], right=(1,))
    if said is not None:
        print()
        print(_("the reading is {answer} ({difference}; up to {allowed} is no difference)").format(
            answer=word(said.answer), difference=_signed(said.difference_ph), allowed=ph_number(said.allowed_ph)))
    _flags(found.flags)
    remark(_("A pH checks dilution and water. It does not check the strength of the peracid: titrate for that."))


def prediction_body(product: Product, found: PredictedPh, said: Comparison | None) -> dict[str, Any]:
    """Return a prediction as the keys of one JSON object."""
    return {"product": product.name, "invented": product.invented, "ph": found.ph, "low": found.low,
            "high": found.high, "closed_ph": found.closed_ph, "open_ph": found.open_ph,
            "standard_uncertainty": found.standard_uncertainty, "budget": dict(found.budget),
            "shifts": dict(found.shifts), "flags": flag_texts(found.flags), "checks": ["dilution", "water"],
            "does_not_check": "peracid-strength", "comparison": None if said is None else asdict(said)}


def show_fit(product: Product, found: FittedAcid) -> None:
    """Print the strong acid of a product, and how far its readings lie from it."""
    value, spread = with_spread(found.strong_acid_mol_l.value, 2.0 * found.strong_acid_mol_l.standard_uncertainty)
    print(product_name(product))
    print(_("strong acid {value} ± {spread} mol/L of the concentrate: {answer}").format(
        value=value, spread=spread or "0", answer=word(found.answer)))
    for place, residual in enumerate(found.residuals_ph, start=1):
        print(_("reading {place}: {off} pH from the fit").format(place=place, off=_signed(residual)))


def show_curve(curve: PhCurve) -> None:
    """Print the pH over dilutions."""
    rows = zip(curve.parts_water, curve.ph, curve.low, curve.high, strict=True)
    table([_("parts + parts"), _("pH"), _("lowest"), _("highest")],
          [[f"1 + {number_text(parts)}", *(ph_number(one) for one in three)] for parts, *three in rows],
          right=(1, 2, 3))
    remark(_("The water itself, stood in air: pH {value}.").format(value=ph_number(curve.water_ph)))


def _signed(shift: float) -> str:
    # A shift that rounds to nothing has no sign.
    text = ph_number(abs(shift))
    return text if abs(shift) < 0.005 else ("+" if shift > 0 else "-") + text


def _flags(flags: Any) -> None:
    for flag in flags:
        remark(flag_text(flag))

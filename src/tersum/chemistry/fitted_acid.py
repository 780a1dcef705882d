"""The strong acid of a product, from pH readings of dilutions that were made with care."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.chemistry.accepted import number
from tersum.chemistry.ph import strong_acid_for
from tersum.chemistry.product_ph import COVERAGE, Concentrate, Forward, TapWater, waters
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import N_, OutOfRange

FITS, DOES_NOT_FIT = "fits", "does-not-fit"


@dataclass(frozen=True)
class PhReading:
    """One reading of a dilution made with care: share of concentrate, pH and its standard uncertainty, temperature."""

    concentrate_frac: float
    ph: Quantity
    temp_c: float


@dataclass(frozen=True)
class FittedAcid:
    """The strong acid of a product, from pH readings of known dilutions.

    ``strong_acid_mol_l`` is that of the concentrate. ``residuals_ph`` are measured less predicted, in the order of the
    readings. ``answer`` is ``fits`` or, where the readings disagree by more than they should, ``does-not-fit``: then
    one constant acid does not describe the product or the water, and the uncertainty is widened to cover them.
    """

    strong_acid_mol_l: Quantity
    residuals_ph: tuple[float, ...]
    answer: str


def fitted_acid(product: Concentrate, readings: Sequence[PhReading], water: TapWater) -> FittedAcid:
    """Return the one strong-acid term that brings the prediction to the readings.

    Parameters
    ----------
    readings : sequence of PhReading
        At least one, each with a standard uncertainty above 0; two dilutions or more show whether one term will do.

    Source
    ------
    Weighted mean of the acid that each reading asks for (jcgm-100-2008, 5.1.2); widened by the Birge ratio where the
    readings disagree (chi-square over its degrees of freedom above 4, about 2 standard uncertainties).
    """
    if not readings:
        raise OutOfRange("readings", 0, N_("one reading or more"))
    asked = [_acid_of(product, one, water) for one in readings]
    weights = [1.0 / one.standard_uncertainty**2 for one in asked]
    mean = sum(one.value * weight for one, weight in zip(asked, weights, strict=True)) / sum(weights)
    chi2 = sum((one.value - mean) ** 2 * weight for one, weight in zip(asked, weights, strict=True))
    ratio = chi2 / max(len(asked) - 1, 1)
    spread = math.sqrt(max(ratio, 1.0) / sum(weights))
    fitted = replace(product, strong_acid_mol_l=Quantity(mean, spread))
    residuals = tuple(one.ph.value - Forward(fitted, one.concentrate_frac, water, one.temp_c).ph() for one in readings)
    return FittedAcid(Quantity(mean, spread), residuals, DOES_NOT_FIT if ratio > COVERAGE**2 else FITS)


def _acid_of(product: Concentrate, reading: PhReading, water: TapWater) -> Quantity:
    number("u_ph", reading.ph.standard_uncertainty, N_("above 0, up to 1"), above=0.0, high=1.0)
    number("concentrate_frac", reading.concentrate_frac, N_("above 0, up to 1"), above=0.0, high=1.0)
    case = Forward(replace(product, strong_acid_mol_l=Quantity(0.0)), reading.concentrate_frac, water, reading.temp_c)
    here = waters(water, reading.temp_c, 1.0 - reading.concentrate_frac, opened=False)

    def asked(ph: float) -> float:
        return strong_acid_for(ph, case.composition(), temp_c=reading.temp_c, water=here) / reading.concentrate_frac

    wide = reading.ph.standard_uncertainty
    return Quantity(asked(reading.ph.value),
                    0.5 * abs(asked(reading.ph.value - wide) - asked(reading.ph.value + wide)))

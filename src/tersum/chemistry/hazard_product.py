"""Hazard class of a product as supplied and of its working dilution: what a mixing card and a visit ask for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.hazard_entry import HazardEntry
from tersum.catalogue.hazard_list import entries_of, entries_of_index_number, limit
from tersum.catalogue.load import table
from tersum.catalogue.product import Ingredient, Product
from tersum.chemistry.accepted import Checks
from tersum.chemistry.equilibria import molar_mass_g_mol, substances
from tersum.chemistry.hazard import MOST_PCT, Classification, Composition, Gap, Part, classification
from tersum.chemistry.ph import solution
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.strength import is_alcohol
from tersum.errors import N_, OutOfRange

NO_DENSITY = "density-not-stated"
NO_INDEX = "index-number-not-known"
PH_COMPUTED = "ph-computed"
# Nothing poured is lighter or heavier than this: the bounds where no density is stated, the same as for product files.
LIGHTEST_KG_L, HEAVIEST_KG_L = 0.5, 3.0
NEAR_PH = 0.3  # a computed pH this near a limit does not exclude it
WATER = "water"


@dataclass(frozen=True)
class ProductHazard:
    """The hazard class of a product as supplied (``neat``) and of its working dilution (None where none was asked).

    ``concentrate_mass_frac`` is the share of product in the dilution by mass.
    """

    product: str
    neat: Classification
    working: Classification | None = None
    concentrate_mass_frac: float | None = None
    gaps: tuple[Gap, ...] = ()


def product_hazard(product: Product, ratio: Ratio | None = None, *, dose_g_l: float | None = None,
                   ph: float | None = None) -> ProductHazard:
    """Return the hazard class of a product and of its working dilution.

    ``found.neat.label_at_worst.h_codes`` and ``found.working.label_at_worst.h_codes`` are the codes to protect people
    by; ``.label`` holds only what the listed ingredients trigger; ``.gaps`` what is not known. The supplier's label and
    safety data sheet win over all of it.

    Parameters
    ----------
    product : Product
        Of the catalogue or of a file.
    ratio : Ratio, optional
        The working dilution of a liquid, by volume.
    dose_g_l : float, optional
        The dose of a powder, g for one litre made up to volume, above 0 to 1000.
    ph : float, optional
        pH of the working dilution, measured or predicted for its water. Without it the pH in pure water is computed
        where all ingredients allow; else corrosion by pH stays possible.

    Raises
    ------
    OutOfRange, Faults
        Everything that is wrong with the product or the arguments, at once.

    Examples
    --------
    >>> from tersum.catalogue.load import product
    >>> found = product_hazard(product("Demo Concentrate A"), Ratio(1 / 21))
    >>> found.neat.label.h_codes, found.working.nothing_triggered, found.working.cannot_tell
    (('H314', 'H335', 'H242'), True, True)
    """
    checks = Checks()
    if ph is not None:
        checks.number("ph", ph, N_("-1 to 15"), low=-1.0, high=15.0)
    if dose_g_l is not None:
        checks.number("dose_g_l", dose_g_l, N_("above 0, up to 1000 g/L"), above=0.0, high=1000.0)
    powder = product.kind == "powder"
    if (ratio is not None and powder) or (dose_g_l is not None and not powder):
        checks.add(OutOfRange("ratio" if powder else "dose_g_l", product.kind,
                              N_("a ratio for a liquid, a dose for a powder")))
    gaps = _index_gaps(product, checks)
    parts, unlisted, no_density = _neat_parts(product, checks)
    checks.done()
    gaps += [Gap(NO_DENSITY, product.name)] if no_density else []
    neat = Composition(parts, product.ph, product.reserve_confirmed, unlisted)
    if ratio is None and dose_g_l is None:
        return ProductHazard(product.name, classification(neat), gaps=tuple(gaps))
    frac = mass_fraction(ratio, product.density_kg_l) if ratio else (dose_g_l or 0.0) / 1000.0 / water_kg_l()
    made = diluted(neat, frac)
    if ph is None and frac < 1.0:
        ph = computed_ph(made, neat.ph, frac)
        gaps += [Gap(PH_COMPUTED, number=ph)] if ph is not None else []
    elif ph is None:
        ph = neat.ph
    working = classification(replace(made, ph=ph, reserve_confirmed=neat.reserve_confirmed and frac == 1.0))
    return ProductHazard(product.name, classification(neat), working, frac, tuple(gaps))


def neat_composition(product: Product) -> Composition:
    """Return the composition of a product as supplied.

    >>> from tersum.catalogue.load import product
    >>> [round(one.ww_pct, 1) for one in neat_composition(product("Demo Cleaner B")).parts]
    [1.5, 98.5]
    """
    checks = Checks()
    _index_gaps(product, checks)
    parts, unlisted, _no_density = _neat_parts(product, checks)
    checks.done()
    return Composition(parts, product.ph, product.reserve_confirmed, unlisted)


def water_kg_l() -> float:
    """Return the density of water at 20 °C."""
    return table("densities")[WATER]["density"].number


def mass_fraction(ratio: Ratio, density_kg_l: float | None) -> float:
    """Return the share of concentrate in a dilution by mass, from its share by volume.

    Volumes are added: where they contract, more water fits in and the mixture is weaker than this. Without a density
    the heaviest liquid counts.

    Examples
    --------
    >>> round(mass_fraction(Ratio(1 / 21), 1.09), 5)
    0.05177
    """
    heavy = ratio.concentrate_frac * (density_kg_l or HEAVIEST_KG_L)
    return heavy / (heavy + (1.0 - ratio.concentrate_frac) * water_kg_l())


def diluted(neat: Composition, mass_frac: float) -> Composition:
    """Return a composition with water added until the concentrate is ``mass_frac`` of it by mass; its pH is open."""
    if mass_frac >= 1.0:
        return neat
    parts = tuple(replace(one, ww_pct=one.ww_pct * mass_frac) for one in neat.parts)
    added = 100.0 * (1.0 - mass_frac)
    if any(one.name == WATER for one in parts):
        parts = tuple(replace(one, ww_pct=one.ww_pct + added) if one.name == WATER else one for one in parts)
    else:
        parts = (*parts, Part(WATER, added, entries_of(WATER)))
    return Composition(parts, unlisted_ww_pct=neat.unlisted_ww_pct * mass_frac)


def computed_ph(made: Composition, neat_ph: float | None, mass_frac: float) -> float | None:
    """Return the pH of a dilution in pure water, the most extreme water there is; None where it cannot be computed.

    The pH of the concentrate is counted on top, as strong acid or alkali diluted with it: no label states the acids of
    a stabiliser. A result within 0.3 of a limit, on its mild side, is none.

    Source
    ------
    :func:`tersum.chemistry.ph.solution`; the allowance of 0.3 covers its use without this water's data (common
    practice, no source).
    """
    active = [one for one in made.parts if one.ww_pct > 0.0 and one.name != WATER and not is_alcohol(one.name)]
    water_pct = sum(one.ww_pct for one in made.parts if one.name == WATER)
    if made.unlisted_ww_pct > 0.0 or water_pct < 90.0 or any(one.name not in substances() for one in active):
        return None
    amounts: dict[str, float] = {}
    for one in active:
        amounts[one.name] = amounts.get(one.name, 0.0) + 1000.0 * one.ww_pct / water_pct / molar_mass_g_mol(one.name)
    ph = solution(amounts).ph
    if neat_ph is not None and neat_ph < 7.0:
        ph = -math.log10(10.0**-ph + mass_frac * 10.0**-neat_ph)
    elif neat_ph is not None:
        ph = 14.0 + math.log10(10.0 ** (ph - 14.0) + mass_frac * 10.0 ** (neat_ph - 14.0))
    acid, alkaline = limit("ph", "acid"), limit("ph", "alkaline")
    undecided = acid < ph <= acid + NEAR_PH or alkaline - NEAR_PH <= ph < alkaline
    return None if undecided else ph


def _neat_parts(product: Product, checks: Checks) -> tuple[tuple[Part, ...], float, bool]:
    """Return the parts of the product as supplied, what is not listed, and whether a density had to be assumed."""
    by_volume = any(one.unit != "% w/w" for one in product.ingredients)
    no_density = product.kind == "liquid" and product.density_kg_l is None
    density = product.density_kg_l or LIGHTEST_KG_L
    shares = [one.strength if one.unit == "% w/w" else one.strength * (10.0 if one.unit == "% w/v" else 1.0) / 10.0
              / density for one in product.ingredients]
    total = sum(shares)
    if total > MOST_PCT and by_volume and no_density:
        shares, total = [one * 100.0 / total for one in shares], 100.0  # no more than all of it can be there
    if total > MOST_PCT:
        checks.add(OutOfRange("ingredient", f"{total:.6g} %", N_("ingredients that make up no more than 100 %")))
    parts = [Part(one.name, share, _entries(one)) for one, share in zip(product.ingredients, shares, strict=True)]
    left = max(100.0 - total, 0.0)
    if product.rest is None or left < 1e-9:
        return tuple(parts), left if product.rest is None and left > 1e-9 else 0.0, no_density
    none = HazardEntry("", "supplier", "supplier", known=("read",))
    if product.rest == WATER and any(one.name == WATER for one in parts):
        return tuple(replace(one, ww_pct=one.ww_pct + left) if one.name == WATER else one for one in parts), 0.0, \
            no_density
    rest = Part(WATER, left, entries_of(WATER)) if product.rest == WATER else Part(product.rest, left, (none,))
    return (*parts, rest), 0.0, no_density


def _entries(one: Ingredient) -> tuple[HazardEntry, ...]:
    stated = (one.hazard,) if one.hazard else ()
    listed = entries_of_index_number(one.index_number) if one.index_number else entries_of(one.name)
    if one.index_number and not listed:
        return ()  # neither the number nor what the supplier states can be checked: the stricter path
    return (*stated, *listed)


def _index_gaps(product: Product, checks: Checks) -> list[Gap]:
    gaps = []
    for one in product.ingredients:
        if not one.index_number:
            continue
        listed, named = entries_of_index_number(one.index_number), entries_of(one.name)
        if not listed:
            gaps.append(Gap(NO_INDEX, one.name, text=one.index_number))
        elif named and named[0].substance != listed[0].substance:
            checks.add(OutOfRange(f"{one.name}: index_number", one.index_number,
                                  N_("the number of this substance; this one is {other}"), other=listed[0].substance))
    return gaps


def worst_codes(found: Sequence[Classification | None]) -> tuple[str, ...]:
    """Return all H- and EUH-codes that cannot be excluded in any of several mixtures, sorted: for one list of PPE."""
    return tuple(sorted({code for one in found if one
                         for code in (*one.label_at_worst.h_codes, *one.label_at_worst.euh_codes)}))

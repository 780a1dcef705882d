"""A product as its label describes it: what is in it, how its ratios are meant, and what the label asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tersum.catalogue.claims import Claim, claims_of
from tersum.catalogue.hazard_entry import INDEX_NUMBER, HazardEntry, stated_entry
from tersum.errors import N_
from tersum.fields import Fields

SCHEMA = "tersum/product/1"
KINDS = ("liquid", "powder")
STRENGTH_UNITS = ("% w/w", "% w/v", "g/L")
RATIO_READINGS = ("parts", "whole")  # "1:20" is 1 part + 20 parts water, or 1 part in 20 parts of the whole
POUR_ORDERS = ("water-first", "concentrate-first")
RESTS = ("water", "unclassified")  # what no line lists: water, or nothing that section 3 of the data sheet must name
CHEMICAL_CLASSES = ("acid", "alkali", "hypochlorite", "peroxide", "peracid", "ammonia", "alcohol", "aldehyde", "quat",
                    "anionic", "metal", "chloride", "solvent", "none")
KNOWN = ("read", "secondary", "memory", "computed", "practice")


@dataclass(frozen=True)
class Ingredient:
    """One active or other ingredient: its strength in the product, and what the label asks of the working solution.

    ``strength`` is in ``unit``; ``tolerance_frac`` is the half-width of what the label lets it be, as a fraction of
    it (None: not stated). ``min_mg_l`` and ``max_mg_l`` are the label's bounds for the working solution.
    ``index_number`` is its line in the list of harmonised classes, ``hazard`` what its supplier states of its classes.
    """

    name: str
    strength: float
    unit: str
    tolerance_frac: float | None = None
    min_mg_l: float | None = None
    max_mg_l: float | None = None
    index_number: str | None = None
    hazard: HazardEntry | None = None


@dataclass(frozen=True)
class Product:
    """One product. None stands where the label says nothing; ``ratio_reading`` says how its "1:20" is meant.

    ``ph`` is that of the concentrate. ``reserve_g_naoh`` is its acid or alkaline reserve, g NaOH in 100 g;
    ``reserve_confirmed`` says that test data confirm it not to be corrosive in spite of its pH. ``rest`` says what the
    ingredients leave over: ``water``, ``unclassified``, or None where nobody says. ``chemical_classes`` are those that
    its supplier states of the whole product, for what it must never meet. ``surfaces`` are the kinds of
    surface that the label names, ``claims`` what it says it disinfects.
    """

    name: str
    kind: str
    source: str
    where: str
    known: str
    ingredients: tuple[Ingredient, ...]
    density_kg_l: float | None = None
    density_at_c: float | None = None
    ratio_reading: str | None = None
    label_ratio: str | None = None
    use_by_h: float | None = None
    contact_min: float | None = None
    pour_order: str | None = None
    cautions: tuple[str, ...] = ()
    invented: bool = False
    surfaces: tuple[str, ...] = ()
    claims: tuple[Claim, ...] = ()
    ph: float | None = None
    reserve_g_naoh: float | None = None
    reserve_confirmed: bool = False
    rest: str | None = None
    chemical_classes: tuple[str, ...] = ()


def products_in(data: Mapping[str, Any]) -> tuple[Product, ...]:
    """Return the products of one parsed product file.

    Parameters
    ----------
    data : mapping
        ``schema = "tersum/product/1"``, ``source``, ``where`` and ``known`` for all its values, ``invented`` where it
        is so, and one ``[[product]]`` or more with ``[[product.ingredient]]``.

    Raises
    ------
    Faults
        Everything that is wrong with it, all at once.
    """
    head = Fields(data)
    head.text("schema", choices=(SCHEMA,))
    source, where = head.text("source", most=400), head.text("where", "label", most=400)
    known, invented = head.text("known", choices=KNOWN), head.yes("invented", False)
    found = [_product(keys, source=source, where=where, known=known, invented=invented)
             for keys in head.tables("product", least=1, most=100)]
    head.close()
    head.finish()
    return tuple(found)


def _product(keys: Fields, *, source: str, where: str, known: str, invented: bool) -> Product:
    made = Product(
        name=keys.text("name"), kind=keys.text("kind", "liquid", choices=KINDS),
        source=source, where=where, known=known,
        ingredients=tuple(_ingredient(one) for one in keys.tables("ingredient", least=1, most=100)),
        density_kg_l=keys.optional_number("density_kg_l", least=0.5, most=3.0),
        density_at_c=keys.optional_number("density_at_c", least=-20.0, most=60.0),
        ratio_reading=keys.optional_text("ratio_reading", choices=RATIO_READINGS),
        label_ratio=keys.optional_text("label_ratio"),
        use_by_h=keys.optional_number("use_by_h", above=0.0, most=24.0 * 3650),
        contact_min=keys.optional_number("contact_min", above=0.0, most=24.0 * 60),
        pour_order=keys.optional_text("pour_order", choices=POUR_ORDERS),
        cautions=keys.texts("cautions"), invented=invented,
        ph=keys.optional_number("ph", least=-1.0, most=15.0),
        reserve_g_naoh=keys.optional_number("reserve_g_naoh", least=0.0, most=100.0),
        reserve_confirmed=keys.yes("reserve_confirmed", False), rest=keys.optional_text("rest", choices=RESTS),
        surfaces=keys.texts("surfaces", most=60), claims=claims_of(keys),
        chemical_classes=_classes(keys))
    if made.reserve_confirmed and made.reserve_g_naoh is None:
        keys.refuse("reserve_g_naoh", "", N_("the acid or alkaline reserve that the test data confirm"))
    by_mass = any(one.unit == "% w/w" for one in made.ingredients)
    if made.kind == "powder" and any(one.unit != "% w/w" for one in made.ingredients):
        keys.refuse("kind", made.kind, N_("a powder with its strengths in % w/w"))
    if made.kind == "liquid" and made.density_kg_l is None and by_mass:
        keys.refuse("density_kg_l", "", N_("the density, where a strength is in % w/w"))
    share_pct = _mass_share_pct(made)
    if share_pct > 100.0 + 1e-9:
        keys.refuse("ingredient", f"{share_pct:.4g} %", N_("ingredients that make up no more than the product"))
    keys.close()
    return made


def _classes(keys: Fields) -> tuple[str, ...]:
    stated = keys.texts("chemical_classes", most=20)
    strange = [one for one in stated if one not in CHEMICAL_CLASSES]
    if strange:
        keys.refuse("chemical_classes", ", ".join(strange), N_(
            "acid, alkali, hypochlorite, peroxide, peracid, ammonia, alcohol, aldehyde, quat, anionic, metal, "
            "chloride, solvent, none"))
    return tuple(stated)


def _mass_share_pct(made: Product) -> float:
    """Return what the ingredients are together, % by mass; those by volume count where the density is known."""
    by_mass = sum(one.strength for one in made.ingredients if one.unit == "% w/w")
    g_l = sum(one.strength * (10.0 if one.unit == "% w/v" else 1.0) for one in made.ingredients if one.unit != "% w/w")
    # Nothing poured is heavier than three kilograms a litre: the bound where no density is stated.
    return by_mass + g_l / (made.density_kg_l or 3.0) / 10.0


def _ingredient(keys: Fields) -> Ingredient:
    name, unit = keys.text("name"), keys.text("unit", choices=STRENGTH_UNITS)
    most = 2000.0 if unit == "g/L" else 100.0
    strength = keys.number("strength", above=0.0, most=most)
    tolerance_pct = keys.optional_number("tolerance_pct", least=0.0, most=50.0)
    low, high = (keys.optional_number(key, above=0.0, most=2e6) for key in ("min_mg_l", "max_mg_l"))
    if low is not None and high is not None and low > high:
        keys.refuse("max_mg_l", high, N_("min_mg_l or more"))
    index_number, hazard = keys.optional_text("index_number"), stated_entry(keys, name)
    if index_number and not INDEX_NUMBER.fullmatch(index_number):
        keys.refuse("index_number", index_number, N_("an index number such as 008-003-00-9"))
    keys.close()
    return Ingredient(name, strength, unit, None if tolerance_pct is None else tolerance_pct / 100.0, low, high,
                      index_number, hazard)

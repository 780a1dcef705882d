"""A product as its label describes it: what is in it, how its ratios are meant, and what the label asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName

SCHEMA = "tersum/product/1"
KINDS = ("liquid", "powder")
STRENGTH_UNITS = ("% w/w", "% w/v", "g/L")
RATIO_READINGS = ("parts", "whole")  # "1:20" is 1 part + 20 parts water, or 1 part in 20 parts of the whole
POUR_ORDERS = ("water-first", "concentrate-first")
KNOWN = ("read", "secondary", "memory", "computed", "practice")


@dataclass(frozen=True)
class Ingredient:
    """One active or other ingredient: its strength in the product, and what the label asks of the working solution.

    ``strength`` is in ``unit``; ``tolerance_frac`` is the half-width of what the label lets it be, as a fraction of
    it (None: not stated). ``min_mg_l`` and ``max_mg_l`` are the label's bounds for the working solution.
    """

    name: str
    strength: float
    unit: str
    tolerance_frac: float | None = None
    min_mg_l: float | None = None
    max_mg_l: float | None = None


@dataclass(frozen=True)
class Product:
    """One product. None stands where the label says nothing; ``ratio_reading`` says how its "1:20" is meant."""

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
    head = _Keys(dict(data), "")
    head.one_of("schema", (SCHEMA,))
    source, where = head.text("source"), head.text("where", "label")
    known, invented = head.one_of("known", KNOWN), head.flag("invented")
    found = [_product(keys, source=source, where=where, known=known, invented=invented)
             for keys in head.tables("product")]
    head.close()
    if head.faults:
        raise Faults(head.faults)
    return tuple(found)


def _product(keys: _Keys, *, source: str, where: str, known: str, invented: bool) -> Product:
    made = Product(
        name=keys.text("name"), kind=keys.one_of("kind", KINDS, "liquid"), source=source, where=where, known=known,
        ingredients=tuple(_ingredient(one) for one in keys.tables("ingredient")),
        density_kg_l=keys.number("density_kg_l", least=0.5, most=3.0),
        density_at_c=keys.number("density_at_c", least=-20.0, most=60.0),
        ratio_reading=keys.one_of("ratio_reading", RATIO_READINGS, "") or None,
        label_ratio=keys.text("label_ratio", "") or None,
        use_by_h=keys.number("use_by_h", above=0.0, most=24.0 * 3650),
        contact_min=keys.number("contact_min", above=0.0, most=24.0 * 60),
        pour_order=keys.one_of("pour_order", POUR_ORDERS, "") or None,
        cautions=keys.texts("cautions"), invented=invented)
    by_mass = any(one.unit == "% w/w" for one in made.ingredients)
    if made.kind == "powder" and any(one.unit != "% w/w" for one in made.ingredients):
        keys.faults.append(OutOfRange(keys.named("kind"), made.kind, N_("a powder with its strengths in % w/w")))
    if made.kind == "liquid" and made.density_kg_l is None and by_mass:
        keys.faults.append(OutOfRange(keys.named("density_kg_l"), "", N_("the density, where a strength is in % w/w")))
    keys.close()
    return made


def _ingredient(keys: _Keys) -> Ingredient:
    name, unit = keys.text("name"), keys.one_of("unit", STRENGTH_UNITS)
    most = 2000.0 if unit == "g/L" else 100.0
    strength = keys.number("strength", above=0.0, most=most, needed=True)
    tolerance_pct = keys.number("tolerance_pct", least=0.0, most=50.0)
    low, high = keys.number("min_mg_l", above=0.0, most=2e6), keys.number("max_mg_l", above=0.0, most=2e6)
    if low is not None and high is not None and low > high:
        keys.faults.append(OutOfRange(keys.named("max_mg_l"), high, N_("min_mg_l or more")))
    keys.close()
    return Ingredient(name, strength or 0.0, unit, None if tolerance_pct is None else tolerance_pct / 100.0, low, high)


class _Keys:
    """The keys of one table; each question notes a fault instead of stopping."""

    def __init__(self, table: Any, place: str, faults: list[TersumError] | None = None):
        self.faults: list[TersumError] = [] if faults is None else faults
        self.place, self.asked = place, [""]
        self.left: dict[str, Any] = dict(table) if isinstance(table, Mapping) else {}
        if not isinstance(table, Mapping):
            self.faults.append(OutOfRange(place, table, N_("a table")))

    def named(self, key: str) -> str:
        return f"{self.place}: {key}" if self.place else key

    def take(self, key: str, default: Any) -> Any:
        self.asked.append(key)
        return self.left.pop(key, default)

    def text(self, key: str, default: str | None = None) -> str:
        value = self.take(key, default)
        if isinstance(value, str) and (value.strip() or value == default) and value.isprintable() and len(value) <= 400:
            return value.strip()
        self.faults.append(OutOfRange(self.named(key), "" if value is None else value, N_("a text on one line")))
        return ""

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.take(key, [])
        if isinstance(value, Sequence) and not isinstance(value, str) and all(
                isinstance(one, str) and one.isprintable() and len(one) <= 400 for one in value):
            return tuple(value)
        self.faults.append(OutOfRange(self.named(key), value, N_("a list of texts")))
        return ()

    def one_of(self, key: str, words: tuple[str, ...], default: str | None = None) -> str:
        value = self.take(key, default)
        if value in words or (default is not None and value == default):
            return str(value)
        self.faults.append(UnknownName(self.named(key), "" if value is None else value, words))
        return ""

    def flag(self, key: str) -> bool:
        value = self.take(key, False)
        if not isinstance(value, bool):
            self.faults.append(OutOfRange(self.named(key), value, N_("true or false")))
        return value is True

    def number(self, key: str, *, above: float = -math.inf, least: float = -math.inf, most: float,
               needed: bool = False) -> float | None:
        value = self.take(key, None)
        if value is None and not needed:
            return None
        if not isinstance(value, bool) and isinstance(value, int | float) and above < value <= most and value >= least:
            return float(value)
        accepted = (N_("a number from {low:g} to {most:g}") if above == -math.inf
                    else N_("a number above {low:g}, up to {most:g}"))
        self.faults.append(OutOfRange(self.named(key), "" if value is None else value, accepted,
                                      low=max(above, least), most=most))
        return None

    def tables(self, key: str) -> list[_Keys]:
        value = self.take(key, None)
        if not isinstance(value, list) or not value or len(value) > 100:
            self.faults.append(OutOfRange(self.named(key), "" if value is None else value, N_("one [[table]] or more")))
            return []
        return [_Keys(one, f"{self.named(key)} {number}", self.faults) for number, one in enumerate(value, start=1)]

    def close(self) -> None:
        for key in self.left:
            self.faults.append(UnknownName(self.named(key), key, tuple(self.asked[1:])))

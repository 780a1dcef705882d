"""What must never meet: pairs of chemical classes, the same in either order, in every setting, with no override."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from tersum.catalogue.load import Sourced, table
from tersum.catalogue.product import Product
from tersum.errors import UnknownName

MIXTURE, SURFACE, VESSEL, CLOTH = "mixture", "surface", "vessel", "cloth"
SETTINGS = (MIXTURE, SURFACE, VESSEL, CLOTH)
UNKNOWN, NONE = "unknown", "none"
# A product at such a pH acts as one, whatever it lists: chlorine comes off below about pH 5 (recalled-chemistry).
ACID_BELOW_PH, ALKALI_ABOVE_PH = 5.0, 11.0


@dataclass(frozen=True)
class Pair:
    """Two classes that must not meet: what happens, and its kind (gas, pressure, heat, fire, loss)."""

    first: str
    second: str
    danger: str
    happens: Sourced


@dataclass(frozen=True)
class Meets:
    """What stands against two products in a setting; ``unknown`` names what no class is known of.

    ``may`` is True only where every class of both is known and no pair of them is in the table.
    """

    setting: str
    pairs: tuple[Pair, ...]
    unknown: tuple[str, ...]

    @property
    def may(self) -> bool:
        return not self.pairs and not self.unknown


@cache
def pairs() -> tuple[Pair, ...]:
    """Return every pair of the table."""
    return tuple(Pair(entry.labels["first"], entry.labels["second"], entry.labels["danger"], entry["happens"])
                 for entry in table("never_together").values())


@cache
def classes() -> tuple[str, ...]:
    """Return the classes that the table knows."""
    return tuple(sorted({name for pair in pairs() for name in (pair.first, pair.second)}))


def meeting(first: Iterable[str], second: Iterable[str], *, setting: str = MIXTURE) -> Meets:
    """Return what stands against two things of these classes meeting.

    Parameters
    ----------
    first, second : iterable of str
        Classes of each; ``none`` is known to have none, ``unknown`` blocks, and so does no class at all.
    setting : str
        One of :data:`SETTINGS`. It changes nothing of the answer: what must not be mixed must not follow on a surface,
        share a tank, can or cloth either, unless it was rinsed and drained between.

    Raises
    ------
    UnknownName
        If a class or the setting is none.

    Examples
    --------
    >>> meeting(["acid"], ["hypochlorite"]).pairs[0].happens.text
    'chlorine gas'
    >>> meeting(["alcohol"], ["unknown"]).may, meeting(["alcohol"], ["quat"]).may
    (False, True)
    """
    if setting not in SETTINGS:
        raise UnknownName("setting", setting, SETTINGS)
    one, other = _checked(first), _checked(second)
    found = tuple(pair for pair in pairs() if (pair.first in one and pair.second in other)
                  or (pair.second in one and pair.first in other))
    lacking = tuple(side for side, held in (("first", one), ("second", other)) if UNKNOWN in held)
    return Meets(setting, found, lacking)


def products_meeting(first: Product, second: Product, *, setting: str = MIXTURE) -> Meets:
    """Return what stands against two products meeting, by the classes of their ingredients and their pH.

    A product meets itself in every can of it.
    """
    if first == second:
        return Meets(setting, (), ())
    return meeting(classes_of(first), classes_of(second), setting=setting)


def classes_of(product: Product) -> tuple[str, ...]:
    """Return the chemical classes of a product; ``unknown`` among them where an ingredient or the rest is not known.

    A rest that is only unclassified (for its hazards) may be soap or an amine: it is known where the product states its
    own ``chemical_classes``, which add to those of the ingredients and take nothing from them.

    Examples
    --------
    >>> from tersum.catalogue.load import product
    >>> classes_of(product("Demo Concentrate A"))
    ('acid', 'peracid', 'peroxide')
    """
    found: set[str] = set(_stated(product))
    for one in product.ingredients:
        found |= set(classes_of_ingredient(one.name))
    if product.rest is None or (product.rest != "water" and not product.chemical_classes):
        found.add(UNKNOWN)
    if product.ph is not None and product.ph < ACID_BELOW_PH:
        found.add("acid")
    if product.ph is not None and product.ph > ALKALI_ABOVE_PH:
        found.add("alkali")
    return tuple(sorted(found - {NONE})) or (NONE,)


def classes_of_ingredient(name: str) -> Sequence[str]:
    """Return the classes of an ingredient by its name, ``unknown`` for one that is not listed.

    >>> classes_of_ingredient("Sodium hypochlorite"), classes_of_ingredient("an oil")
    (('hypochlorite', 'alkali', 'chloride'), ('unknown',))
    """
    entry = table("chemical_classes").get(name.strip().casefold())
    return tuple(entry["classes"].value) if entry is not None else (UNKNOWN,)


def _stated(product: Product) -> set[str]:
    return _checked(product.chemical_classes) if product.chemical_classes else set()


def _checked(given: Iterable[str]) -> set[str]:
    held = {one.strip().casefold() for one in given}
    for one in sorted(held):
        if one not in (*classes(), UNKNOWN, NONE):
            raise UnknownName("class", one, (*classes(), NONE, UNKNOWN))
    return held or {UNKNOWN}

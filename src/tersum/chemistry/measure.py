"""What a volume is measured with, and how far it may be off: glass by its standard, a kitchen jug by practice."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tersum.catalogue.load import Entry, table
from tersum.chemistry.accepted import number
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.units import parse_decimal

CLASSES = ("A", "B")
KITCHEN_JUG = "kitchen jug"

_STATED = re.compile(r"([^\s%A-Za-z]+)\s*(%|ml)", re.ASCII | re.IGNORECASE)
_GLASS = re.compile(r"(.*\S)\s+(a|b)", re.IGNORECASE)


@dataclass(frozen=True)
class Measure:
    """A measure: either ``tolerance_frac`` of the volume, ``tolerance_ml`` whatever the volume, or glass by name.

    ``known`` is how its tolerance is known: ``stated`` where a person gave it, else the catalogue's word.
    """

    name: str
    known: str
    tolerance_frac: float | None = None
    tolerance_ml: float | None = None
    glass: str | None = None
    glass_class: str = "A"

    def half_width_ml(self, volume_ml: float) -> float:
        """Return the half-width of the tolerance when this volume is measured, mL."""
        if self.glass is not None:
            return tolerance_ml(self.glass, self.glass_class, _vessel(self.glass, volume_ml))
        wide = self.tolerance_ml if self.tolerance_frac is None else self.tolerance_frac * volume_ml
        return number("tolerance", wide, N_("less than the volume measured"), low=0.0, high=volume_ml)


def measure(text: str, *, field: str = "measure") -> Measure:
    """Return a measure from its name or its tolerance.

    Parameters
    ----------
    text : str
        ``kitchen jug``; glass with its class, ``cylinder B``, ``flask A``; or a tolerance, ``5 %`` or ``2 ml``.

    Examples
    --------
    >>> measure("kitchen jug").half_width_ml(500.0)
    50.0
    >>> measure("cylinder B").half_width_ml(238.0), measure("2 ml").half_width_ml(238.0)
    (2.0, 2.0)
    """
    name = " ".join(text.split()).casefold()
    stated = _STATED.fullmatch(name) if len(name) <= 60 else None
    if stated:
        half_width = float(parse_decimal(stated.group(1), field=field))
        if stated.group(2) == "%":
            number(field, half_width, N_("a tolerance of 0 to 50 %"), low=0.0, high=50.0)
            return Measure(name, "stated", tolerance_frac=half_width / 100.0)
        return Measure(name, "stated", tolerance_ml=number(field, half_width, N_("0 mL or more"), low=0.0))
    if name in table("glassware") and "tolerance_frac" in table("glassware")[name]:
        value = table("glassware")[name]["tolerance_frac"]
        return Measure(name, value.known, tolerance_frac=value.number)
    found = _GLASS.fullmatch(name)
    kinds = {kind.casefold(): kind for kind, entry in table("glassware").items() if "tolerance_a" in entry}
    if found is None or found.group(1) not in kinds:
        names = [f"{kind} {one}" for kind in kinds.values() for one in _classes(kind)]
        raise UnknownName(field, text, (KITCHEN_JUG, *names, "5 %", "2 ml"))
    glass = kinds[found.group(1)]
    _check_class(glass, found.group(2).upper(), field)
    return Measure(name, table("glassware")[glass]["tolerance_a"].known, glass=glass,
                   glass_class=found.group(2).upper())


def tolerance_ml(kind: str, glass_class: str, nominal_ml: float) -> float:
    """Return the tolerance of a piece of glass, mL, half-width.

    Parameters
    ----------
    kind : str
        A name of the catalogue (``cylinder``) or the standard it follows (``ISO 4788``).
    glass_class : {"A", "B"}
        Class B is twice class A.
    nominal_ml : float
        A nominal volume that the standard lists.

    Source
    ------
    The entry's own source in ``glassware.toml``; the ISO tables are from memory. The tolerance printed on the glass
    goes before it.

    Examples
    --------
    >>> tolerance_ml("ISO 4788", "B", 100), tolerance_ml("flask", "A", 100)
    (1.0, 0.1)
    """
    entry = _glass(kind)
    _check_class(entry.name, glass_class, "glass_class")
    listed = {float(nominal): wide for nominal, wide in entry["tolerance_a"].value.items()}
    if nominal_ml not in listed:
        raise OutOfRange("nominal_ml", nominal_ml, "{listed}", listed=", ".join(f"{one:g}" for one in listed))
    factor = entry["class_b_factor"].number if glass_class == "B" else 1.0
    return float(listed[nominal_ml]) * factor


def _glass(kind: str) -> Entry:
    named = {name: entry for name, entry in table("glassware").items() if "tolerance_a" in entry}
    for name, entry in named.items():
        if kind in (name, entry.labels["standard"]):
            return entry
    raise UnknownName("kind", kind, tuple(named))


def _check_class(glass: str, glass_class: str, field: str) -> None:
    if glass_class not in CLASSES:
        raise UnknownName(field, glass_class, CLASSES)
    if glass_class not in _classes(glass):
        raise OutOfRange(field, glass_class, N_("class A: nothing is known of class B of this glass"))


def _classes(glass: str) -> tuple[str, ...]:
    return CLASSES if "class_b_factor" in table("glassware")[glass] else CLASSES[:1]


def _vessel(glass: str, volume_ml: float) -> float:
    """Return the smallest vessel of a kind that holds a volume."""
    sizes = sorted(float(nominal) for nominal in _glass(glass)["tolerance_a"].value)
    number("volume_ml", volume_ml, N_("above 0 mL"), above=0.0)
    fitting = [size for size in sizes if size >= volume_ml]
    if not fitting:
        raise OutOfRange("volume_ml", volume_ml, N_("up to {most:g} mL in a {glass}"), most=sizes[-1], glass=glass)
    return fitting[0]

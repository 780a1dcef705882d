"""What is known, read from TOML into frozen values; a value that does not say where it comes from does not load."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from tersum.catalogue.product import Product, products_in
from tersum.errors import N_, Faults, MissingSource, OutOfRange, TersumError, UnknownName

KNOWN = ("read", "secondary", "memory", "computed", "practice")
PRACTICE = "common-practice"
REQUIRED = ("value", "unit", "source", "where", "known")
FOLDER = Path(__file__).resolve().parent

_EMPTY: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class Source:
    """One book, standard, paper or open file that values are taken from."""

    key: str
    title: str
    author: str = ""
    year: int | None = None
    edition: str = ""
    get: str = ""  # where to get it


@dataclass(frozen=True)
class Sourced:
    """One value with its unit, its source, the place in the source, and how it is known.

    ``value`` is a number, a text, a truth value, a tuple of these or a mapping of these. ``details`` holds what else
    the entry says: ``at_c``, ``uncertainty``, ``note``, ``checked`` and the like.
    """

    name: str
    value: Any
    unit: str
    source: str
    where: str
    known: str
    details: Mapping[str, Any] = field(default_factory=lambda: _EMPTY)

    @property
    def number(self) -> float:
        """The value as a number."""
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise OutOfRange(self.name, self.value, N_("one number"))
        return float(self.value)

    @property
    def numbers(self) -> tuple[float, ...]:
        """The values as numbers, in their order."""
        if not isinstance(self.value, tuple) or any(isinstance(one, bool) or not isinstance(one, int | float)
                                                    for one in self.value):
            raise OutOfRange(self.name, self.value, N_("a list of numbers"))
        return tuple(float(one) for one in self.value)

    @property
    def text(self) -> str:
        """The value as a text."""
        if not isinstance(self.value, str):
            raise OutOfRange(self.name, self.value, N_("a text"))
        return self.value


@dataclass(frozen=True)
class Entry:
    """One row of a data file: its sourced values by name, and its labels (names, formulas, classes)."""

    name: str
    values: Mapping[str, Sourced]
    labels: Mapping[str, Any] = field(default_factory=lambda: _EMPTY)

    def __getitem__(self, name: str) -> Sourced:
        if name not in self.values:
            raise UnknownName(self.name, name, tuple(self.values))
        return self.values[name]

    def __contains__(self, name: object) -> bool:
        return name in self.values

    def __iter__(self) -> Iterator[str]:
        return iter(self.values)


@cache
def table(noun: str) -> Mapping[str, Entry]:
    """Return the entries of one data file, by name.

    Parameters
    ----------
    noun : str
        The file's name without ``.toml``: ``substances``, ``glassware``, ``repeatability``, ...

    Raises
    ------
    UnknownName
        If there is no such file.
    Faults
        Of :class:`MissingSource`: every value of the file that does not say where it comes from.

    Examples
    --------
    >>> table("substances")["peracetic acid"]["molar_mass"].number
    76.051
    """
    if noun not in nouns():
        raise UnknownName("table", noun, nouns())
    return entries(_read(FOLDER / "data" / f"{noun}.toml"), sources=frozenset(sources()))


@cache
def nouns() -> tuple[str, ...]:
    """Return the names of the data files of sourced values (the demo's own files are not among them)."""
    return tuple(sorted(path.stem for path in (FOLDER / "data").glob("*.toml") if not path.stem.startswith("demo_")))


@cache
def sources() -> Mapping[str, Source]:
    """Return every source by its key.

    >>> sources()["quam-2012"].edition
    'third edition'
    """
    return MappingProxyType({key: Source(key, **one) for key, one in _read(FOLDER / "sources.toml").items()})


@cache
def products() -> tuple[Product, ...]:
    """Return the products the program brings: the invented ones of the demo, and no other."""
    return products_in(_read(FOLDER / "data" / "demo_products.toml"))


def product(name: str) -> Product:
    """Return one product by its name, capitals aside.

    >>> product("demo concentrate a").density_kg_l
    1.09
    """
    for one in products():
        if one.name.casefold() == name.strip().casefold():
            return one
    raise UnknownName("product", name, tuple(one.name for one in products()))


@cache
def demo_instrument() -> Mapping[str, Any]:
    """Return the invented meter of the demo, in the keys of an instrument file."""
    frozen: Mapping[str, Any] = _frozen(_read(FOLDER / "data" / "demo_instrument.toml"))
    return frozen


def book_repeatability() -> Sourced:
    """Return the spread of one swab that stands in where an instrument has no duplicates of its own, log10 RLU.

    >>> book_repeatability().number, book_repeatability().source
    (0.205, 'whiteley-2015-meters')
    """
    return table("repeatability")["one swab"]["spread_log10"]


def entries(data: Mapping[str, Any], *, sources: frozenset[str]) -> Mapping[str, Entry]:
    """Return the entries of one parsed data file.

    Parameters
    ----------
    data : mapping
        ``[entry.value]`` tables with ``value``, ``unit``, ``source``, ``where``, ``known`` and further details. Texts,
        truth values and lists of texts directly in an entry are labels. A bare number there is refused unless the
        file's own list ``definitions`` names it as one that is fixed by definition (a charge, a count).
    sources : frozenset of str
        The keys a ``source`` may have.
    """
    faults: list[TersumError] = []
    defined = data.get("definitions", [])
    found = {name: _entry(name, one, defined, sources, faults) for name, one in data.items()
             if name not in ("definitions", "schema")}
    if faults:
        raise Faults(faults)
    return MappingProxyType(found)


def _entry(name: str, data: Any, defined: list[str], sources: frozenset[str], faults: list[TersumError]) -> Entry:
    if not isinstance(data, dict):
        faults.append(_missing(name, data))
        return Entry(name, _EMPTY)
    values, labels = {}, {}
    for key, one in data.items():
        if isinstance(one, dict):
            values[key] = _sourced(f"{name}.{key}", one, sources, faults)
        elif key in defined or _is_label(one):
            labels[key] = _frozen(one)
        else:
            faults.append(_missing(f"{name}.{key}", one))
    return Entry(name, MappingProxyType(values), MappingProxyType(labels))


def _sourced(name: str, data: dict[str, Any], sources: frozenset[str], faults: list[TersumError]) -> Sourced:
    texts = {key: data.get(key, "") for key in REQUIRED[1:]}
    empty = [key for key, text in texts.items() if not isinstance(text, str) or not text.strip()]
    if "value" not in data or empty:
        lacking = empty + ([] if "value" in data else ["value"])
        accepted = N_("value, unit, source, where and known; it lacks {lacking}")
        faults.append(MissingSource(name, data.get("value"), accepted, lacking=", ".join(lacking)))
    elif texts["known"] not in KNOWN:
        faults.append(MissingSource(f"{name}.known", texts["known"], "{words}", words=", ".join(KNOWN)))
    elif (texts["known"] == "practice") != (texts["source"] == PRACTICE):
        faults.append(MissingSource(f"{name}.source", texts["source"], N_("common-practice, and known as practice")))
    elif texts["source"] not in sources:
        faults.append(MissingSource(f"{name}.source", texts["source"], N_("a key of sources.toml")))
    details = {key: _frozen(one) for key, one in data.items() if key not in REQUIRED}
    return Sourced(name, _frozen(data.get("value")), details=MappingProxyType(details),
                   **{key: str(text) for key, text in texts.items()})


def _missing(name: str, value: object) -> MissingSource:
    return MissingSource(name, value, N_("a table with value, unit, source, where and known"))


def _is_label(value: object) -> bool:
    if isinstance(value, list):
        return all(isinstance(one, str) for one in value)
    return isinstance(value, str | bool)


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return MappingProxyType({key: _frozen(one) for key, one in value.items()})
    return tuple(_frozen(one) for one in value) if isinstance(value, list) else value


def _read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))

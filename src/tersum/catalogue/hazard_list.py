"""The list of classified substances: every version of every entry, found by name, alias or index number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from tersum.catalogue.hazard_entry import HazardEntry
from tersum.catalogue.load import Entry, table

LIST = "list"
_MERGED = {"classes": "classes", "classes_recalled": "classes", "limits": "limits", "limits_recalled": "limits",
           "m_factors": "m_factors", "ate": "ate", "minimum": "minimum"}


@dataclass(frozen=True)
class ListDate:
    """When the list was made, on which text, and the newest amendment it knows of."""

    date: str
    basis: str
    newest_amendment: str


@cache
def list_date() -> ListDate:
    """Return the date and the legal text of the list.

    >>> list_date().date
    '2026-11-25'
    """
    head = table("hazard_entries")[LIST]
    return ListDate(head.labels["date"], head.labels["basis"], head["newest_amendment"].text)


@cache
def hazard_entries() -> tuple[HazardEntry, ...]:
    """Return every version of every entry, in the order of the file."""
    return tuple(_entry(one) for name, one in table("hazard_entries").items() if name != LIST)


def entries_of(substance: str) -> tuple[HazardEntry, ...]:
    """Return the versions of one substance's entry, by its name or alias; none where the list does not know it.

    >>> [one.status for one in entries_of("peracetic acid")]
    ['superseded', 'expected']
    """
    return _by_name().get(substance.strip().casefold(), ())


def entries_of_index_number(index_number: str) -> tuple[HazardEntry, ...]:
    """Return the versions under an index number.

    >>> entries_of_index_number("011-002-00-6")[0].substance
    'sodium hydroxide'
    """
    return tuple(one for one in hazard_entries() if one.index_number == index_number)


@cache
def limit(entry: str, name: str) -> float:
    """Return one general limit of the regulation, as ``limit("skin", "corrosive")``."""
    return table("hazard_limits")[entry][name].number


@cache
def limit_row(entry: str, name: str) -> tuple[float, ...]:
    """Return limits of categories 1 to 4."""
    return table("hazard_limits")[entry][name].numbers


@cache
def _by_name() -> Mapping[str, tuple[HazardEntry, ...]]:
    found: dict[str, list[HazardEntry]] = {}
    aliases: dict[str, str] = {}
    for one in hazard_entries():
        found.setdefault(one.substance.casefold(), []).append(one)
        aliases |= {alias.casefold(): one.substance.casefold() for alias in one.aliases}
    return MappingProxyType({name: tuple(found[aliases.get(name, name)]) for name in (*found, *aliases)})


def _entry(row: Entry) -> HazardEntry:
    values: dict[str, object] = {}
    for name, one in row.values.items():
        key = _MERGED[name]
        before = values.get(key)
        values[key] = one.value if before is None else (
            (*before, *one.value) if isinstance(before, tuple) else MappingProxyType({**before, **one.value}))  # type: ignore[dict-item]
    labels = dict(row.labels)
    return HazardEntry(**labels, **values, known=tuple(sorted({one.known for one in row.values.values()})),  # type: ignore[arg-type]
                       sources=tuple(sorted({one.source for one in row.values.values()})))

"""Facts with their corrections applied: what counts now, while the facts themselves stay as they were sealed."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from tersum.errors import N_, Faults, OutOfRange
from tersum.records import canonical
from tersum.records.fact_types import TYPES
from tersum.records.facts import Fact
from tersum.records.trouble import Conflict

UNCORRECTABLE = ("correction", "subject-erased", "organisation-opened")


@dataclass(frozen=True)
class Effective:
    """One fact as it counts now."""

    fact: Fact
    data: dict[str, Any]
    rows: tuple[dict[str, Any], ...]
    withdrawn: bool = False


def as_sealed(fact: Fact) -> Effective:
    """Return a fact before any correction."""
    rows = tuple(fact.row(position) for position in range(len(fact.rows)))
    return Effective(fact, dict(fact.data), rows)


def corrected(target: Effective, correction: Mapping[str, Any]) -> Effective:
    """Return the fact after one correction.

    Parameters
    ----------
    target : Effective
        The fact as it counted until now.
    correction : mapping
        Data of a correction: ``changes`` with JSON pointers (RFC 6901) into ``/data`` or ``/rows``, what was there and
        what is there now; ``withdrawn`` if the fact no longer counts at all.

    Raises
    ------
    Conflict
        If a value is not what the correction says it was.
    Faults
        If the fact would no longer be as its type's schema says.
    """
    whole: dict[str, Any] = {"data": copy.deepcopy(target.data), "rows": copy.deepcopy(list(target.rows))}
    for change in correction["changes"]:
        _change(whole, change)
    kind = TYPES[target.fact.type, int(target.fact.envelope["type_version"])]
    faults = kind.data.faults("/data", whole["data"])
    if kind.row is not None:
        faults += [fault for place, row in enumerate(whole["rows"]) for fault in kind.row.faults(f"/rows/{place}", row)]
    if faults:
        raise Faults(faults)
    return Effective(target.fact, whole["data"], tuple(whole["rows"]), bool(correction["withdrawn"]))


def effective(facts: Iterable[Fact]) -> dict[str, Effective]:
    """Return facts as they count now, by fact id, in their order; corrections are applied, not listed."""
    now: dict[str, Effective] = {}
    for fact in facts:
        named = fact.corrects
        if named is None:
            now[fact.fact_id] = as_sealed(fact)
        elif named.fact_id in now:
            now[named.fact_id] = corrected(now[named.fact_id], fact.data)
    return now


def _change(whole: dict[str, Any], change: Mapping[str, Any]) -> None:
    *way, last = [step.replace("~1", "/").replace("~0", "~") for step in change["path"].split("/")[1:]]
    here: Any = whole
    for step in way:
        here = _at(here, step, change["path"])
    if canonical.canonical(_at(here, last, change["path"])) != canonical.canonical(change["was"]):
        raise Conflict(N_("{field} is no longer {value}; look at the record again."), field=change["path"],
                       value=change["was"])
    here[int(last) if isinstance(here, list) else last] = change["is"]


def _at(here: Any, step: str, path: str) -> Any:
    if isinstance(here, dict) and step in here:
        return here[step]
    if isinstance(here, list) and step.isdecimal() and int(step) < len(here):
        return here[int(step)]
    raise OutOfRange("path", path, N_("a place that is in the fact"))

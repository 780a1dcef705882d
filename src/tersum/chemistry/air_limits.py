"""Limits of substances in workplace air: one set is chosen; where it is silent, the strictest of all the others."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.catalogue.load import Sourced, table
from tersum.errors import UnknownName

# A set and what it is; "shift" is a mean over 8 h, "short" over 15 min, "ceiling" never to be passed.
SETS = ("osha-pel", "niosh-rel", "acgih-tlv", "eu-ioelv", "uk-wel")
SHIFT, SHORT, CEILING, DANGER = "shift", "short", "ceiling", "danger"


@dataclass(frozen=True)
class AirLimit:
    """One limit: its set, its kind, ppm, and mg/m3 as the list pairs it (None where the list gives no pair)."""

    substance: str
    set: str
    kind: str
    ppm: float
    mg_m3: float | None
    known: Sourced


@dataclass(frozen=True)
class LimitsFor:
    """The limits a substance is held against.

    ``silent`` is True where the chosen set has none for it: then the strictest of every other set was taken.
    """

    substance: str
    set: str
    limits: tuple[AirLimit, ...]
    silent: bool
    danger: AirLimit | None

    def of_kind(self, kind: str) -> AirLimit | None:
        """Return the strictest limit of a kind, None if there is none."""
        found = [one for one in self.limits if one.kind == kind]
        return min(found, key=lambda one: one.ppm) if found else None


def limits_for(substance: str, chosen: str) -> LimitsFor:
    """Return what a substance is held against under a chosen set.

    Parameters
    ----------
    substance : str
        As the catalogue names it; one it does not know has no limit, which is no statement that it needs none.
    chosen : str
        One of :data:`SETS`.

    Raises
    ------
    UnknownName
        If there is no such set.

    Examples
    --------
    >>> limits_for("peracetic acid", "osha-pel").silent, limits_for("peracetic acid", "osha-pel").limits[0].ppm
    (True, 0.4)
    """
    if chosen not in SETS:
        raise UnknownName("limits", chosen, SETS)
    known = all_limits(substance)
    own = tuple(one for one in known if one.set == chosen)
    others = tuple(one for one in known if one.set in SETS)
    danger = next((one for one in known if one.kind == DANGER), None)
    return LimitsFor(substance, chosen, own or others, not own, danger)


def all_limits(substance: str) -> tuple[AirLimit, ...]:
    """Return every limit that is known for a substance, of every set; none for one that is not listed."""
    entry = table("air_limits").get(substance)
    if entry is None:
        return ()
    found = []
    for name in entry:
        value, (chosen, _dot, kind) = entry[name], name.partition(".")
        pair = value.details.get("mg_m3")
        found.append(AirLimit(substance, chosen, kind, value.number, float(pair) if pair is not None else None, value))
    return tuple(found)

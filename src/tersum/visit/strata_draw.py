"""Which points are swabbed: all of high touch and high risk, and a sealed draw from the rest, stratum by stratum."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.errors import N_, OutOfRange
from tersum.evidence.point_sampling import strata_shares


@dataclass(frozen=True)
class ListedPoint:
    """One point of the list, with its touch and risk (``high`` or another word) and its surface class."""

    name: str
    touch: str
    risk: str
    surface: str

    @property
    def always(self) -> bool:
        return self.touch == self.risk == "high"

    @property
    def stratum(self) -> str:
        return f"{self.touch} / {self.risk} / {self.surface}"


@dataclass(frozen=True)
class StrataDraw:
    """The points always swabbed, and for each stratum how many it has and which were drawn."""

    always: tuple[str, ...]
    strata: tuple[tuple[str, int, tuple[str, ...]], ...]
    method: str = "hmac-sha-256"


def strata_draw(points: Sequence[ListedPoint], draw: int, seed: bytes) -> StrataDraw:
    """Return the draw: within each stratum the points in the order of HMAC-SHA-256(seed, name), as in a visit's plan.

    Raises
    ------
    OutOfRange
        If a name stands twice, or more are to be drawn than there are.

    Examples
    --------
    >>> listed = [ListedPoint(name, "low", "low", "smooth") for name in "abcd"]
    >>> strata_draw([ListedPoint("wheel", "high", "high", "smooth"), *listed], 2, bytes(16)).always
    ('wheel',)
    """
    names = [point.name for point in points]
    double = sorted({name for name in names if names.count(name) > 1})
    if double:
        raise OutOfRange("point", ", ".join(double), N_("each point once"))
    rest = [point for point in points if not point.always]
    strata = sorted({point.stratum for point in rest})
    groups = [[point.name for point in rest if point.stratum == one] for one in strata]
    counts = strata_shares([len(group) for group in groups], draw)
    found = []
    for stratum, group, count in zip(strata, groups, counts, strict=True):
        ranked = sorted(group, key=lambda name: hmac.new(seed, name.encode(), hashlib.sha256).digest())
        found.append((stratum, len(group), tuple(ranked[:count])))
    return StrataDraw(tuple(point.name for point in points if point.always), tuple(found))

"""Reading LIMITS.toml: limits, each of one instrument type, swab type, area and surface class."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tersum.errors import N_, OutOfRange, TersumError
from tersum.fields import Fields
from tersum.records.toml_file import placed, read_toml
from tersum.visit.decision import LimitInForce
from tersum.visit.plan import Limit

SCHEMA = "tersum/limits/1"
KNOWN = ("read", "secondary", "memory", "computed", "practice")
METHODS = ("percentile", "tolerance")
MOST_LIMITS = 1000


@dataclass(frozen=True)
class Meter:
    """What a limit must belong to: instrument type, swab type and area; None where that is not recorded."""

    instrument: str | None
    swab: str | None = None
    area_cm2: float | None = None


@dataclass(frozen=True)
class Frozen:
    """From what a limit was learnt, and when: all it takes to find it again and to review it.

    ``anchor_rlu`` is the first limit of its line: a clean that slowly gets worse would draw each next one up.
    """

    on: str
    method: str
    share_pct: float
    confidence_pct: float
    points: int
    vehicles: int
    seed: int
    readings_sha256: str
    anchor_rlu: float


@dataclass(frozen=True)
class Limits:
    """The limits of one file; ``frozen`` in their order, None for one that was not learnt from readings."""

    file: str
    limits: tuple[Limit, ...]
    invented: bool = False
    frozen: tuple[Frozen | None, ...] = ()

    def of_meter(self, meter: Meter) -> tuple[Limit, ...]:
        """Return the limits that belong to a meter, in so far as it is recorded."""
        return tuple(limit for limit in self.limits if meter.instrument in (None, limit.instrument)
                     and meter.swab in (None, limit.swab) and meter.area_cm2 in (None, limit.area_cm2))

    def meters(self) -> tuple[Meter, ...]:
        """Return every instrument type, swab type and area that has a limit, in the order of the file."""
        return tuple(dict.fromkeys(Meter(one.instrument, one.swab, one.area_cm2) for one in self.limits))

    def for_surface(self, meter: Meter, surface: str | None) -> LimitInForce | None:
        """Return the one limit for a surface under a meter; None where there is none, or more than one fits."""
        if surface is None:
            return None
        fitting = [one for one in self.of_meter(meter) if one.surface.casefold() == surface.casefold()]
        return LimitInForce(fitting[0].rlu, "file", fitting[0].basis) if len(fitting) == 1 else None


def read_limits(path: str) -> Limits:
    """Return the limits of a file.

    Raises
    ------
    RowFault
        If the file cannot be read.
    Faults
        Everything that is wrong with its tables, all at once.
    """
    fields = Fields(read_toml(path))
    fields.text("schema", choices=[SCHEMA])
    invented = fields.yes("invented", False)
    read = [_limit(one) for one in fields.tables("limit", least=1, most=MOST_LIMITS)]
    limits = [limit for limit, _frozen in read]
    fields.close()
    faults: list[TersumError] = list(fields.faults)
    met: dict[tuple[str, str, float, str], int] = {}
    for place, limit in enumerate(limits, start=1):
        key = (limit.instrument, limit.swab, limit.area_cm2, limit.surface.casefold())
        if limit.surface and met.setdefault(key, place) != place:
            faults.append(OutOfRange(f"limit {place}", limit.surface,
                                     N_("one limit for an instrument, swab, area and surface; limit {first} is one"),
                                     first=met[key]))
    if faults:
        raise placed(path, faults)
    return Limits(path, tuple(limits), invented, tuple(frozen for _limit, frozen in read))


def _limit(fields: Fields) -> tuple[Limit, Frozen | None]:
    limit = Limit(fields.text("instrument"), fields.text("swab"), fields.number("area_cm2", above=0.0, most=10_000.0),
                  fields.text("surface"), fields.number("rlu", above=0.0, most=1e9), fields.text("basis"),
                  fields.text("known", choices=KNOWN))
    fields.optional_text("note", most=2000)
    frozen = _frozen(fields.table("frozen")) if fields.has("frozen") else None
    fields.close()
    return limit, frozen


def _frozen(fields: Fields) -> Frozen:
    found = Frozen(fields.text("on"), fields.text("method", choices=METHODS),
                   fields.number("share_pct", least=50.0, most=100.0),
                   fields.number("confidence_pct", least=50.0, most=100.0), fields.whole("points", least=1),
                   fields.whole("vehicles", least=1), fields.whole("seed", most=2**63), fields.text("readings_sha256"),
                   fields.number("anchor_rlu", above=0.0, most=1e9))
    try:
        date.fromisoformat(found.on)
    except ValueError:
        fields.refuse("on", found.on, N_("a day, as 2026-03-02"))
    fields.close()
    return found

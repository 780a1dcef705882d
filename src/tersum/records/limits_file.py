"""Reading LIMITS.toml: limits, each of one instrument type, swab type, area and surface class."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.errors import N_, OutOfRange, TersumError
from tersum.fields import Fields
from tersum.records.toml_file import placed, read_toml
from tersum.visit.decision import LimitInForce
from tersum.visit.plan import Limit

SCHEMA = "tersum/limits/1"
KNOWN = ("read", "secondary", "memory", "computed", "practice")
MOST_LIMITS = 1000


@dataclass(frozen=True)
class Meter:
    """What a limit must belong to: instrument type, swab type and area; None where that is not recorded."""

    instrument: str | None
    swab: str | None = None
    area_cm2: float | None = None


@dataclass(frozen=True)
class Limits:
    """The limits of one file."""

    file: str
    limits: tuple[Limit, ...]
    invented: bool = False

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
    limits = [_limit(one) for one in fields.tables("limit", least=1, most=MOST_LIMITS)]
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
    return Limits(path, tuple(limits), invented)


def _limit(fields: Fields) -> Limit:
    limit = Limit(fields.text("instrument"), fields.text("swab"), fields.number("area_cm2", above=0.0, most=10_000.0),
                  fields.text("surface"), fields.number("rlu", above=0.0, most=1e9), fields.text("basis"),
                  fields.text("known", choices=KNOWN))
    fields.optional_text("note", most=2000)
    fields.close()
    return limit

"""Which limit is in force at a point: only one that belongs to its instrument, swab, area and surface."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tersum.errors import N_, TersumError
from tersum.records.instrument_file import InstrumentFile
from tersum.records.intake import refusal
from tersum.records.limits_file import Limits, Meter
from tersum.records.readings_table import ReadingsTable
from tersum.visit.decision import LimitInForce


@dataclass(frozen=True)
class LimitChoice:
    """The limits that were given, and the meter where a file says it.

    ``single`` is one limit for every point, ``limits`` a file of them; neither: no point has a limit.
    """

    single: LimitInForce | None = None
    limits: Limits | None = None
    meter: Meter | None = None

    def for_point(self, instrument: str | None, surface: str | None) -> LimitInForce | None:
        """Return the limit for a point's instrument type and surface, or None."""
        if self.limits is None:
            return self.single
        return self.limits.for_surface(self.meter or Meter(instrument), surface)


def limit_choice(table: ReadingsTable, *, limit_rlu: float | None, limits: Limits | None,
                 instrument: InstrumentFile | None) -> LimitChoice:
    """Return which limits are in force for a table, with a fault noted for each that belongs to another instrument.

    Readings of two instruments have no limit in common: then ``limit_rlu`` is in force for none of them.
    """
    meter = Meter(instrument.type, instrument.swab, instrument.area_cm2) if instrument else None
    if limits is not None:
        for row, column, fault in _foreign(table, limits, meter):
            table.fault(row, column, fault)
        return LimitChoice(limits=limits, meter=meter)
    if limit_rlu is None:
        return LimitChoice(meter=meter)
    if len(table.instruments) > 1:
        (first, _), (second, row) = sorted(table.instruments.items(), key=lambda one: one[1])[:2]
        table.fault(row, "instrument", refusal(
            "limit-of-another-instrument", N_("{field} is not the only one: got {value} after {first}, and one limit "
                                              "cannot belong to both, so that no point has a limit; accepted: "
                                              "{accepted}."), "instrument", second,
            N_("one instrument type, or a file of limits with one for each"), first=first))
        return LimitChoice(meter=meter)
    return LimitChoice(single=LimitInForce(limit_rlu, "option"), meter=meter)


def _foreign(table: ReadingsTable, limits: Limits,
             meter: Meter | None) -> Iterator[tuple[int | None, str | None, TersumError]]:
    """Yield a fault for each instrument that read and has no limit, or more than one for the same surface."""
    used = [(meter, None)] if meter else [(Meter(name), row) for name, row in table.instruments.items()]
    for one, row in used or [(Meter(None), None)]:
        column = "instrument" if row else None
        fitting = limits.of_meter(one)
        known = "; ".join(map(_shown, limits.meters()))
        if not fitting:
            yield row, column, refusal(
                "limit-of-another-instrument", N_("no limit in {limits} belongs to the instrument: got {value}; "
                                                  "accepted: {accepted}."), "instrument", _shown(one),
                N_("an instrument that the limits are of ({known})"), limits=limits.file, known=known)
        surfaces = [limit.surface.casefold() for limit in fitting]
        if len(set(surfaces)) < len(surfaces):
            yield row, column, refusal(
                "limit-not-told-apart", N_("{limits} has more than one limit for the same surface, and the readings "
                                           "do not say which instrument, swab and area: got {value}; accepted: "
                                           "{accepted}."), "instrument", _shown(one),
                N_("an instrument file with one of these ({known})"), limits=limits.file, known=known)


def _shown(meter: Meter) -> str:
    area = None if meter.area_cm2 is None else f"{meter.area_cm2:g} cm2"
    return ", ".join(part for part in (meter.instrument, meter.swab, area) if part) or "?"

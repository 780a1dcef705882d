"""Readings on record as READINGS.csv, which ``tersum decide`` reads; names and notes stay where they are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from tersum.records.export import csv_lines
from tersum.visit.readings import Reading

COLUMNS = ("point", "stage", "round", "swab", "rlu", "surface", "instrument", "swab_lot", "blank", "at", "dry",
           "rinsed", "fresh_area", "swab_in_date", "instrument_checked")
_FIELDS = {"rlu": "raw", "blank": "blank_rlu"}


def readings_csv(readings: Iterable[Reading]) -> Iterator[str]:
    """Yield the lines of the table, in the order given.

    A reading voided by a lead keeps its number here and loses that it is void, since the name of whoever approved it
    stays out; such readings are left out and no table is made of them.
    """
    return csv_lines(COLUMNS, (tuple(_cell(reading, column) for column in COLUMNS) for reading in readings
                               if reading.void_reason is None))


def _cell(reading: Reading, column: str) -> object:
    value = getattr(reading, _FIELDS.get(column, column))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{Decimal(repr(value)):f}" if isinstance(value, float) else value

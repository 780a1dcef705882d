"""A pH reading of a mixed solution, as it was written down."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.fields import Fields


@dataclass(frozen=True)
class PhSeen:
    """A pH with its standard uncertainty, and the temperature of the solution, °C."""

    value: float
    u: float
    temp_c: float


def ph_from(fields: Fields) -> PhSeen:
    """Return the ``ph`` table of a step; what is wrong with it is noted in its fields."""
    seen = PhSeen(fields.number("value", least=-1.0, most=15.0), fields.number("u", 0.05, above=0.0, most=1.0),
                  fields.number("temp_c", least=0.0, most=60.0))
    fields.close()
    return seen

"""Set values of pH buffers at the temperature that was measured, from published tables of one scale."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tersum.catalogue.load import Entry, table
from tersum.chemistry.accepted import number
from tersum.errors import N_, OutOfRange, UnknownName

KELVIN = 273.15
NIST = "nist"


@dataclass(frozen=True)
class SetValue:
    """The pH of a buffer at a temperature: its scale, its source, and its standard uncertainty."""

    name: str
    ph: float
    temp_c: float
    scale: str
    source: str
    known: str
    uncertainty: float


def set_value(name: str, temp_c: float, *, scale: str = NIST) -> SetValue:
    """Return the pH of a published buffer at the measured temperature.

    Parameters
    ----------
    name : str
        ``phthalate``, ``phosphate``, ``borax``, ``carbonate``, ``citrate``, ``tetroxalate`` or ``calcium hydroxide``,
        or the composition as the catalogue spells it.
    temp_c : float
        Temperature of the buffer, within its table.
    scale : {"nist", "hj-1147"}
        Never mix two in one calibration: they differ by up to 0.006.

    Raises
    ------
    UnknownName
        For a buffer or scale that is not in the catalogue; technical buffers (nominal 4.00, 7.00, 10.00) are not: their
        table is on the bottle.
    OutOfRange
        Outside the temperatures of its table.

    Source
    ------
    The entry's own; between two temperatures of a table a straight line, within 0.001 of a smooth curve.

    Examples
    --------
    >>> round(set_value("phthalate", 25.0).ph, 3), set_value("phosphate", 22.5).ph
    (4.006, 6.873)
    """
    entry = _entry(name, scale)
    value = entry["ph"]
    if isinstance(value.value, tuple):
        low, high = float(value.details["low_c"]), float(value.details["high_c"])
        _within(temp_c, low, high)
        kelvin = temp_c + KELVIN
        a, b, c, d = value.numbers
        ph = a / kelvin + b + c * kelvin + d * kelvin**2
    else:
        ph = _between({float(one): float(there) for one, there in value.value.items()}, temp_c)
    return SetValue(entry.name, ph, temp_c, scale, value.source, value.known, float(value.details["uncertainty"]))


@cache
def scales() -> tuple[str, ...]:
    """Return the scales of the catalogue."""
    return tuple(sorted({str(entry.labels["scale"]) for entry in table("buffers").values()}))


@cache
def names(scale: str = NIST) -> tuple[str, ...]:
    """Return the short names of the buffers of a scale."""
    return tuple(entry.labels["names"][0] for entry in table("buffers").values() if entry.labels["scale"] == scale)


def _entry(name: str, scale: str) -> Entry:
    if scale not in scales():
        raise UnknownName("scale", scale, scales())
    for entry in table("buffers").values():
        if entry.labels["scale"] == scale and name.strip().casefold() in [one.casefold() for one in
                                                                         entry.labels["names"]]:
            return entry
    raise UnknownName("buffer", name, names(scale))


def _between(listed: dict[float, float], temp_c: float) -> float:
    temps = sorted(listed)
    _within(temp_c, temps[0], temps[-1])
    for below, above in zip(temps, temps[1:], strict=False):
        if below <= temp_c <= above:
            share = (temp_c - below) / (above - below)
            return round(listed[below] + share * (listed[above] - listed[below]), 6)
    return listed[temps[0]]


def _within(temp_c: float, low: float, high: float) -> None:
    number("temp_c", temp_c, N_("a temperature in °C"), low=-10.0, high=100.0)
    if not low <= temp_c <= high:
        raise OutOfRange("temp_c", temp_c, N_("{low:g} °C, the only temperature known") if low == high else
                         N_("{low:g} to {high:g} °C, the table of this buffer"), low=low, high=high)

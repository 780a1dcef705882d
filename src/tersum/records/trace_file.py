"""Reading a logged temperature trace: in pieces of bounded memory, the unit always said, all faults at once."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time
from itertools import islice

import numpy as np

from tersum.arguments import Array
from tersum.errors import N_, Faults, TersumError
from tersum.lethality.heat import Dose
from tersum.lethality.heat_trace import (
    COLDEST_C,
    HOTTEST_C,
    HeatDose,
    Logging,
    TraceDose,
    looks_like_fahrenheit,
)
from tersum.records.columns import readable
from tersum.records.header import DELIMITERS
from tersum.records.intake import FaultList, RowFault, open_input, refusal
from tersum.records.lines import numbered_lines
from tersum.records.trace_toml import read_trace_toml

PIECE = 8192
MOST_SENSORS = 16
TIMES = ("time_s", "time_min", "time")
UNITS = ("temp_c", "temp_f")

_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:[.,][0-9]{1,12})?", re.ASCII)
# Rows of plain numbers only, by what parts the columns. A comma is never both mark and border in one pattern: there is
# one way to read a text, and looking for it takes no longer than the text is.
_PLAIN = {border: re.compile(rf"{one}(?:{border}{one})*", re.ASCII) for border, one in (
    (",", r"-?[0-9]+(?:\.[0-9]+)?"), (";", r"-?[0-9]+(?:[.,][0-9]+)?"), ("\t", r"-?[0-9]+(?:[.,][0-9]+)?"))}
_WANTED = N_("a column time_s, time_min or time, and a column temp_c or temp_f for each sensor, such as temp_c or "
             "temp_c_seat: the unit is part of the name")


@dataclass(frozen=True)
class SensorDose:
    """What one sensor of a trace amounts to; ``sensor`` is the name of its column."""

    sensor: str
    found: HeatDose


def sensors(path: str) -> tuple[str, ...]:
    """Return the temperature columns of a trace."""
    with open_input(path) as stream:
        return _Header(path, next(numbered_lines(stream), (1, ""))[1] or "").sensors


def read_trace(path: str) -> Iterator[tuple[Array, Array]]:
    """Yield the samples of a trace in pieces: seconds (n,) and temperatures (n, sensors), °C.

    Parameters
    ----------
    path : str
        CSV in UTF-8 with a header; comma, semicolon or tab; a ``,`` may be the decimal mark where it does not part the
        columns. Time in ``time_s`` or ``time_min``, or as dates with a time of day, or times of day, in ``time``.
        Temperature in one or more columns whose names begin with ``temp_c`` or ``temp_f``. Other columns are left
        alone. A trace of any length takes the memory of one piece.

    Raises
    ------
    RowFault, Faults
        A missing column; at the end of the file, all rows at once: cells that are no number, temperatures that no
        sensor reads, and times that do not rise (a logger that was reset, or two traces in one file).
    """
    reading = _Reading(path)
    with open_input(path) as stream:
        lines = numbered_lines(stream)
        header = _Header(path, next(lines, (1, ""))[1] or "")
        yield from reading.pieces(header, lines)
    if len(reading.faults):
        found = list(reading.faults)
        raise found[0] if len(found) == 1 and not reading.faults.not_kept else Faults([*found])


def trace_doses(path: str, counted: Dose, logging: Logging | None = None, *,
                sure_of_unit: bool = False) -> tuple[SensorDose, ...]:
    """Return the dose of each sensor of a trace, the least first: the least is what the load got.

    Parameters
    ----------
    path : str
        CSV as for :func:`read_trace`, or TOML as for :func:`tersum.records.trace_toml.read_trace_toml`.
    counted, logging
        As for :func:`tersum.lethality.heat_trace.heat_dose`.
    sure_of_unit : bool
        True where °C was confirmed; otherwise a trace that looks like °F is asked about.

    Raises
    ------
    RowFault, Faults
        As :func:`read_trace`; fewer than two samples; a trace that looks like °F.
    """
    settings = logging or Logging()
    names: tuple[str, ...]
    pieces: Iterator[tuple[Array, Array]]
    if path.casefold().endswith(".toml"):
        name, *samples = read_trace_toml(path)
        names, pieces = (name,), iter([(samples[0], samples[1])])
    else:
        names, pieces = sensors(path), read_trace(path)
    running = [TraceDose(counted, settings) for _ in names]
    for seconds, temps in pieces:
        for place, one in enumerate(running):
            one.add(seconds, np.ascontiguousarray(temps[:, place]))
    faults: list[TersumError] = []
    for name, one in zip(names, running, strict=True):
        if one.samples < 2:
            raise RowFault(path, refusal("too-few-samples", N_("the trace has {value} samples; accepted: {accepted}."),
                                         "", one.samples, N_("two or more")))
        if name.startswith("temp_c") and not sure_of_unit and looks_like_fahrenheit(
                one.coolest_c, one.hottest_c, cap_c=settings.cap_c):
            faults.append(RowFault(path, refusal(
                "fahrenheit", N_("it reads {low} to {high}, never cool and hotter than water boils: is it in °F? "
                                 "Accepted: {accepted}."), name, f"{one.hottest_c:g}",
                N_("a column named temp_f, or °C confirmed"), low=f"{one.coolest_c:g}", high=f"{one.hottest_c:g}"),
                column=name))
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(faults)
    found = [SensorDose(name, one.result()) for name, one in zip(names, running, strict=True)]
    return tuple(sorted(found, key=lambda one: one.found.dose))


class _Header:
    """Which column is the time and which are temperatures."""

    def __init__(self, path: str, line: str):
        text = line.removeprefix("\ufeff")
        self.delimiter = max(DELIMITERS, key=text.count)
        names = [name.strip().casefold() for name in next(csv.reader([text], delimiter=self.delimiter), [])]
        times = [name for name in names if name in TIMES]
        self.sensors = tuple(name for name in names if name.startswith(UNITS))
        twice = len(set(self.sensors)) < len(self.sensors)
        if len(times) != 1 or not 0 < len(self.sensors) <= MOST_SENSORS or twice:
            raise RowFault(path, refusal("no-trace", N_("the header is not that of a trace: got {value}; accepted: "
                                                        "{accepted}."), "", readable(text[:80]), _WANTED), row=1)
        self.time = times[0]
        self.time_place = names.index(self.time)
        self.places = [names.index(name) for name in self.sensors]
        self.width = len(names)


class _Reading:
    """One pass over a file: pieces while all is well, and every fault."""

    def __init__(self, path: str):
        self.path = path
        self.faults = FaultList()
        self._before = -math.inf
        self._aware: bool | None = None

    def pieces(self, header: _Header, lines: Iterator[tuple[int, str | None]]) -> Iterator[tuple[Array, Array]]:
        while rows := list(islice(lines, PIECE)):
            found = self._plain(header, [text for _row, text in rows]) or self._row_by_row(header, rows)
            if found and not len(self.faults):
                yield found

    def _row_by_row(self, header: _Header, rows: Sequence[tuple[int, str | None]]) -> tuple[Array, Array] | None:
        """Read rows one after the other, noting every fault."""
        samples = [sample for row, text in rows if text is None or text.strip()
                   if (sample := self._sample(header, row, text)) is not None]
        if not samples:
            return None
        return np.array([at for at, _temps in samples]), np.array([temps for _at, temps in samples])

    def _plain(self, header: _Header, texts: Sequence[str | None]) -> tuple[Array, Array] | None:
        """Read rows that hold plain numbers only, all at once; None where any has to be looked at by itself."""
        if header.time == "time":
            return None
        joined = header.delimiter.join(text or "x" for text in texts)
        if _PLAIN[header.delimiter].fullmatch(joined) is None:
            return None
        cells = joined.split(header.delimiter)
        if len(cells) != header.width * len(texts) or any(
                (text or "").count(header.delimiter) != header.width - 1 for text in texts):
            return None
        try:
            table = np.array([cell.replace(",", ".") for cell in cells] if header.delimiter != "," else cells,
                             dtype=float).reshape(len(texts), header.width)
        except ValueError:
            return None
        seconds = table[:, header.time_place] * (60.0 if header.time == "time_min" else 1.0)
        temps = table[:, header.places]
        fahrenheit = np.array([name.startswith("temp_f") for name in header.sensors])
        temps[:, fahrenheit] = (temps[:, fahrenheit] - 32.0) / 1.8
        rising = seconds[0] > self._before and bool((np.diff(seconds) > 0.0).all())
        if not rising or temps.min() < COLDEST_C or temps.max() > HOTTEST_C:
            return None
        self._before = float(seconds[-1])
        return seconds, temps

    def _sample(self, header: _Header, row: int, text: str | None) -> tuple[float, list[float]] | None:
        cells = [] if text is None else text.split(header.delimiter)
        if text is None or '"' in text:
            cells = next(csv.reader([text or ""], delimiter=header.delimiter), [])
        if len(cells) != header.width:
            self._fault(row, None, refusal("ragged-row", N_("the row has {value} cells; accepted: {accepted}."), "",
                                           len(cells), N_("{width} cells, as many as the header"), width=header.width))
            return None
        at = self._read(row, header.time, cells[header.time_place], self._seconds_of(header.time))
        temps = [self._read(row, name, cells[place], _fahrenheit if name.startswith("temp_f") else _celsius)
                 for name, place in zip(header.sensors, header.places, strict=True)]
        if at is not None and at <= self._before:
            self._fault(row, header.time, refusal(
                "time-not-rising", N_("{field} does not come after the time before it: got {value}; accepted: "
                                      "{accepted}."), header.time, cells[header.time_place].strip(),
                N_("times that rise: was the logger reset, or do two traces follow?")))
        if at is not None:
            self._before = at
        kept = [one for one in temps if one is not None]
        return (at, kept) if at is not None and len(kept) == len(temps) else None

    def _read(self, row: int, column: str, text: str, read: Callable[[str, str], float]) -> float | None:
        try:
            return read(column, text.strip())
        except TersumError as fault:
            self._fault(row, column, fault)
            return None

    def _seconds_of(self, column: str) -> Callable[[str, str], float]:
        if column == "time":
            return self._clock
        return _minutes if column == "time_min" else _number

    def _clock(self, column: str, text: str) -> float:
        try:
            if len(text) < 10:
                of_day = time.fromisoformat(text)
                return of_day.hour * 3600.0 + of_day.minute * 60.0 + of_day.second + of_day.microsecond / 1e6
            moment = datetime.fromisoformat(text)
        except ValueError:
            raise refusal("not-a-time", N_("{field} is no time: got {value}; accepted: {accepted}."), column, text,
                          N_("2026-03-01T10:15:30, 2026-03-01 10:15:30+01:00 or 10:15:30")) from None
        aware = moment.tzinfo is not None
        if self._aware is None:
            self._aware = aware
        if aware != self._aware:
            raise refusal("not-a-time", N_("{field} has an offset in some rows only: got {value}; accepted: "
                                           "{accepted}."), column, text, N_("an offset in every row, or in none"))
        return (moment if aware else moment.replace(tzinfo=UTC)).timestamp()

    def _fault(self, row: int, column: str | None, cause: TersumError) -> None:
        self.faults.add(RowFault(self.path, cause, row=row, column=column))


def _number(column: str, text: str) -> float:
    """Return a number as a logger writes it: no thousands, so that 80.125 has one reading."""
    if _NUMBER.fullmatch(text) is None:
        raise refusal("not-a-number", N_("{field} is no number: got {value}; accepted: {accepted}."), column,
                      readable(text[:60]), N_("digits with at most one decimal mark, such as 83.25"))
    return float(text.replace(",", "."))


def _minutes(column: str, text: str) -> float:
    return 60.0 * _number(column, text)


def _celsius(column: str, text: str) -> float:
    return _possible(column, text, _number(column, text))


def _fahrenheit(column: str, text: str) -> float:
    return _possible(column, text, (_number(column, text) - 32.0) / 1.8)


def _possible(column: str, text: str, temp_c: float) -> float:
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        raise refusal("no-sensor-reads-it", N_("{field} is nothing a sensor reads: got {value}; accepted: {accepted}."),
                      column, text, N_("-100 to 1000 °C"))
    return temp_c

"""Past readings put in order: one value a visit for a chart, counts a visit, what lay between two visits."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tersum.errors import N_, OutOfRange

AS_FOUND = "as_found"


@dataclass(frozen=True)
class PastReading:
    """One counted reading of an earlier visit; net log10 RLU as bounds, days from any fixed day.

    ``turn`` is the place in the order of wiping, ``limit_log10`` the limit of that point where one was in force.
    """

    visit: str
    day: float
    place: str
    point: str
    stage: str
    low_log10: float
    high_log10: float
    surface: str = ""
    instrument: str = ""
    person: str = ""
    turn: int | None = None
    limit_log10: float | None = None

    @property
    def measured(self) -> bool:
        return self.low_log10 == self.high_log10

    def above_limit(self) -> bool | None:
        """Return whether it lies above its limit; None without a limit, or where the bounds lie on both sides."""
        if self.limit_log10 is None:
            return None
        if self.low_log10 > self.limit_log10:
            return True
        return False if self.high_log10 <= self.limit_log10 else None


@dataclass(frozen=True)
class Stream:
    """One value a visit, in the order of the visits; ``left_out`` visits had none that is a number."""

    name: str
    visits: tuple[str, ...]
    days: tuple[float, ...]
    values: tuple[float, ...]
    by_median: bool
    left_out: int


@dataclass(frozen=True)
class Tally:
    """How many of how many, for one visit, place, point or person."""

    name: str
    failing: int
    looked_at: int


def streams_of(rows: Sequence[PastReading], stage: str) -> tuple[Stream, ...]:
    """Return one stream a surface class and instrument: readings of one visit are no separate news.

    A visit's value is the mean of its log10 readings; where any reading of the stream is an inequality, the median,
    which an inequality beyond it does not move. A visit whose median itself is one is left out and counted.

    Raises
    ------
    OutOfRange
        If no row has that stage.
    """
    chosen = [row for row in rows if row.stage == stage]
    if not chosen:
        raise OutOfRange("stage", stage, N_("one that the table holds: {names}"),
                         names=", ".join(sorted({row.stage for row in rows})))
    named = _grouped(chosen, lambda row: " / ".join(part for part in (row.surface, row.instrument) if part))
    return tuple(_stream(name, group) for name, group in named.items())


def tallies(rows: Sequence[PastReading], key: Callable[[PastReading], str]) -> tuple[Tally, ...]:
    """Return how many readings lie above their limit, in the order in which the names first came.

    A reading without a limit, or whose bounds lie on both sides of it, is not looked at.
    """
    found = []
    for name, group in _grouped(sorted(rows, key=lambda row: row.day), key).items():
        told = [above for above in (row.above_limit() for row in group) if above is not None]
        if told:
            found.append(Tally(name, sum(told), len(told)))
    return tuple(found)


def intervals(rows: Sequence[PastReading]) -> tuple[tuple[str, float, float, float], ...]:
    """Return place, days, level left and level found again, for each visit that followed a cleaned one.

    Levels are means of net log10 readings over the points read both times as numbers.
    """
    found = []
    for place, group in _grouped(rows, lambda row: row.place).items():
        visits = sorted(_grouped(group, lambda row: row.visit).values(), key=lambda visit: visit[0].day)
        for before, after in zip(visits, visits[1:], strict=False):
            left, seen = _levels(before, left=True), _levels(after, left=False)
            both = sorted(set(left) & set(seen))
            days = after[0].day - before[0].day
            if both and days > 0.0:
                found.append((place, days, float(np.mean([left[point] for point in both])),
                              float(np.mean([seen[point] for point in both]))))
    return tuple(found)


def wiping_residuals(rows: Sequence[PastReading], stage: str) -> dict[str, list[float]]:
    """Return for each visit, in the order of wiping, what is left less what that point has at other visits."""
    chosen = [row for row in rows if row.stage == stage and row.turn is not None and row.measured]
    by_point = _grouped(chosen, lambda row: f"{row.place}\n{row.point}")
    found: dict[str, list[float]] = {}
    for visit, group in _grouped(chosen, lambda row: row.visit).items():
        ordered = sorted(group, key=lambda row: row.turn or 0)
        for row in ordered:
            others = [one.low_log10 for one in by_point[f"{row.place}\n{row.point}"] if one.visit != visit]
            if others:
                found.setdefault(visit, []).append(row.low_log10 - float(np.mean(others)))
    return found


def _levels(visit: list[PastReading], *, left: bool) -> dict[str, float]:
    """Return the level of each point: as left by the last stage of a visit, or as found."""
    found: dict[str, float] = {}
    for point, group in _grouped(visit, lambda row: row.point).items():
        stages = {row.stage for row in group} - {AS_FOUND}
        wanted = AS_FOUND if not left else max(stages, default="")  # "treated" after "cleaned", as the work goes
        values = [row.low_log10 for row in group if row.stage == wanted]
        if values and all(row.measured for row in group if row.stage == wanted):
            found[point] = float(np.mean(values))
    return found


def _stream(name: str, rows: list[PastReading]) -> Stream:
    by_median = not all(row.measured for row in rows)
    visits = sorted(_grouped(rows, lambda row: row.visit).items(), key=lambda one: one[1][0].day)
    kept, days, values = [], [], []
    for visit, group in visits:
        fold = np.median if by_median else np.mean
        low, high = (float(fold([getattr(row, end) for row in group])) for end in ("low_log10", "high_log10"))
        if low == high and math.isfinite(low):
            kept.append(visit)
            days.append(group[0].day)
            values.append(low)
    return Stream(name, tuple(kept), tuple(days), tuple(values), by_median, len(visits) - len(kept))


def _grouped(rows: Sequence[PastReading], key: Callable[[PastReading], str]) -> dict[str, list[PastReading]]:
    found: dict[str, list[PastReading]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found

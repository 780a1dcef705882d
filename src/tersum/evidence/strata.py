"""Places and people by stratum: what a funnel compares, after the mix of surfaces and levels as found."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from tersum.arguments import Array
from tersum.errors import N_, OutOfRange
from tersum.evidence.streams import AS_FOUND, PastReading

Mix = tuple[tuple[str, ...], Array, Array]


def place_mix(rows: Sequence[PastReading], stage: str) -> Mix:
    """Return places with readings above the limit and readings looked at, by surface class."""
    return _mix(_stage(rows, stage), lambda row: row.place, lambda row: row.surface)


def people_mix(rows: Sequence[PastReading], stage: str) -> Mix:
    """Return people with the same counts, by surface class and by whether the point was above its limit as found.

    Raises
    ------
    OutOfRange
        If no row names a person, or the mix cannot be taken out: no surface and no reading as found beside it.
    """
    chosen = [row for row in _stage(rows, stage) if row.person]
    if not chosen:
        raise OutOfRange("person", "", N_("a column person that names who did each reading's point"))
    before = {(row.visit, row.point): row.above_limit() for row in rows if row.stage == AS_FOUND}
    if stage == AS_FOUND:
        raise OutOfRange("stage", stage, N_("a stage after cleaning: what was found is nobody's doing"))
    missing = sorted({row.point for row in chosen if not row.surface or before.get((row.visit, row.point)) is None})
    if missing:
        raise OutOfRange("person", len(missing), N_("surface and a reading as_found for every point compared, so that "
                                                    "the mix of work can be taken out; missing for {points}"),
                         points=", ".join(missing[:10]))
    return _mix(chosen, lambda row: row.person, lambda row: f"{row.surface} / {before[row.visit, row.point]}")


def _stage(rows: Sequence[PastReading], stage: str) -> list[PastReading]:
    chosen = [row for row in rows if row.stage == stage]
    told = [row for row in chosen if row.above_limit() is not None]
    if not chosen:
        raise OutOfRange("stage", stage, N_("one that the table holds: {names}"),
                         names=", ".join(sorted({row.stage for row in rows})))
    if not told:
        raise OutOfRange("limit", "", N_("a limit, as an option or in a column, that readings lie above or below"))
    return told


def _mix(rows: Sequence[PastReading], unit: Callable[[PastReading], str],
         stratum: Callable[[PastReading], str]) -> Mix:
    names, strata = (sorted({key(row) for row in rows}) for key in (unit, stratum))
    failing, looked_at = np.zeros((len(names), len(strata))), np.zeros((len(names), len(strata)))
    for row in rows:
        place = names.index(unit(row)), strata.index(stratum(row))
        looked_at[place] += 1.0
        failing[place] += bool(row.above_limit())
    return tuple(names), failing, looked_at

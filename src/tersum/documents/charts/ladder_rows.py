"""The rows of a residue ladder: each point's start, its latest swabs and its interval, worst first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.visit.decision import Decision
from tersum.visit.outcome import ORDER
from tersum.visit.readings import Reading, fault


@dataclass(frozen=True)
class Level:
    """A number of RLU, or a bound of one: ``=``, ``<=``, ``>=`` or ``between`` (at most ``rlu``, None: unknown)."""

    rlu: float | None
    operator: str = "="


@dataclass(frozen=True)
class LadderRow:
    """One point. ``guard`` is limit over release level: the interval is ``latest / guard`` to ``latest * guard``.

    So the verdict is where the bar's upper end lies: at or left of the limit exactly where the mean is at or below the
    release level.
    """

    point: str
    verdict: str
    latest: Level | None
    as_found: Level | None
    guard: float | None
    limit_rlu: float | None
    swabs_rlu: tuple[float, ...] = ()

    @property
    def upper_rlu(self) -> float:
        """The upper end of the bar, infinity where there is none."""
        if self.latest is None or self.latest.rlu is None or self.latest.operator == ">=":
            return math.inf
        return self.latest.rlu * (self.guard or 1.0)


def ladder_rows(decisions: Sequence[Decision], readings: Sequence[Reading] = ()) -> tuple[LadderRow, ...]:
    """Return the rows of a ladder, worst first; ``readings`` add the single swabs and make "as found" exact."""
    by_point: dict[str, list[Reading]] = {}
    for reading in readings:
        by_point.setdefault(reading.point, []).append(reading)
    rows = [_row(one, by_point.get(one.point, [])) for one in decisions]
    return tuple(sorted(rows, key=lambda row: (ORDER.index(row.verdict), -row.upper_rlu / (row.limit_rlu or 1.0),
                                               row.point)))


def _row(decision: Decision, readings: Sequence[Reading]) -> LadderRow:
    guard = None
    if decision.limit_rlu and decision.release_level_rlu:
        guard = decision.limit_rlu / decision.release_level_rlu
    swabs = tuple(net for one in readings if one.stage == decision.stage and one.round == decision.round
                  and fault(one) is None and one.low_rlu == one.high_rlu and (net := _net(one)) > 0)
    latest = Level(decision.geometric_mean_rlu, decision.mean_operator) if decision.n else None
    return LadderRow(decision.point, decision.verdict, latest, _as_found(decision, readings), guard, decision.limit_rlu,
                     swabs)


def _as_found(decision: Decision, readings: Sequence[Reading]) -> Level | None:
    """Return where the point started: from its reduction, or from a single swab as found where nothing is decided."""
    found = [one for one in readings if one.stage == "as_found" and fault(one) is None]
    reduction, mean = decision.reduction, decision.geometric_mean_rlu
    if reduction is not None and reduction.factor is not None and mean is not None:
        # "At least" may come from either end. Without the readings the start is drawn as a bound, which is never false.
        exact = reduction.operator == "=" or (bool(found) and all(one.low_rlu == one.high_rlu for one in found))
        return Level(mean * reduction.factor, "=" if exact else reduction.operator)
    if len(found) != 1:
        return None
    if found[0].low_rlu == found[0].high_rlu:
        return Level(_net(found[0])) if _net(found[0]) > 0 else None
    return Level(found[0].low_rlu, ">=") if math.isinf(found[0].high_rlu) else Level(found[0].high_rlu, "<=")


def _net(reading: Reading) -> float:
    return reading.low_rlu - (reading.blank_rlu or 0.0)

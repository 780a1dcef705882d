"""The decisions of one visit: every planned point by the plan's rule, its own limit and its own fresh areas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.visit.decision import DONE, Decision
from tersum.visit.outcome import Statement, statement
from tersum.visit.plan import Plan, SamplingPoint, drawn, limit_for, planned_points
from tersum.visit.readings import Reading, uses_a_look
from tersum.visit.rules import decide_point


@dataclass(frozen=True)
class Verdicts:
    """Every planned point in walking order, and what they say together."""

    decisions: tuple[Decision, ...]
    statement: Statement


def verdicts(plan: Plan, seed: bytes | None, readings: Sequence[Reading]) -> Verdicts:
    """Return the decision at every planned point, also at those that were not read.

    Parameters
    ----------
    plan : Plan
        The sealed plan.
    seed : bytes or None
        The draw's seed once it is shown; before that only the fixed points are decided.
    readings : sequence of Reading
        All readings of the visit; those at points outside the plan are passed over.
    """
    by_point: dict[str, list[Reading]] = {}
    for reading in readings:
        by_point.setdefault(reading.point, []).append(reading)
    decisions = tuple(decision_at(plan, point, by_point.get(point.id, ())) for point in planned_points(plan, seed))
    chosen = drawn(plan, seed) if seed is not None else ()
    listed = sum(not point.fixed for point in plan.points)
    return Verdicts(decisions, statement(decisions, plan.terms, drawn=chosen, listed=listed))


def decision_at(plan: Plan, point: SamplingPoint, readings: Sequence[Reading]) -> Decision:
    """Return the decision at one point of a plan on the readings of that point."""
    return decide_point(
        point.id, _on_fresh_areas(plan, point, readings), terms=plan.terms, limit=limit_for(plan, point),
        fresh_area_left=_fresh_area_left(plan, point, readings), planned_duplicate=point.duplicate,
        as_found_planned=point.also_as_found)


def duplicates_missing(plan: Plan, decisions: Sequence[Decision]) -> tuple[str, ...]:
    """Return the points that are done on one swab although two were planned: the pair is lost to the repeatability."""
    planned = {point.id for point in plan.points if point.duplicate}
    return tuple(one.point for one in decisions if one.point in planned and one.verdict == DONE and one.n == 1)


def _fresh_area_left(plan: Plan, point: SamplingPoint, readings: Sequence[Reading]) -> bool | None:
    """Tell whether an adjacent area is left that no swab of this round has touched; cleaning makes all fresh again."""
    if point.fresh_areas is None:
        return None
    last = max((one.round for one in readings if one.stage == plan.terms.stage), default=1)
    return sum(one.round == last for one in _touched(plan, readings)) < point.fresh_areas


def _on_fresh_areas(plan: Plan, point: SamplingPoint, readings: Sequence[Reading]) -> Sequence[Reading]:
    """Return the readings with those of a round marked that had no fresh area left: a swab lifts what it reads."""
    if point.fresh_areas is None:
        return readings
    met: dict[int, int] = {}
    beyond = set()
    for one in _touched(plan, readings):
        met[one.round] = met.get(one.round, 0) + 1
        if met[one.round] > point.fresh_areas:
            beyond.add(id(one))
    return [replace(one, fresh_area=False) if id(one) in beyond else one for one in readings]


def _touched(plan: Plan, readings: Sequence[Reading]) -> list[Reading]:
    """Return the readings at the deciding stage whose swab touched the surface, in order: a "no" before it was opened
    touches nothing."""
    return sorted((one for one in readings if one.stage == plan.terms.stage and uses_a_look(one)),
                  key=lambda one: (one.round, one.swab, one.row))

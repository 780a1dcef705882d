"""The walk through a visit: every planned point in walking order with its readings, its decision and its next swab."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tersum.visit.carried_out import Work
from tersum.visit.decision import Decision
from tersum.visit.next_swab import AS_FOUND, NextSwab, cleaning_is_over, next_swab
from tersum.visit.plan import Plan, SamplingPoint, planned_points
from tersum.visit.readings import Reading
from tersum.visit.verdicts import decision_at

SWAB = "swab"
SHOW_DRAW = "show-draw"
END = "end"


@dataclass(frozen=True)
class Standing:
    """Where one point stands; ``place`` is its number in the plan, from 1, also where not every point is read."""

    place: int
    point: SamplingPoint
    readings: tuple[Reading, ...]
    decision: Decision
    next: NextSwab | None


@dataclass(frozen=True)
class Task:
    """What to do next at a visit: ``swab`` at a place, ``show-draw`` once the cleaning is over, or ``end``."""

    kind: str
    place: int | None = None


@dataclass(frozen=True)
class Walk:
    """All points to be read, in walking order, and what to do next."""

    standings: tuple[Standing, ...]
    cleaning_over: bool
    task: Task

    @property
    def decisions(self) -> tuple[Decision, ...]:
        """The decision at every point, in walking order."""
        return tuple(one.decision for one in self.standings)

    def at(self, place: int) -> Standing | None:
        """Return the standing of the point with this number in the plan; None where it is not to be read."""
        return next((one for one in self.standings if one.place == place), None)

    def after(self, place: int) -> Standing | None:
        """Return the point with something to do that a person comes to next from a place, going round once."""
        waiting = [one for one in self.standings if one.next is not None and one.place != place]
        return next((one for one in waiting if one.place > place), waiting[0] if waiting else None)


StandingAt = Callable[[int, tuple[Reading, ...], bool], Standing]


def standing_at(plan: Plan, place: int, readings: tuple[Reading, ...], cleaning_over: bool) -> Standing:
    """Return where the point with this number in the plan stands on its own readings."""
    point = plan.points[place - 1]
    decision = decision_at(plan, point, readings)
    return Standing(place, point, readings, decision,
                    next_swab(plan, point, readings, decision, cleaning_over=cleaning_over))


def walk(plan: Plan, seed: bytes | None, readings: Sequence[Reading], work: Sequence[Work] = (), *,
         standing: StandingAt | None = None) -> Walk:
    """Return where a visit stands.

    Parameters
    ----------
    plan : Plan
        The sealed plan.
    seed : bytes or None
        The draw's seed once it is shown.
    readings : sequence of Reading
        All readings on record, those taken back left out.
    work : sequence of Work
        The steps carried out so far.
    standing : callable, optional
        :func:`standing_at` for this plan; one that remembers saves deciding again where nothing is new.
    """
    over = cleaning_is_over(plan, seed, readings, work)
    by_point: dict[str, list[Reading]] = {}
    for reading in readings:
        by_point.setdefault(reading.point, []).append(reading)
    chosen = {point.id for point in planned_points(plan, seed)}
    standings = [
        standing(place, tuple(by_point.get(point.id, ())), over) if standing is not None
        else standing_at(plan, place, tuple(by_point.get(point.id, ())), over)
        for place, point in enumerate(plan.points, start=1) if point.id in chosen]
    return Walk(tuple(standings), over, _task(plan, standings, over))


def _task(plan: Plan, standings: Sequence[Standing], cleaning_over: bool) -> Task:
    """Return what comes first: what can only be read as found, then the draw, then the points in walking order."""
    waiting = [one for one in standings if one.next is not None]
    found = [one for one in waiting if one.next is not None and one.next.swab.stage == AS_FOUND]
    if found:
        return Task(SWAB, found[0].place)
    if plan.drawn_points and not cleaning_over:
        return Task(SHOW_DRAW)
    return Task(SWAB, waiting[0].place) if waiting else Task(END)

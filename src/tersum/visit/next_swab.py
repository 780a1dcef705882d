"""Which swab to take next at a point, worked out from what is on record, so that nobody types stage, round or swab."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.visit.carried_out import Work
from tersum.visit.decision import CLEAN_AGAIN, DONE, NO_LIMIT_YET, NOT_COUNTED, NOT_READ, SWAB_AGAIN, Decision
from tersum.visit.plan import Plan, SamplingPoint
from tersum.visit.readings import Reading, fault, uses_a_look

AS_FOUND = "as_found"
FAR_FACTOR = 10.0  # a number this many times the last one, or one such part of it, is asked about once


@dataclass(frozen=True)
class Swab:
    """One swab by its place in the record of a point."""

    stage: str
    round: int
    number: int

    def __str__(self) -> str:
        return f"{self.stage}.{self.round}.{self.number}"


@dataclass(frozen=True)
class NextSwab:
    """The swab to take next at a point.

    ``why`` is ``as-found``, ``first``, ``duplicate`` (a second swab that was planned), ``again`` (another look or a
    swab in the place of one not counted) or ``cleaned-again``. ``instead`` is the swab to take if the point has been
    cleaned in the meantime, where that is not what ``swab`` is; None where it is no choice.
    """

    swab: Swab
    why: str
    instead: Swab | None = None


def cleaning_is_over(plan: Plan, seed: bytes | None, readings: Sequence[Reading], work: Sequence[Work] = ()) -> bool:
    """Tell whether the cleaning is over, after which no point can be read as found any more.

    Where points are drawn, showing the draw says so. Where none are, the first reading at the deciding stage does, or
    any step on record.
    """
    if plan.drawn_points:
        return seed is not None
    return bool(work) or any(one.stage != AS_FOUND for one in readings)


def may_show_draw(plan: Plan, readings: Sequence[Reading], work: Sequence[Work]) -> bool:
    """Tell whether anything says that the cleaning is past, so that knowing the drawn points cannot steer it.

    A step carried out says so, or a reading at the deciding stage. A plan without steps has nothing to record.
    """
    return not plan.steps or bool(work) or any(one.stage != AS_FOUND for one in readings)


def next_swab(plan: Plan, point: SamplingPoint, readings: Sequence[Reading], decision: Decision, *,
              cleaning_over: bool) -> NextSwab | None:
    """Return the swab to take next at a point, or None where none is to be taken now.

    Parameters
    ----------
    plan : Plan
        The sealed plan.
    point : SamplingPoint
        One of its points to be read.
    readings : sequence of Reading
        The readings of this point that are on record, those taken back left out.
    decision : Decision
        The decision at this point on these readings.
    cleaning_over : bool
        As :func:`cleaning_is_over` tells.
    """
    stage = plan.terms.stage
    deciding = [one for one in readings if one.stage == stage]
    as_found = [one for one in readings if one.stage == AS_FOUND]
    if not cleaning_over:
        if point.also_as_found and not deciding and all(fault(one) for one in as_found):
            return NextSwab(_after(as_found, AS_FOUND, 1), AS_FOUND.replace("_", "-"),
                            None if plan.drawn_points else Swab(stage, 1, 1))
        if plan.drawn_points:
            return None
    if not deciding:
        return NextSwab(Swab(stage, 1, 1), "first") if decision.verdict == NOT_READ else None
    return _further(plan, point, deciding, decision)


def far_from_last(low_rlu: float, high_rlu: float, last_rlu: float | None, *, cleaned_since: bool) -> bool:
    """Tell whether a number is ten times the last one here, or a tenth of it, and so worth asking about once.

    A fall is what cleaning is for: after one, only a rise is asked about. Bounds are not asked about.
    """
    if last_rlu is None or last_rlu <= 0.0 or low_rlu != high_rlu:
        return False
    return low_rlu >= FAR_FACTOR * last_rlu or (not cleaned_since and low_rlu * FAR_FACTOR <= last_rlu)


def last_here(readings: Sequence[Reading]) -> Reading | None:
    """Return the newest counted reading of a point that is a plain number, or None."""
    plain = [one for one in readings if fault(one) is None and one.low_rlu == one.high_rlu]
    return max(plain, key=lambda one: (one.stage != AS_FOUND, one.round, one.swab), default=None)


def _further(plan: Plan, point: SamplingPoint, deciding: Sequence[Reading], decision: Decision) -> NextSwab | None:
    first, last = min(one.round for one in deciding), max(one.round for one in deciding)
    again = _after([one for one in deciding if one.round == last], plan.terms.stage, last)
    cleaned = Swab(plan.terms.stage, last + 1, 1)
    may_clean = last - first < plan.terms.clean_agains
    if last == first and _duplicate_is_missing(point, deciding, decision):
        return NextSwab(again, "duplicate", cleaned if decision.verdict == CLEAN_AGAIN else None)
    if decision.verdict in (SWAB_AGAIN, NOT_COUNTED):
        return NextSwab(again, "again", cleaned if may_clean else None)
    return NextSwab(cleaned, "cleaned-again") if decision.verdict == CLEAN_AGAIN else None


def _duplicate_is_missing(point: SamplingPoint, deciding: Sequence[Reading], decision: Decision) -> bool:
    """Tell whether the planned second swab of a point is still to be taken; it decides together with the first."""
    if not point.duplicate or decision.verdict not in (DONE, NO_LIMIT_YET, CLEAN_AGAIN):
        return False
    return sum(map(uses_a_look, deciding)) < 2 and (point.fresh_areas is None or len(deciding) < point.fresh_areas)


def _after(readings: Sequence[Reading], stage: str, round_: int) -> Swab:
    return Swab(stage, round_, max((one.swab for one in readings), default=0) + 1)

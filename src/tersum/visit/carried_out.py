"""Whether disinfection was carried out as planned: strength made, use-by, time observed wet, order of steps."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from tersum.errors import N_
from tersum.fields import Fields
from tersum.lethality.wet_time import CANNOT_TELL, MET, NOT_MET
from tersum.visit.contact import NOT_RECORDED as NOT_SEEN
from tersum.visit.contact import StepContact, WetMark, step_contact
from tersum.visit.decision import Reason
from tersum.visit.heat_step import HeatOnRecord, TraceAsked, heat_met, trace_from
from tersum.visit.kept_apart import unrinsed
from tersum.visit.ph_seen import PhSeen, ph_from
from tersum.visit.plan import Plan
from tersum.visit.steps import Step

AS_PLANNED = "as-planned"
NOT_AS_PLANNED = "not-as-planned"
NOT_RECORDED = "not-recorded"
NONE_PLANNED = "none-planned"
T = TypeVar("T")


@dataclass(frozen=True)
class Work:
    """One step as it was carried out; None where something was not recorded."""

    step: str
    started: datetime
    finished: datetime
    concentrate_ml: float | None = None
    water_ml: float | None = None
    mixed_at: datetime | None = None
    lot: str | None = None
    cloth: str | None = None
    surface_c: float | None = None
    wet: tuple[WetMark, ...] = ()
    ph: PhSeen | None = None
    trace: TraceAsked | None = None  # as the file names it; what it amounts to is ``heat``
    heat: HeatOnRecord | None = None


@dataclass(frozen=True)
class SolutionNeeds:
    """What the solution of a step must be: fraction of concentrate by volume, and hours it may be used."""

    planned_frac: float
    least_frac: float
    most_frac: float
    use_by_h: float | None


@dataclass(frozen=True)
class Shortfall:
    """One way in which a step was not carried out as planned."""

    step: str
    reason: Reason


@dataclass(frozen=True)
class CarriedOut:
    """The second answer of a visit. No reading enters it, and it says nothing about organisms."""

    answer: str
    shortfalls: tuple[Shortfall, ...]


def work_from(table: Mapping[str, object]) -> tuple[Work, ...]:
    """Return the ``carried_out`` tables of a visit file; raise :class:`Faults` with everything wrong in them."""
    fields = Fields(table)
    work = tuple(_work(one) for one in fields.tables("carried_out"))
    fields.finish()
    return work


def contacts(plan: Plan, work: Sequence[Work]) -> tuple[StepContact, ...]:
    """Return the contact time of every step that has one and was carried out, met or not; the last time counts."""
    last = {one.step: one for one in sorted(work, key=lambda one: one.started)}
    return tuple(_contact(plan, step, last[step.id]) for step in plan.steps if step.contact_min and step.id in last)


def _contact(plan: Plan, step: Step, work: Work) -> StepContact:
    return step_contact(step.id, step.contact_min, work.wet, work.started, work.finished, watched=plan.wet_rule == 1)


def carried_out(plan: Plan, work: Sequence[Work], needs: Mapping[str, SolutionNeeds]) -> CarriedOut:
    """Return whether the planned disinfection was carried out, and what failed if not.

    Parameters
    ----------
    plan : Plan
        The sealed plan with its steps in order.
    work : sequence of Work
        What was recorded, in any order; a step may have been carried out more than once, the last one counts.
    needs : mapping of step id to SolutionNeeds
        For each step with a solution, what that solution must be.
    """
    if not any(step.kind in ("disinfect", "steam") for step in plan.steps):
        return CarriedOut(NONE_PLANNED, ())
    if not work:
        return CarriedOut(NOT_RECORDED, ())
    last = {one.step: one for one in sorted(work, key=lambda one: one.started)}
    shortfalls = [Shortfall(step.id, reason) for step in plan.steps
                  for reason in _of_step(plan, step, last.get(step.id), needs.get(step.id))]
    known = {step.id for step in plan.steps}
    shortfalls += [Shortfall(one.step, Reason("step-not-in-the-plan")) for one in work if one.step not in known]
    shortfalls += _out_of_order(plan, last)
    shortfalls += _met(plan, last)
    return CarriedOut(NOT_AS_PLANNED if shortfalls else AS_PLANNED, tuple(shortfalls))


def _of_step(plan: Plan, step: Step, work: Work | None, needs: SolutionNeeds | None) -> list[Reason]:
    if work is None:
        return [Reason("step-not-carried-out")]
    reasons = _solution(work, needs) if needs is not None else []
    if needs is None and step.kind == "disinfect":
        reasons.append(Reason("strength-cannot-be-checked"))
    if step.contact_min > 0:
        reasons += _wet(_contact(plan, step, work))
    if step.a0 is not None:
        reasons += _heat(step.a0, work.heat)
    return reasons


def _wet(found: StepContact) -> list[Reason]:
    low, high, asked = found.low_min, found.high_min, {"contact_min": found.asked_min}
    if found.answer == NOT_SEEN or low is None or high is None:
        return [Reason("wet-time-not-recorded", asked)]
    if found.answer == NOT_MET:
        return [Reason("wet-too-short", {"wet_min": round(high, 2), **asked})]
    if found.answer == CANNOT_TELL:
        return [Reason("dried-unseen", {"low_min": round(low, 2), "high_min": round(high, 2), **asked})]
    return []


def _heat(wanted: float, heat: HeatOnRecord | None) -> list[Reason]:
    if heat is None:
        return [Reason("heat-not-recorded", {"wanted": wanted})]
    answer = heat_met(wanted, heat)
    if answer == MET:
        return []
    return [Reason("heat-too-low" if answer == NOT_MET else "heat-cannot-tell", {"a0": heat.a0, "wanted": wanted})]


def _solution(work: Work, needs: SolutionNeeds) -> list[Reason]:
    reasons = []
    if work.concentrate_ml is None or work.water_ml is None:
        reasons.append(Reason("strength-not-recorded"))
    else:
        made = work.concentrate_ml / (work.concentrate_ml + work.water_ml)
        if not needs.least_frac <= made <= needs.most_frac:
            code = "too-weak" if made < needs.least_frac else "too-strong"
            shown = {"made_pct": made, "least_pct": needs.least_frac, "most_pct": needs.most_frac}
            reasons.append(Reason(code, {name: round(100.0 * frac, 3) for name, frac in shown.items()}))
    if needs.use_by_h is not None:
        if work.mixed_at is None:
            reasons.append(Reason("mixing-time-not-recorded", {"use_by_h": needs.use_by_h}))
        elif work.mixed_at > work.finished:
            reasons.append(Reason("mixed-after-use"))
        elif (age_h := _minutes(work.mixed_at, work.finished) / 60.0) > needs.use_by_h:
            reasons.append(Reason("past-its-use-by", {"age_h": round(age_h, 2), "use_by_h": needs.use_by_h}))
    return reasons


def _out_of_order(plan: Plan, last: Mapping[str, Work]) -> list[Shortfall]:
    done = [(step.id, last[step.id]) for step in plan.steps if step.id in last]
    return [Shortfall(later, Reason("out-of-order", {"before": earlier}))
            for (earlier, one), (later, two) in zip(done, done[1:], strict=False) if two.started < one.started]


def _met(plan: Plan, last: Mapping[str, Work]) -> list[Shortfall]:
    """Return what met although it was planned apart, since no rinsing between is on record."""
    done = sorted((step for step in plan.steps if step.id in last), key=lambda step: last[step.id].started)
    return [Shortfall(one.second, Reason("met-without-rinsing", {"first": one.first, "setting": one.setting}))
            for one in unrinsed(done, plan.kept_apart)]


def _work(fields: Fields) -> Work:
    started, finished = _moment(fields, "started"), _moment(fields, "finished")
    if started and finished and finished < started:
        fields.refuse("finished", finished.isoformat(), N_("a time not before started"))
    work = Work(
        fields.text("step", most=60), started or datetime.min, finished or datetime.min,
        fields.optional_number("concentrate_ml", above=0.0), fields.optional_number("water_ml", least=0.0),
        _moment(fields, "mixed_at", required=False), fields.optional_text("lot"), fields.optional_text("cloth"),
        fields.optional_number("surface_c", above=-60.0, most=200.0),
        tuple(_mark(one) for one in fields.tables("wet")), _table(fields, "ph", ph_from),
        _table(fields, "trace", trace_from))
    fields.close()
    return work


def _table(fields: Fields, key: str, read: Callable[[Fields], T]) -> T | None:
    value = fields.raw(key)
    return None if value is None else read(Fields(value, f"{fields.place}: {key}", fields.faults))


def _mark(fields: Fields) -> WetMark:
    mark = WetMark(_moment(fields, "at") or datetime.min, fields.text("surface", choices=("wet", "dry")))
    fields.close()
    return mark


def _moment(fields: Fields, key: str, *, required: bool = True) -> datetime | None:
    value = fields.raw(key)
    if isinstance(value, datetime) and value.tzinfo is not None:
        return value
    if value is not None or required:
        fields.refuse(key, "nothing" if value is None else str(value),
                      N_("date and time with their offset, as 2026-03-02T10:02:00+01:00"))
    return None


def _minutes(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 60.0

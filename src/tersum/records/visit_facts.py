"""A visit as facts and back: what each fact holds of plan, readings, work and decisions, and how it is read again."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import fields as fields_of
from datetime import datetime
from typing import Any, TypeVar

import cattrs

from tersum.records.canonical import plain
from tersum.records.when import utc_text
from tersum.visit.carried_out import SolutionNeeds, Work
from tersum.visit.contact import WetMark
from tersum.visit.decision import Terms
from tersum.visit.heat_step import HeatOnRecord
from tersum.visit.ph_seen import PhSeen
from tersum.visit.place_water import PlaceWater
from tersum.visit.plan import Instrument, Limit, Plan, SamplingPoint
from tersum.visit.readings import Reading
from tersum.visit.steps import Step

T = TypeVar("T")
_READER = cattrs.Converter()
_READER.register_structure_hook(float, lambda value, _: math.inf if value is None else float(value))
# A field that may be absent stays absent; only a plain float reads None as "no upper bound".
_READER.register_structure_hook(float | None, lambda value, _: None if value is None else float(value))
_NOT_IN_A_ROW = ("person", "note", "void_approved_by")
# What the first version of a planned step held; what came later goes into its details, and only where it is stated.
_FIRST_OF_A_STEP = ("id", "kind", "what", "product", "ratio", "volume_ml", "contact_min", "work_min")


def plan_data(plan: Plan, *, visit_id: str, draw_commitment: str | None,
              needs: Mapping[str, SolutionNeeds], catalogue: Sequence[Mapping[str, object]] = (),
              seed_kept_by: str | None = None) -> dict[str, Any]:
    """Return the data of a ``visit-planned`` fact.

    Parameters
    ----------
    plan : Plan
        The whole plan.
    visit_id : str
        UUID of the visit.
    draw_commitment : str or None
        The commitment to the draw's seed; None where nothing is drawn.
    needs : mapping
        What the solution of each step must be, by step id.
    catalogue : sequence of mappings
        Every catalogue value the plan used: name, value, unit, source, where, known.
    seed_kept_by : str or None
        The id under which the store keeps the seed until it is shown.
    """
    draw = draw_commitment and {
        "commitment": draw_commitment, "points": plan.drawn_points, "method": "hmac-sha-256",
        "candidates": [point.id for point in plan.points if not point.fixed],
        "details": {"seed_kept_by": seed_kept_by}}
    return {
        "visit_id": visit_id, "visit": plan.visit, "place": {"name": plan.place, "kind": plan.place_kind},
        "points": plain(plan.points), "stages": ["as_found", plan.terms.stage], "terms": plain(plan.terms),
        "limits": plain(plan.limits), "draw": draw or None, "steps": [_step_data(one) for one in plan.steps],
        "catalogue": plain(list(catalogue)), "instrument": plain(plan.instrument), "blanks": plan.blanks,
        "quench_control": plan.quench_control, "invented": plan.invented,
        "details": {"zone": plan.zone, "needs": plain(needs), **_details(plan)}}


def plan_of(data: Mapping[str, Any], organisation: str) -> Plan:
    """Return the plan that a ``visit-planned`` fact holds; the inverse of :func:`plan_data`."""
    return Plan(
        visit=data["visit"], organisation=organisation, place=data["place"]["name"], place_kind=data["place"]["kind"],
        zone=data["details"]["zone"], invented=data["invented"], points=_each(SamplingPoint, data["points"]),
        drawn_points=data["draw"]["points"] if data["draw"] else 0, steps=tuple(_step_of(one) for one in data["steps"]),
        terms=_read(Terms, data["terms"]), instrument=_read(Instrument, data["instrument"]),
        limits=_each(Limit, data["limits"]), blanks=data["blanks"], quench_control=data["quench_control"],
        water=_read(PlaceWater, data["details"]["water"]) if "water" in data["details"] else None,
        wet_rule=data["details"].get("wet_rule", 1),
        kept_apart=tuple((one, two) for one, two in data["details"].get("kept_apart", ())))


def needs_of(data: Mapping[str, Any]) -> dict[str, SolutionNeeds]:
    """Return what the solution of each step must be, as a ``visit-planned`` fact holds it."""
    return {step: _read(SolutionNeeds, one) for step, one in data["details"]["needs"].items()}


def reading_row(reading: Reading, people: Mapping[str, str], note: Mapping[str, object] | None) -> dict[str, Any]:
    """Return one row of a ``readings-taken`` batch: people as ids, the note as a commitment, the rest as read."""
    row = {name: value for name, value in _shallow(reading).items() if name not in _NOT_IN_A_ROW}
    made: dict[str, Any] = plain(row)  # type: ignore[assignment]
    made["person_id"] = people[reading.person] if reading.person else None
    made["void_approved_by"] = people[reading.void_approved_by] if reading.void_approved_by else None
    if note is not None:
        made["note"] = dict(note)
    return made


def reading_of(row: Mapping[str, Any]) -> Reading:
    """Return the reading of a row; people stay ids and the note stays outside."""
    kept = {name: row[name] for name in _names(Reading) if name in row and name != "note"}
    kept["person"] = row.get("person_id")
    return _read(Reading, kept)


def work_data(work: Work, visit_id: str) -> dict[str, Any]:
    """Return the data of a ``step-carried-out`` fact."""
    data: dict[str, Any] = {
        "visit_id": visit_id, "step": work.step, "started_utc": utc_text(work.started),
        "finished_utc": utc_text(work.finished), "concentrate_ml": plain(work.concentrate_ml),
        "water_ml": plain(work.water_ml), "mixed_utc": utc_text(work.mixed_at) if work.mixed_at else None,
        "wet": [{"at_utc": utc_text(mark.at), "surface": mark.surface} for mark in work.wet],
        "surface_temp_c": plain(work.surface_c)}
    later = {name: plain(one) for name, one in (("ph", work.ph), ("heat", work.heat)) if one is not None}
    told = {"lot": work.lot, "cloth": work.cloth, "details": later}
    return data | {name: value for name, value in told.items() if value}


def work_of(data: Mapping[str, Any]) -> Work:
    """Return the work that a ``step-carried-out`` fact holds; the inverse of :func:`work_data`."""
    return Work(
        data["step"], _moment(data["started_utc"]), _moment(data["finished_utc"]),
        _number(data["concentrate_ml"]), _number(data["water_ml"]),
        _moment(data["mixed_utc"]) if data["mixed_utc"] else None, data.get("lot"), data.get("cloth"),
        _number(data["surface_temp_c"]),
        tuple(WetMark(_moment(mark["at_utc"]), mark["surface"]) for mark in data["wet"]),
        ph=_later(PhSeen, data, "ph"), heat=_later(HeatOnRecord, data, "heat"))


def _step_data(step: Step) -> dict[str, Any]:
    data: dict[str, Any] = plain(step)  # type: ignore[assignment]
    later = {name: value for name, value in data.items()
             if name not in _FIRST_OF_A_STEP and value not in (None, "", [])}
    return {name: data[name] for name in _FIRST_OF_A_STEP} | ({"details": later} if later else {})


def _step_of(data: Mapping[str, Any]) -> Step:
    return _read(Step, {**data, **data.get("details", {})})


def _details(plan: Plan) -> dict[str, Any]:
    """Return what a plan states beyond its first version; a plan of the first version states none of it."""
    found: dict[str, Any] = {} if plan.wet_rule == 1 else {"wet_rule": plan.wet_rule}
    told = {"water": plan.water, "kept_apart": plan.kept_apart}
    return found | {name: plain(value) for name, value in told.items() if value}


def _each(kind: type[T], values: Sequence[Any]) -> tuple[T, ...]:
    return tuple(_read(kind, value) for value in values)


def _read(kind: type[T], value: Any) -> T:
    return _READER.structure(value, kind)


def _later(kind: type[T], data: Mapping[str, Any], name: str) -> T | None:
    held = data.get("details", {}).get(name)
    return None if held is None else _read(kind, held)


def _names(kind: Any) -> list[str]:
    return [one.name for one in fields_of(kind)]


def _shallow(value: Any) -> dict[str, Any]:
    return {name: getattr(value, name) for name in _names(value)}


def _number(text: str | None) -> float | None:
    return None if text is None else float(text)


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)

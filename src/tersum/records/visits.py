"""One visit on record: plan first, then draw, work, readings, decision and ending, each once however often sent."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tersum.errors import N_, Faults, TersumError
from tersum.records.canonical import plain
from tersum.records.effective import Effective
from tersum.records.facts import Entry, Fact
from tersum.records.store import Store
from tersum.records.trouble import Conflict
from tersum.records.visit_facts import needs_of, plan_data, plan_of, reading_of, reading_row, work_data, work_of
from tersum.visit.carried_out import CarriedOut, SolutionNeeds, Work, carried_out
from tersum.visit.outcome import OPEN, Ending
from tersum.visit.plan import Plan, commitment, drawn
from tersum.visit.readings import Reading
from tersum.visit.verdicts import Verdicts, verdicts

_OWN = ("visit_id", "draw")  # what the store puts into a plan's fact beside the plan itself


@dataclass(frozen=True)
class SealedPlan:
    """A plan on record."""

    fact: Fact
    plan: Plan
    visit_id: str
    newly: bool


@dataclass(frozen=True)
class Kept:
    """All that is on record of one visit, corrections applied."""

    sealed: SealedPlan
    seed: bytes | None
    readings: tuple[Reading, ...]
    work: tuple[Work, ...]
    needs: Mapping[str, SolutionNeeds]
    reading_facts: tuple[str, ...]
    work_facts: tuple[str, ...]


def seal_plan(store: Store, plan: Plan, *, seed: bytes | None, needs: Mapping[str, SolutionNeeds],
              catalogue: Sequence[Mapping[str, object]] = ()) -> SealedPlan:
    """Put a plan on record before any cleaning; the same plan sent again is the one on record.

    Parameters
    ----------
    seed : bytes or None
        The draw's seed, 32 bytes; kept out of the facts until it is shown. None where nothing is drawn.
    needs : mapping
        What the solution of each step must be, by step id.
    catalogue : sequence of mappings
        Every catalogue value the plan used.

    Raises
    ------
    Conflict
        If another plan of this visit is on record: a sealed plan is not changed, a changed one is another visit.
    """
    earlier = find_plan(store, plan)
    if earlier is not None:
        # A plan stays under the readings that it was sealed with.
        plan = replace(plan, wet_rule=earlier.plan.wet_rule, kept_apart=earlier.plan.kept_apart)
    data = plan_data(plan, visit_id="", draw_commitment=None, needs=needs, catalogue=catalogue)
    if earlier is not None:
        was = {name: value for name, value in earlier.fact.data.items() if name not in _OWN}
        same_draw = seed is None or (earlier.fact.data["draw"] or {}).get("commitment") == commitment(seed)
        if was != {name: value for name, value in data.items() if name not in _OWN} or not same_draw:
            raise Conflict(N_("The plan of visit {value} is sealed and differs from this one: give the changed plan "
                              "another visit name."), field="visit", value=plan.visit)
        return earlier
    visit_id = store.new_id()
    with store.writing() as writing:
        keeper = seed and writing.remember_subject("draw", {"seed": seed.hex()}, erasable=False)
        data = plan_data(plan, visit_id=visit_id, draw_commitment=commitment(seed) if seed else None, needs=needs,
                         catalogue=catalogue, seed_kept_by=keeper or None)
        fact = writing.append(entry(store, "visit-planned", data))
    return SealedPlan(fact, plan, visit_id, True)


def find_plan(store: Store, plan: Plan) -> SealedPlan | None:
    """Return the plan on record under a visit's name, or None."""
    for row in store.table("visits", visit=plan.visit):
        fact = store.fact(row["fact_id"])
        return SealedPlan(fact, plan_of(fact.data, plan.organisation), fact.data["visit_id"], False)
    return None


def reveal(store: Store, sealed: SealedPlan, *, operation_id: str | None = None) -> bytes | None:
    """Show the draw after the cleaning: put its seed on record, once; None where nothing was drawn."""
    draw = sealed.fact.data["draw"]
    if not draw:
        return None
    with store.writing() as writing:
        for fact in store.facts(type="draw-revealed", visit_id=sealed.visit_id):
            return bytes.fromhex(fact.data["seed"])
        text = store.personal_value(draw["details"]["seed_kept_by"], "seed")
        if text is None or commitment(bytes.fromhex(text)) != draw["commitment"]:
            raise Conflict(N_("The draw of visit {value} cannot be shown: its seed is lost or is not the sealed one."),
                           field="visit", value=sealed.plan.visit)
        seed = bytes.fromhex(text)
        writing.append(entry(store, "draw-revealed", {"visit_id": sealed.visit_id, "seed": text,
                                                      "drawn": list(drawn(sealed.plan, seed))},
                             operation_id=operation_id))
    return seed


def record_work(store: Store, sealed: SealedPlan, work: Sequence[Work]) -> int:
    """Put the steps carried out on record; those already there are left. Returns how many were new.

    Raises
    ------
    Faults
        Every step that is on record with the same start and other figures: it takes a correction, not another file.
    """
    known = [fact.data for fact in store.facts(type="step-carried-out", visit_id=sealed.visit_id)]
    started = {(data["step"], data["started_utc"]) for data in known}
    fresh = [data for data in (work_data(one, sealed.visit_id) for one in work) if data not in known]
    faults: list[TersumError] = [
        Conflict(N_("step {value} is on record with the same start and other figures; accepted: a correction, not "
                    "another file."), field="carried_out", value=data["step"])
        for data in fresh if (data["step"], data["started_utc"]) in started]
    if faults:
        raise Faults(faults)
    store.append_all([entry(store, "step-carried-out", data) for data in fresh])
    return len(fresh)


def take_readings(store: Store, sealed: SealedPlan, readings: Sequence[Reading], *, file_sha256: str) -> int:
    """Put the readings of a file on record as one batch; those already there are left.

    Returns
    -------
    int
        How many were new.

    Raises
    ------
    Faults
        Every reading that is on record with another value: it takes a correction, not another file.
    """
    known = {_key(row): row for fact in store.facts(type="readings-taken", visit_id=sealed.visit_id)
             for row in (fact.row(place) for place in range(len(fact.rows)))}
    faults: list[TersumError] = []
    with store.writing() as writing:
        people = {name: writing.person(name) for reading in readings
                  for name in (reading.person, reading.void_approved_by) if name}
        rows = []
        for reading in readings:
            row = reading_row(reading, people, None)
            was = known.get(_key(row))
            if was is None:
                if reading.note:
                    subject = writing.remember_subject("note", {"note": reading.note})
                    row["note"] = writing.commitment(subject, "note")
                rows.append(row)
            elif _value(was) != _value(row):
                faults.append(Conflict(
                    N_("{field}: on record with {was}, in the file {value}; accepted: a correction, not another file."),
                    field=" / ".join(map(str, _key(row))), value=reading.raw, was=was["raw"]))
        if faults:
            raise Faults(faults)
        if rows:
            data = {"visit_id": sealed.visit_id, "origin": "file", "file_sha256": file_sha256,
                    "instrument": sealed.plan.instrument.type}
            writing.append(entry(store, "readings-taken", data, rows))
    return len(rows)


def kept(store: Store, sealed: SealedPlan) -> Kept:
    """Return all that is on record of a visit, corrections applied."""
    return kept_from([one for one in store.effective(visit_id=sealed.visit_id).values() if not one.withdrawn], sealed)


def kept_from(facts: Sequence[Effective], sealed: SealedPlan, *,
              readings_of: Callable[[Effective], Sequence[Reading]] | None = None) -> Kept:
    """Return what facts say of a visit; facts that were taken back are not among them.

    ``readings_of`` gives the readings of a batch, where they were read before.
    """
    read = readings_of or (lambda one: [reading_of(row) for row in one.rows])

    def of(kind: str) -> list[Effective]:
        return [one for one in facts if one.fact.type == kind]

    seeds = [bytes.fromhex(one.data["seed"]) for one in of("draw-revealed")]
    return Kept(
        sealed, seeds[0] if seeds else None,
        tuple(reading for one in of("readings-taken") for reading in read(one)),
        tuple(work_of(one.data) for one in of("step-carried-out")), needs_of(sealed.fact.data),
        tuple(one.fact.fact_id for one in of("readings-taken")),
        tuple(one.fact.fact_id for one in of("step-carried-out")))


def decided(visit: Kept) -> tuple[Verdicts, CarriedOut]:
    """Return both answers of a visit from what is on record alone."""
    return (verdicts(visit.sealed.plan, visit.seed, visit.readings),
            carried_out(visit.sealed.plan, visit.work, visit.needs))


def seal_decision(store: Store, visit: Kept, answers: tuple[Verdicts, CarriedOut]) -> Fact:
    """Put both answers on record with what they rest on; the same answers on the same basis are the ones on record."""
    data = decision_data(visit, answers)
    earlier = store.facts(type="visit-decided", visit_id=visit.sealed.visit_id)
    if earlier and earlier[-1].data == data:
        return earlier[-1]
    return store.append(entry(store, "visit-decided", data))


def seal_ending(store: Store, visit: Kept, decision: Fact, ending: Ending) -> Fact | None:
    """Put an ending on record; a visit that is still open has none. The reason's words stay outside the facts."""
    if ending.kind == OPEN:
        return None
    data = ending_data(visit, decision, ending)
    for fact in store.facts(type="visit-ended", visit_id=visit.sealed.visit_id)[-1:]:
        if {name: value for name, value in fact.data.items() if name != "note"} == data:
            return fact
    with store.writing() as writing:
        if ending.reason:
            data["note"] = writing.commitment(writing.remember_subject("note", {"reason": ending.reason}), "reason")
        return writing.append(entry(store, "visit-ended", data))


def ending_data(visit: Kept, decision: Fact, ending: Ending) -> dict[str, Any]:
    """Return the data of a ``visit-ended`` fact, without the words of its reason."""
    return {"visit_id": visit.sealed.visit_id, "ending": ending.kind,
            "reason": "stated-in-words" if ending.reason else None, "open_points": list(ending.open_points),
            "decision": decision.fact_id}


def recomputed(decision: Effective, facts: Mapping[str, Effective]) -> list[dict[str, Any]]:
    """Return the verdict rows of a ``visit-decided`` fact, computed again from the facts it names as its basis."""
    basis = decision.data["basis"]
    named = [basis["plan"], *basis["readings"], *basis.get("steps", [])]
    used = [facts[one] for one in named if one in facts]
    used += [one for one in facts.values() if one.fact.type == "draw-revealed"
             and one.data["visit_id"] == decision.data["visit_id"]]
    plan_fact = facts[basis["plan"]].fact
    sealed = SealedPlan(plan_fact, plan_of(plan_fact.data, ""), decision.data["visit_id"], False)
    made, _ = decided(kept_from(used, sealed))
    rows: list[dict[str, Any]] = plain(made.decisions)  # type: ignore[assignment]
    return rows


def entry(store: Store, kind: str, data: Mapping[str, Any], rows: Sequence[Mapping[str, Any]] = (), *,
          operation_id: str | None = None) -> Entry:
    """Return an entry of this device; an operation of its own where none came with it."""
    return Entry(kind, data, actor_id=store.device_id, operation_id=operation_id or store.new_id(), rows=rows)


def decision_data(visit: Kept, answers: tuple[Verdicts, CarriedOut]) -> dict[str, Any]:
    """Return the data of a ``visit-decided`` fact: both answers, and what they rest on."""
    made, done = answers
    terms = visit.sealed.plan.terms
    return {
        "visit_id": visit.sealed.visit_id, "rule": terms.rule, "rule_version": terms.version, "stage": terms.stage,
        "basis": {"plan": visit.sealed.fact.fact_id, "readings": list(visit.reading_facts),
                  "steps": list(visit.work_facts)},
        "verdicts": plain(made.decisions), "statement": plain(made.statement), "carried_out": plain(done)}


def _key(row: Mapping[str, Any]) -> tuple[object, ...]:
    return row["point"], row["stage"], row["round"], row["swab"]


def _value(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a reading says, without where it stood in a file and without its note."""
    return {name: value for name, value in row.items() if name not in ("row", "note", "raw")}

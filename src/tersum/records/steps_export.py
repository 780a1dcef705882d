"""What was seen of the steps as JSON carries it: contact times, heat doses and pH readings, each with its answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tersum.visit.carried_out import Work, contacts
from tersum.visit.heat_step import heat_met
from tersum.visit.mixing import MixingCard
from tersum.visit.ph_check import ph_checks
from tersum.visit.plan import Plan
from tersum.visit.steps import Step


def steps_fields(plan: Plan, work: Sequence[Work], cards: Sequence[MixingCard]) -> dict[str, list[dict[str, Any]]]:
    """Return ``contacts``, ``heat`` and ``ph`` in the order of the work, and ``materials`` in that of the plan."""
    wanted = {step.id: step.a0 for step in plan.steps}
    return {
        "contacts": [asdict(one) for one in contacts(plan, work)],
        "heat": [_heat(one, wanted.get(one.step)) for one in work if one.heat is not None],
        "ph": [asdict(one) for one in ph_checks(work, cards, plan.water)],
        "materials": [_materials(step) for step in plan.steps if step.overrides or step.spot_tests or step.method]}


def _materials(step: Step) -> dict[str, Any]:
    """Return what was decided of the materials of a step: a lead's overrides with their reasons, tests, the method."""
    return {"step": step.id, "overrides": [asdict(one) for one in step.overrides],
            "spot_tests": [asdict(one) for one in step.spot_tests], "method": step.method or None}


def _heat(work: Work, wanted: float | None) -> dict[str, Any]:
    assert work.heat is not None
    answer = None if wanted is None else heat_met(wanted, work.heat)
    return {"step": work.step, "answer": answer, "wanted_a0": wanted, **asdict(work.heat)}

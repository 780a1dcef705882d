"""What is to be minded of the materials of a step, and what was decided of them, in words."""

from __future__ import annotations

from tersum.documents.text import _
from tersum.errors import N_
from tersum.visit import material_use
from tersum.visit.material_use import VerdictOn
from tersum.visit.steps import Step

_SAID = {
    material_use.TEST_FIRST: N_("{material}: try it on a hidden spot first, and record what it did."),
    material_use.TESTED: N_("{material}: tried on a hidden spot, as recorded."),
    material_use.OVERRIDDEN: N_("{material}: to be avoided, or not known; {lead} goes against that: {reason}"),
    material_use.BY_THE_METHOD: N_("{material}: only by the maker's written method: {method}"),
}


def material_lines(step: Step, verdict: VerdictOn) -> list[str]:
    """Return what is to be minded of the materials of a step before it, a lead's override with its reason among it."""
    lines = []
    notes = material_use.material_notes(step, verdict)
    for code in dict.fromkeys(one.code for one in notes):
        alike = [one for one in notes if one.code == code]
        # An override stands by itself, with its own reason; what is said alike of several is said once.
        groups = [[one] for one in alike] if code == material_use.OVERRIDDEN else [alike]
        for group in groups:
            lead = group[0].override
            lines.append(_(_SAID[code]).format(
                material=", ".join(one.material for one in group), method=step.method,
                lead=lead.lead if lead else "", reason=lead.reason if lead else ""))
    return lines


def decided_lines(step: Step) -> list[str]:
    """Return what was decided of the materials of a step, as the plan holds it: overrides, tests, makers' methods."""
    lines = [_("{step}: {lead} went against the verdict on {material}: {reason}").format(
        step=step.id, lead=one.lead, material=one.material, reason=one.reason) for one in step.overrides]
    for one in step.spot_tests:
        result = _("it changed") if one.result == material_use.CHANGED else _("no change")
        lines.append(_("{step}: {material} was tried on a hidden spot ({where}, {date}): {result}").format(
            step=step.id, material=one.material, where=one.where, date=one.date, result=result))
    if step.method:
        lines.append(_("{step}: maker's written method on file: {method}").format(step=step.id, method=step.method))
    return lines

"""What a step touches, against the verdict on each material: refused, overridden by a lead, or to be tested."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tersum.errors import N_, TersumError
from tersum.visit.steps import Override, Step

FINE, CARE, AVOID, MAKERS_METHOD, UNKNOWN = "fine", "care", "avoid", "makers-method", "unknown"
CHANGED, NO_CHANGE = "changed", "no-change"
# The verdict on a material under a step: one of the words above.
VerdictOn = Callable[[str, Step], str]

TEST_FIRST = "test-a-hidden-spot"
TESTED = "tested-on-a-hidden-spot"
OVERRIDDEN = "overridden-by-the-lead"
BY_THE_METHOD = "by-the-makers-method"


class MaterialRefused(TersumError):
    """A step would touch a material that it must not, as far as is known."""

    code = "material-refused"
    exit_code = 5


@dataclass(frozen=True)
class MaterialNote:
    """What is to be shown of one material of a step: a code, the verdict it stands on, and the override if any."""

    step: str
    material: str
    code: str
    verdict: str
    override: Override | None = None


def material_refusals(step: Step, verdict_on: VerdictOn) -> Iterator[MaterialRefused]:
    """Yield one refusal for each material of a step that it must not touch.

    Parameters
    ----------
    step : Step
        With its materials; a step that puts something on surfaces and names none is refused too.
    verdict_on : callable
        The verdict on a material under this step. A hidden spot that changed counts above it.

    Source
    ------
    The maker's written method comes before any table; where it alone decides nothing overrides its absence (common
    practice, no source).
    """
    if not step.materials:
        if step.product or step.kind == "steam":
            yield MaterialRefused(N_("step {step}: no materials are named; accepted: what it touches, so that each can "
                                     "be looked up."), field="materials", step=step.id)
        return
    for material in step.materials:
        verdict = _verdict(step, material, verdict_on)
        if verdict == MAKERS_METHOD and not step.method:
            yield MaterialRefused(
                N_("step {step}: {value} takes no chemical and no steam but by its maker's written method; accepted: "
                   "that method on file. Nothing overrides that."), field="materials", value=material, step=step.id)
        elif verdict in (AVOID, UNKNOWN) and _override(step, material) is None:
            said = (N_("step {step}: {value} is to be avoided here; accepted: another product or material, or a lead's "
                       "override with its reason.") if verdict == AVOID else
                    N_("step {step}: nothing is known here of {value}; accepted: a material of the table, or a lead's "
                       "override with its reason."))
            yield MaterialRefused(said, field="materials", value=material, step=step.id)


def material_notes(step: Step, verdict_on: VerdictOn) -> tuple[MaterialNote, ...]:
    """Return what is shown of the materials of a step, before it and on the visit record."""
    return tuple(note for material in step.materials for note in _notes(step, material, verdict_on))


def _notes(step: Step, material: str, verdict_on: VerdictOn) -> Iterator[MaterialNote]:
    verdict = _verdict(step, material, verdict_on)
    if verdict == MAKERS_METHOD:
        yield MaterialNote(step.id, material, BY_THE_METHOD, verdict)
        return
    override = _override(step, material)
    if verdict in (AVOID, UNKNOWN) and override is not None:
        yield MaterialNote(step.id, material, OVERRIDDEN, verdict, override)
    tested = any(one.material.casefold() == material.casefold() for one in step.spot_tests)
    if tested:
        yield MaterialNote(step.id, material, TESTED, verdict)
    elif verdict != FINE:
        yield MaterialNote(step.id, material, TEST_FIRST, verdict)


def _verdict(step: Step, material: str, verdict_on: VerdictOn) -> str:
    verdict = verdict_on(material, step)
    results = [one.result for one in step.spot_tests if one.material.casefold() == material.casefold()]
    return AVOID if CHANGED in results and verdict != MAKERS_METHOD else verdict


def _override(step: Step, material: str) -> Override | None:
    return next((one for one in step.overrides if one.material.casefold() == material.casefold()), None)

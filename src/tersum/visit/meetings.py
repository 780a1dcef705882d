"""Where the products of a plan meet: on one surface, in one vessel, in one cloth, with no rinsing between them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from tersum.visit.steps import Step

ON_A_SURFACE, IN_A_VESSEL, IN_A_CLOTH = "surface", "vessel", "cloth"
_NAMES: dict[str, Callable[[Step], tuple[str, ...]]] = {
    ON_A_SURFACE: lambda step: step.surfaces, IN_A_VESSEL: lambda step: step.vessels,
    IN_A_CLOTH: lambda step: step.cloths}


@dataclass(frozen=True)
class Meeting:
    """Two steps whose products meet: where, and its name; an empty name is one that the plan does not tell apart."""

    first: Step
    second: Step
    setting: str
    name: str


def meetings(steps: Sequence[Step]) -> tuple[Meeting, ...]:
    """Return every meeting of two products in the order of the steps.

    A rinsing step between them parts them where it names the surface, or the vessel or cloth that it rinses and drains.
    Without names nothing is told apart: such a step counts as sharing with every other, and no rinsing parts it.

    Parameters
    ----------
    steps : sequence of Step
        Of a plan, in order, or those of them that are known to have been carried out.
    """
    found = []
    for (place, first), (later, second) in combinations(enumerate(steps), 2):
        if not (first.product and second.product) or first.product == second.product:
            continue
        between = [one for one in steps[place + 1:later] if one.kind == "rinse"]
        found += [Meeting(first, second, setting, name) for setting in _NAMES
                  for name in _shared(setting, first, second) if not _parted(setting, name, between)]
    return tuple(found)


def _shared(setting: str, first: Step, second: Step) -> list[str]:
    one, other = _NAMES[setting](first), _NAMES[setting](second)
    if not one or not other:
        return [""]
    known = {name.casefold() for name in other}
    return [name for name in dict.fromkeys(one) if name.casefold() in known]


def _parted(setting: str, name: str, between: Sequence[Step]) -> bool:
    return bool(name) and any(name.casefold() in {one.casefold() for one in _NAMES[setting](step)} for step in between)

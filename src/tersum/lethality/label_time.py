"""The time to keep a surface wet: the label's, never less, longer where a model asks for more."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from tersum.arguments import real
from tersum.errors import N_, OutOfRange
from tersum.lethality.contact import Kinetics, wait_for

LABEL = "label-time"
LONGER = "longer-than-the-label"
CANNOT_DO = "no-time-will-do"
CANNOT_TELL = "cannot-tell"


@dataclass(frozen=True)
class ModelRange:
    """What a model was tested at; a prediction outside any of these is refused. Pairs are low and high ends."""

    strength_mg_l: tuple[float, float]
    temp_c: tuple[float, float]
    most_log10: float
    most_min: float
    ph: tuple[float, float] | None = None
    soils: tuple[str, ...] = ("clean",)


@dataclass(frozen=True)
class Situation:
    """What a surface is treated with and how: made strength, what the soil takes, temperature, pH, kind of soil."""

    strength_mg_l: float
    temp_c: float
    soil_demand_mg_l: float = 0.0
    ph: float | None = None
    soil: str = "clean"


@dataclass(frozen=True)
class ContactNeeded:
    """How long to keep wet.

    ``answer`` is ``label-time`` (a model agrees or expects less: the label stands), ``longer-than-the-label``,
    ``no-time-will-do`` (by the model; ``contact_min`` is then the label's, which it does not support) or
    ``cannot-tell`` (the label stands, unsupported). ``contact_min`` is never below ``label_min``. ``model_min`` is NaN
    where there is no prediction; ``outside`` says which inputs lie outside what was tested, with their values.
    ``demonstrated`` is False where it is colder than the label's claim was shown at.
    """

    answer: str
    contact_min: float
    label_min: float
    model_min: float = math.nan
    most_log10: float = math.inf
    outside: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    label_tested_c: float | None = None
    demonstrated: bool = True


def contact_needed(label_min: float, wanted_log10: float, *, situation: Situation, kinetics: Kinetics | None = None,
                   tested: ModelRange | None = None, label_tested_c: float | None = None) -> ContactNeeded:
    """Return how long a surface is kept wet: at least as long as the label says.

    Parameters
    ----------
    label_min : float
        Contact time of the label for the claim in question, minutes, above 0.
    wanted_log10 : float
        Log10 reduction of that claim, above 0.
    situation : Situation
        What is used and how; its strength 0 or more, demand 0 or more.
    kinetics : Kinetics, optional
        A law for this organism and active; without it the answer is ``cannot-tell``.
    tested : ModelRange, optional
        What that law was tested at; a law without it supports nothing.
    label_tested_c : float, optional
        Temperature at which the claim of the label was shown, °C. Colder than that its time is ``demonstrated`` False:
        it is not scaled, whatever a model says.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    A prediction never overrides a label or an official test: models are fitted in suspension, without drying. The soil
    takes its demand from the strength at once (CT practice of disinfection in water; common practice, no source).

    Examples
    --------
    >>> law, range_ = Kinetics(rate=0.46), ModelRange((1.0, 10.0), (15.0, 25.0), 4.0, 30.0)
    >>> contact_needed(1.0, 3.0, situation=Situation(5.0, 20.0), kinetics=law, tested=range_).answer
    'longer-than-the-label'
    >>> cold = contact_needed(5.0, 3.0, situation=Situation(5.0, 5.0), kinetics=law, tested=range_)
    >>> cold.answer, cold.contact_min, dict(cold.outside)
    ('cannot-tell', 5.0, {'temp_c': 5.0})
    """
    found = _by_model(label_min, wanted_log10, situation, kinetics, tested)
    if label_tested_c is None:
        return found
    shown_at = real("label_tested_c", label_tested_c)
    return replace(found, label_tested_c=shown_at, demonstrated=real("temp_c", situation.temp_c) >= shown_at)


def _by_model(label_min: float, wanted_log10: float, situation: Situation, kinetics: Kinetics | None,
              tested: ModelRange | None) -> ContactNeeded:
    label = real("label_min", label_min, above=0.0)
    wanted = real("wanted_log10", wanted_log10, above=0.0)
    real("strength_mg_l", situation.strength_mg_l, at_least=0.0)
    left = situation.strength_mg_l - real("soil_demand_mg_l", situation.soil_demand_mg_l, at_least=0.0)
    if left <= 0.0:  # known without any model: what is used up does nothing
        return ContactNeeded(CANNOT_DO, label, label, most_log10=0.0)
    if kinetics is None or tested is None:
        return ContactNeeded(CANNOT_TELL, label, label)
    check_tested(tested)
    outside = outside_tested(tested, situation, left_mg_l=left, log10=wanted)
    if outside:
        return ContactNeeded(CANNOT_TELL, label, label, outside=outside)
    found = wait_for(kinetics, left, wanted)
    most, minutes = float(found.most), float(found.contact_min)
    if not found.reachable:
        return ContactNeeded(CANNOT_DO, label, label, most_log10=most)
    if minutes > tested.most_min:
        return ContactNeeded(CANNOT_TELL, label, label, most_log10=most,
                             outside=MappingProxyType({"contact_min": round(minutes, 6)}))
    return ContactNeeded(LONGER if minutes > label else LABEL, max(label, minutes), label, minutes, most)


def outside_tested(tested: ModelRange, situation: Situation, *, left_mg_l: float, log10: float) -> Mapping[str, object]:
    """Return which inputs lie outside what a model was tested at, with their values; a pH that is not known counts."""
    found: dict[str, object] = {}
    for name, value, ends in (("strength_mg_l", left_mg_l, tested.strength_mg_l),
                              ("temp_c", real("temp_c", situation.temp_c), tested.temp_c)):
        if not ends[0] <= value <= ends[1]:
            found[name] = value
    if tested.ph is not None and (situation.ph is None or not tested.ph[0] <= real("ph", situation.ph) <= tested.ph[1]):
        found["ph"] = situation.ph
    if situation.soil not in tested.soils:
        found["soil"] = situation.soil
    if log10 > tested.most_log10:
        found["log10"] = log10
    return MappingProxyType(found)


def check_tested(tested: ModelRange) -> None:
    """Refuse a tested range whose ends are the wrong way round."""
    for name, ends in (("strength_mg_l", tested.strength_mg_l), ("temp_c", tested.temp_c), ("ph", tested.ph)):
        if ends is not None and not real(name, ends[0]) <= real(name, ends[1]):
            raise OutOfRange(name, f"{ends[0]:g} to {ends[1]:g}", N_("a low end not above the high end"))
    real("most_log10", tested.most_log10, above=0.0)
    real("most_min", tested.most_min, above=0.0)

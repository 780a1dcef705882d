"""One run of an efficacy test as it was noted at the bench, and its evaluation by the rules of its kind of test."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import singledispatch

from tersum.errors import N_, OutOfRange
from tersum.lethality.carriers import LOG_OF_MEAN, carrier_efficacy, growth_on_carriers, mean_of_logs, mean_reduction
from tersum.lethality.efficacy import (
    INVALID,
    Efficacy,
    between_laboratories,
    evaluated,
    memorised,
    requirement,
    rules_of,
    with_answer,
)
from tersum.lethality.log_reduction import MET, NOT_MET, UNKNOWN, least
from tersum.lethality.neutraliser import neutraliser_check
from tersum.lethality.surface_efficacy import Recovered, carriers_reduction, room_test, surface_test, wipe_test
from tersum.lethality.suspension import BACTERIA, FUNGI, Controls, residual, suspension_density, suspension_test
from tersum.lethality.titre import Titre
from tersum.lethality.virus_reduction import virus_reduction

SUSPENSION, SURFACE, WIPE, ROOM, VIRUS, GROWTH, CARRIERS = LAYOUTS = (
    "suspension", "surface", "wipe", "room", "virus", "growth", "carriers")
GROWTH_METHODS = ("use-dilution, S. aureus", "use-dilution, P. aeruginosa", "germicidal spray")
WITHOUT_A_RANGE = ("mycobacteria", "bacterial spores")  # the density of their suspension is not known here
COMPLETE = "OCSPP 810.2200 virucidal"  # asks for no effect in any dilution beside the reduction
BATCHES = 3

NEUTRALISER_NOT_CHECKED = "neutraliser-not-checked"
CONTROLS_NOT_JUDGED = "validation-controls-not-judged"
FEW_BATCHES = "fewer-than-three-batches"
VIRUS_FOUND = "effect-in-a-dilution"
RANGE_STATED = "range-of-the-suspension-as-stated-in-the-file"


@dataclass(frozen=True)
class Suspension:
    """Plates of a suspension test; ``density_range`` from the edition at hand, where the file states one."""

    first: tuple[float, ...]
    second: tuple[float, ...]
    dilution_first: float
    plates: tuple[float, ...]
    controls: Controls | None
    volume_ml: float = 1.0
    density_range: tuple[float, float] | None = None


@dataclass(frozen=True)
class Surface:
    """CFU recovered from carriers or fields; for a wipe its spread and transfer, for a room its size and spread."""

    water: tuple[float, ...]
    treated: tuple[float, ...]
    limit_cfu: float
    spread_cfu_25cm2: float | None = None
    transfer_cfu_field: float | None = None
    room_m3: float | None = None
    distribution_met: bool | None = None


@dataclass(frozen=True)
class Virus:
    """Titres of a virus test: the control after the same time, and the test."""

    control: Titre
    test: Titre


@dataclass(frozen=True)
class Batch:
    """One batch of a test by growth: carriers with growth, carriers, log10 CFU of a control carrier (None: none)."""

    positive: int
    carriers: int
    log10_density: float | None


@dataclass(frozen=True)
class Growth:
    """Batches of a test by growth or none."""

    batches: tuple[Batch, ...]


@dataclass(frozen=True)
class Carriers:
    """Replicate carriers of a quantitative test: counts, or their logs where only those were noted."""

    control_log10: tuple[float, ...]
    treated_cfu: tuple[float, ...] = ()
    treated_log10: tuple[float, ...] = ()
    limit_cfu: float = 1.0
    definition: str = LOG_OF_MEAN


@dataclass(frozen=True)
class NeutraliserArms:
    """Counts of the arms of a neutraliser check."""

    effectiveness: tuple[float, ...]
    toxicity: tuple[float, ...]
    viability: tuple[float, ...]


Data = Suspension | Surface | Virus | Growth | Carriers


@dataclass(frozen=True)
class Run:
    """One run: the test it was, organism, strength and contact time, what was counted, and the neutraliser's check."""

    test: str
    organism: str
    strength: str
    contact_min: float
    data: Data
    neutraliser: NeutraliserArms | None = None


def layout(test: str) -> str:
    """Return which of :data:`LAYOUTS` a test is noted as.

    Examples
    --------
    >>> [layout(one) for one in ("EN 1276 bactericidal", "EN 16615 yeasticidal", "germicidal spray")]
    ['suspension', 'wipe', 'growth']
    """
    if test in GROWTH_METHODS:
        return GROWTH
    wanted = requirement(test)
    if wanted.step == "room":
        return ROOM
    if wanted.target == "virus":
        return VIRUS
    if wanted.step == "carrier":
        return CARRIERS
    if wanted.step == "2/1":
        return SUSPENSION
    return WIPE if test.startswith("EN 16615") else SURFACE


def run_result(run: Run) -> Efficacy:
    """Return the evaluation of one run.

    A neutraliser that was checked and not accepted makes it invalid; one that was not checked is said, but for
    suspension tests, whose own controls check it.

    Raises
    ------
    OutOfRange
        Where counts are none, or what was noted does not fit the test.

    Examples
    --------
    >>> data = Growth((Batch(2, 60, 6.4), Batch(3, 60, 6.5), Batch(1, 60, 6.6)))
    >>> found = run_result(Run("use-dilution, S. aureus", "S. aureus", "1 %", 10.0, data))
    >>> found.answer, found.reduction.text(), "neutraliser-not-checked" in found.flags
    ('met', '= 7.79', True)
    """
    found = _evaluated(run.data, run)
    if run.neutraliser is None:
        asked = not isinstance(run.data, Suspension)
        return replace(found, flags=(*found.flags, NEUTRALISER_NOT_CHECKED)) if asked else found
    arms = run.neutraliser
    checked = neutraliser_check(arms.effectiveness, arms.toxicity, arms.viability)
    failing = tuple(replace(one, code=f"neutraliser-{one.code}") for one in checked.failing)
    return replace(found, answer=INVALID if failing else found.answer, failing=(*found.failing, *failing),
                   from_memory=tuple(dict.fromkeys((*found.from_memory, *checked.from_memory))),
                   details={**found.details, "neutraliser_effectiveness": checked.effectiveness,
                            "neutraliser_toxicity": checked.toxicity})


@singledispatch
def _evaluated(data: Data, run: Run) -> Efficacy:
    raise TypeError(f"no evaluation of {type(data).__name__}")


@_evaluated.register
def _(data: Suspension, run: Run) -> Efficacy:
    wanted = requirement(run.test)
    if wanted.target in WITHOUT_A_RANGE and data.density_range is None:
        raise OutOfRange("suspension_range", "", N_("two densities, CFU/mL, from the edition of the standard at hand: "
                                                    "those of {target} are not known here"), target=wanted.target)
    method = FUNGI if wanted.target in ("yeast", "fungal spores") else BACTERIA
    start = suspension_density(data.first, data.second, dilution_first=data.dilution_first, volume_ml=data.volume_ml,
                               method=method)
    left = residual(data.plates, method=method, volume_ml=data.volume_ml)
    found = suspension_test(wanted, start, left, data.controls, method=method, density_range=data.density_range)
    return found if data.density_range is None else replace(found, flags=(*found.flags, RANGE_STATED))


@_evaluated.register
def _(data: Surface, run: Run) -> Efficacy:
    wanted, kind = requirement(run.test), layout(run.test)
    water, treated = ([Recovered(one, data.limit_cfu) for one in each] for each in (data.water, data.treated))
    if kind == WIPE:
        spread, transfer = data.spread_cfu_25cm2, data.transfer_cfu_field
        if spread is None or transfer is None:
            raise OutOfRange("spread_cfu_25cm2", "", N_("spread and transfer, both of which a wipe test counts"))
        found = wipe_test(wanted, carriers_reduction(water, treated), spread_cfu_25cm2=spread,
                          transfer_cfu_field=transfer)
    elif kind == ROOM:
        if data.room_m3 is None:
            raise OutOfRange("room_m3", "", N_("the size of the room, m3"))
        found = room_test(wanted, carriers_reduction(water, treated), room_m3=data.room_m3,
                          distribution_met=data.distribution_met)
    else:
        found = surface_test(wanted, water, treated)
    return replace(found, flags=(*found.flags, CONTROLS_NOT_JUDGED))


@_evaluated.register
def _(data: Virus, run: Run) -> Efficacy:
    wanted = requirement(run.test)
    measured = virus_reduction(data.control, data.test, required_log10=wanted.required_log10)
    lower = measured.shown_at_least if measured.reduction.operator == "=" else math.nan
    found = evaluated(wanted, measured.reduction, flags=(*measured.flags, CONTROLS_NOT_JUDGED), details={
        "half_width_log10": measured.half_width_log10, "lower_log10": lower, "most_showable": measured.most_showable})
    found = with_answer(found, measured.answer)
    if run.test == COMPLETE and data.test.operator != "<" and found.answer == MET:
        return replace(with_answer(found, NOT_MET), flags=(*found.flags, VIRUS_FOUND))
    return found


@_evaluated.register
def _(data: Growth, run: Run) -> Efficacy:
    each = [growth_on_carriers(run.test, one.positive, log10_density=one.log10_density, carriers=one.carriers)
            for one in data.batches]
    if not each:
        raise OutOfRange("batch", 0, N_("one batch or more"))
    answers = {one.answer for one in each}
    answer = INVALID if INVALID in answers else NOT_MET if NOT_MET in answers else MET
    failing = tuple(failing for one in each for failing in one.failing)
    flags = [*(flag for one in each for flag in one.flags), *([FEW_BATCHES] if len(each) < BATCHES else [])]
    worst = least([one.reduction for one in each]) if all(one.reduction != UNKNOWN for one in each) else UNKNOWN
    rules = rules_of(run.test)
    return Efficacy(run.test, answer, worst, math.nan, failing, tuple(dict.fromkeys(flags)),
                    memorised(tuple(rules[name] for name in rules)), between_laboratories(),
                    {"most_positive": float(each[0].most_positive), "batches": float(len(each)),
                     "positive": float(max(one.positive for one in each)),
                     "lower_log10": min(one.lower_log10 for one in each) if worst.operator == "=" else math.nan})


@_evaluated.register
def _(data: Carriers, run: Run) -> Efficacy:
    wanted = requirement(run.test)
    if data.treated_log10:
        found = mean_of_logs(data.control_log10, data.treated_log10)
    else:
        found = mean_reduction(data.control_log10, data.treated_cfu, limit_cfu=data.limit_cfu,
                               definition=data.definition)
    told = carrier_efficacy(wanted, found)
    return replace(told, flags=tuple(dict.fromkeys((*told.flags, CONTROLS_NOT_JUDGED, found.definition))))


def activity_flags(runs: Sequence[Run], results: Sequence[Efficacy]) -> tuple[str, ...]:
    """Return what a series of suspension tests leaves out: two strengths, one of them below the requirement.

    Source
    ------
    EN 13727, EN 1276 (memory): a pass needs a run whose reduction lies below the requirement, at another strength.
    """
    found = []
    for test, organism in dict.fromkeys((one.test, one.organism) for one in runs if isinstance(one.data, Suspension)):
        own = [(run, told) for run, told in zip(runs, results, strict=True)
               if (run.test, run.organism) == (test, organism)]
        if any(told.answer == MET for _run, told in own):
            if len({run.strength for run, _told in own}) < 2:
                found.append("one-strength-only")
            if not any(told.answer == NOT_MET for _run, told in own):
                found.append("no-strength-below-the-requirement")
    return tuple(dict.fromkeys(found))

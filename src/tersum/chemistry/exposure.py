"""What a task puts into the air of a closed space, active by active, against a chosen set of limits."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.load import table
from tersum.catalogue.product import Product
from tersum.chemistry.accepted import Checks
from tersum.chemistry.air import (
    SHIFT_MIN,
    Box,
    Source,
    below_from_min,
    highest_mean_mg_m3,
    mean_mg_m3,
    mg_m3_of,
    over_still_liquid_ppm,
    peak_mg_m3,
    source,
)
from tersum.chemistry.air_limits import CEILING, SHIFT, SHORT, AirLimit, LimitsFor, all_limits, limits_for
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.henry import solubility
from tersum.chemistry.ratio import Ratio
from tersum.chemistry.working_solution import actives_of
from tersum.errors import N_, OutOfRange, TersumError

BELOW, ABOVE, CANNOT_TELL = "below", "above", "cannot-tell"
# The same effect on eyes and airways: their shares of their limits are added up.
IRRITANTS = ("peracetic acid", "hydrogen peroxide", "acetic acid")
OXIDISERS = ("peracetic acid", "hydrogen peroxide", "chlorine", "sodium hypochlorite", "available chlorine",
             "hypochlorous acid", "chlorine dioxide")
# Solids and salts in water: they reach the air only in droplets, of which no figure here speaks (common practice).
NOT_VOLATILE = ("sodium hydroxide", "potassium hydroxide", "sodium carbonate", "sodium bicarbonate", "citric acid",
                "phosphoric acid", "sulfuric acid", "benzalkonium chloride", "didecyldimethylammonium chloride")
WIPED, SPRAYED, STEAMED, FOGGED, OZONE = "wiped", "sprayed", "steamed", "fogged", "ozone"
WAYS = (WIPED, SPRAYED, STEAMED, FOGGED, OZONE)
PUBLIC_SHARE = 0.1  # of a worker's limit: the public is not a worker (common practice, no source)


class NotCovered(TersumError):
    """A way of working that no figure here speaks for."""

    code = "not-covered"
    exit_code = 5


@dataclass(frozen=True)
class Task:
    """One task in one space.

    ``applied_ml`` of working solution is brought out over ``work_min``; what was wetted dries ``drying_min`` after that
    and is a source until then. ``occupied_closed`` says that somebody is inside with doors and windows closed.
    """

    applied_ml: float
    work_min: float
    drying_min: float
    way: str = WIPED
    occupied_closed: bool = False


@dataclass(frozen=True)
class Space:
    """A closed space as it is stated, checked together with the task: see :class:`tersum.chemistry.air.Box`."""

    volume_m3: float
    changes_per_h: float
    mixing: float = 1.0


@dataclass(frozen=True)
class ActiveInAir:
    """One active: what evaporates at most, its concentrations, and how they stand to each limit.

    ``over_liquid_ppm`` is what still air over the fresh solution comes to at 25 °C, None where that is not known.
    ``verdict`` is ``below``, ``above`` or ``cannot-tell`` (no limit is known).
    """

    name: str
    mass_mg: float
    peak_mg_m3: float
    mean_15_min_mg_m3: float
    mean_shift_mg_m3: float
    limits: LimitsFor
    shares: tuple[tuple[AirLimit, float], ...]
    verdict: str
    over_liquid_ppm: float | None = None

    @property
    def share(self) -> float:
        """The largest share of any of its limits; NaN if it has none."""
        return max((share for _limit, share in self.shares), default=math.nan)

    @property
    def danger_share(self) -> float:
        """The peak as a share of what is immediately dangerous; NaN where that is not known."""
        return self.peak_mg_m3 / _in_mg(self.limits.danger) if self.limits.danger is not None else math.nan

    @property
    def irritant_share(self) -> float:
        """The share of its 15-minute limit, of the 8-hour one where there is no other; NaN if it has none."""
        kinds = {limit.kind: share for limit, share in self.shares}
        return kinds.get(SHORT, kinds.get(CEILING, self.mean_15_min_mg_m3 / _mg(self.limits, SHIFT)))


@dataclass(frozen=True)
class AirOfTask:
    """The air of a task: its actives, the added share of irritants, the box and the source's end.

    ``verdict`` is the worst of all: ``cannot-tell`` stands above ``below`` and under ``above``.
    """

    actives: tuple[ActiveInAir, ...]
    irritants: float
    box: Box
    source_until_min: float
    verdict: str


def volatile_mg_l(product: Product, ratio: Ratio | None = None) -> dict[str, float]:
    """Return the strength of each ingredient that may get into the air, mg/L, at the upper end of its tolerance.

    Salts and alkali stay in the film and are left out. An ingredient that nothing is known of stays in: its air cannot
    be told of.

    Parameters
    ----------
    product : Product
        A liquid of the catalogue or of a file.
    ratio : Ratio, optional
        The working dilution; as supplied if left out.

    Examples
    --------
    >>> from tersum.catalogue.load import product
    >>> found = volatile_mg_l(product("Demo Concentrate A"))
    >>> round(found["peracetic acid"])
    47960
    """
    share = ratio.concentrate_frac if ratio is not None else 1.0
    tolerance = {one.name: one.tolerance_frac or 0.0 for one in product.ingredients}
    return {one.name: share * one.strength_mg_l * (1.0 + tolerance[one.name]) for one in actives_of(product)
            if one.name not in NOT_VOLATILE}


def air_of_task(space: Space, task: Task, strength_mg_l: Mapping[str, float], *, limits: str) -> AirOfTask:
    """Return what a task puts into the air, everything that was applied taken to evaporate: the worst case.

    Parameters
    ----------
    space : Space
        The space and its measured or stated ventilation; its air is clean before.
    task : Task
        What is done.
    strength_mg_l : mapping of str to float
        Strength of each volatile active in the working solution, mg/L, 0 or more.
    limits : str
        The chosen set.

    Raises
    ------
    NotCovered
        For fogging, ozone, and an oxidiser sprayed or steamed with somebody inside a closed space.
    OutOfRange, Faults
        Everything that is wrong, at once.

    Source
    ------
    Box model of :mod:`tersum.chemistry.air`. That all of it evaporates by the end of the work is the bound
    for peak and means, its going on until all is dry the bound for entering again; deposits, uptake by surfaces and
    reaction are left out, and so are droplets.

    Examples
    --------
    >>> found = air_of_task(Space(3.0, 0.0), Task(100.0, 5.0, 10.0), {"peracetic acid": 1000.0}, limits="acgih-tlv")
    >>> round(found.actives[0].peak_mg_m3, 1), found.verdict
    (33.3, 'above')
    """
    box = _accepted(space, task, strength_mg_l)
    until = _wet_until_min(task)
    actives = tuple(replace(_active(box, _sources(task, task.applied_ml * strength / 1000.0), name, limits),
                            over_liquid_ppm=_over_liquid(name, strength))
                    for name, strength in strength_mg_l.items() if strength > 0.0)
    irritants = _added([one for one in actives if one.name in IRRITANTS])
    verdicts = {one.verdict for one in actives} | ({ABOVE} if irritants > 1.0 else set())
    worst = ABOVE if ABOVE in verdicts else CANNOT_TELL if CANNOT_TELL in verdicts or not actives else BELOW
    return AirOfTask(actives, irritants, box, until, worst)


def clear_from_min(found: AirOfTask, *, share: float = PUBLIC_SHARE) -> float | None:
    """Return from when on every active, and the irritants together, stay below a share of their limits.

    Minutes from the beginning of the work, never before the source ends; infinite without ventilation; None where an
    active has no limit.
    """
    if any(not one.shares for one in found.actives):
        return None
    latest = found.source_until_min
    for one in found.actives:
        given = source(one.mass_mg, until_min=found.source_until_min)
        latest = max(latest, below_from_min(found.box, given, share * _strictest(one)))
    joint = [one for one in found.actives if one.name in IRRITANTS]
    if len(joint) > 1:
        together = sum(one.mass_mg / _strictest(one) for one in joint)  # of a substance whose limit is 1 mg/m3
        latest = max(latest, below_from_min(found.box, source(together, until_min=found.source_until_min), share))
    return latest


def _wet_until_min(task: Task) -> float:
    """Return until when there is a source: what is wet goes on after the wiping has ended."""
    return task.work_min + task.drying_min


def _sources(task: Task, mass_mg: float) -> tuple[Source, Source]:
    """Return the two ends of what is possible: gone by the end of the work, or going on until all is dry.

    A volatile active leaves a film early; an even source over hours of drying would make its air look better.
    """
    return source(mass_mg, until_min=task.work_min), source(mass_mg, until_min=_wet_until_min(task))


def _active(box: Box, given: Sequence[Source], name: str, chosen: str) -> ActiveInAir:
    against = limits_for(name, chosen)
    peak = max(peak_mg_m3(box, one)[0] for one in given)
    mean = max(highest_mean_mg_m3(box, one) for one in given)
    shift = max(mean_mg_m3(box, one, 0.0, SHIFT_MIN) for one in given)
    at = {SHIFT: shift, SHORT: mean, CEILING: peak}
    shares = tuple((limit, at[limit.kind] / _in_mg(limit)) for limit in _with_a_short_one(against))
    worst = max((share for _limit, share in shares), default=math.nan)
    found = ActiveInAir(name, given[0].mass_mg, peak, mean, shift, against, shares, BELOW)
    above = worst > 1.0 or found.danger_share >= 1.0
    return replace(found, verdict=ABOVE if above else CANNOT_TELL if not shares else BELOW)


def _with_a_short_one(against: LimitsFor) -> tuple[AirLimit, ...]:
    """Return the limits with one for minutes among them: a list with a shift only says nothing of a peak in it."""
    if any(one.kind in (SHORT, CEILING) for one in against.limits):
        return against.limits
    short = [one for one in all_limits(against.substance) if one.kind == SHORT]
    return (*against.limits, min(short, key=lambda one: one.ppm)) if short else against.limits


def _over_liquid(name: str, strength_mg_l: float) -> float | None:
    if name not in table("henry"):
        return None
    return over_still_liquid_ppm(strength_mg_l / 1000.0, molar_mass_g_mol(name), solubility(name).at_25c)


def _added(irritants: Sequence[ActiveInAir]) -> float:
    shares = [one.irritant_share for one in irritants if one.shares]
    return sum(shares)


def _strictest(one: ActiveInAir) -> float:
    return min(_in_mg(limit) for limit, _share in one.shares)


def _mg(against: LimitsFor, kind: str) -> float:
    limit = against.of_kind(kind)
    return _in_mg(limit) if limit is not None else math.nan


def _in_mg(limit: AirLimit) -> float:
    """Return the legal pair; where the list gives none, the conversion at 25 °C."""
    return limit.mg_m3 if limit.mg_m3 is not None else mg_m3_of(limit.ppm, molar_mass_g_mol(limit.substance))


def _accepted(space: Space, task: Task, strength_mg_l: Mapping[str, float]) -> Box:
    checks, boxes = Checks(), []
    try:
        boxes.append(Box(space.volume_m3, space.changes_per_h, space.mixing))
    except TersumError as fault:
        checks.add(fault)
    checks.number("applied_ml", task.applied_ml, N_("above 0 mL"), above=0.0, high=1e6)
    checks.number("work_min", task.work_min, N_("above 0 min, up to a day"), above=0.0, high=1440.0)
    checks.number("drying_min", task.drying_min, N_("0 min to a week"), low=0.0, high=10080.0)
    for name, strength in strength_mg_l.items():
        checks.number(name, strength, N_("0 mg/L or more"), low=0.0, high=1e6)
    if task.way not in WAYS:
        checks.add(OutOfRange("way", task.way, ", ".join(WAYS)))
    checks.done()
    if task.way in (FOGGED, OZONE):
        raise NotCovered(N_("{value}: not covered here. Fogging and ozone need a licensed method, a sealed space and a "
                            "meter for the very substance."), field="way", value=task.way)
    oxidiser = next((name for name in strength_mg_l if name in OXIDISERS and strength_mg_l[name] > 0.0), None)
    if oxidiser and task.way in (SPRAYED, STEAMED) and task.occupied_closed:
        raise NotCovered(N_("{value} {way} with somebody inside a closed space: not covered, since droplets carry what "
                            "no vapour limit speaks of. Open it, get out, or wipe instead."), field="way",
                         value=oxidiser, way=task.way)
    return boxes[0]

"""What has to be said before the result of a trial: how it was done, and what that leaves open."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from dataclasses import replace as replaced

import numpy as np

from tersum.errors import N_, OutOfRange, UnknownName
from tersum.evidence.paired import paired_difference
from tersum.evidence.trial import APART, Units

RECOVERY_UNKNOWN, PICKED_DIRTY, STARTS_DIFFER = "recovery-unknown", "picked-dirty", "starts-differ"
UNTREATED_FELL, NO_UNTREATED, NO_WATER_ONLY = "untreated-fell", "no-untreated-arm", "no-water-only-arm"
ONE_VEHICLE, UNBALANCED, BEFORE_MISSING = "one-vehicle", "unbalanced", "before-missing"
INEQUALITIES, FEW_FOR_SHUFFLING, SWABS_AVERAGED = "inequalities", "few-for-shuffling", "swabs-averaged"
VEHICLES_COUNT = "vehicles-count"
_STARTS_APART = 1.5  # a factor between mean starts that a reader is told of: common practice, no source
_NOT_CHANCE = 0.01  # a smaller difference of starts is told too, where chance alone hardly brings it


@dataclass(frozen=True)
class Remark:
    """A code with its numbers and names; the sentence is made from it by the documents."""

    code: str
    names: tuple[str, ...] = ()
    numbers: tuple[float, ...] = ()


@dataclass(frozen=True)
class AsDone:
    """How the trial was done, in so far as it is known.

    ``recovery`` gives, by arm, the share of a spike that is read on a surface it treated, and the standard error of
    that share; an arm that is not named has not been spiked. ``picked_dirty`` is True where panels were chosen for
    their readings: harmless between arms only where all parts of a panel were looked at alike, before the draw.
    """

    untreated: str | None = None
    water_only: str | None = None
    picked_dirty: bool = False
    recovery: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def check(self, arms: Sequence[str]) -> None:
        """Refuse arms that are not in the trial, and shares that are none."""
        for name, arm in (("untreated", self.untreated), ("water_only", self.water_only),
                          *(("recovery", arm) for arm in self.recovery)):
            if arm is not None and arm not in arms:
                raise UnknownName(name, arm, tuple(arms))
        for share, error in self.recovery.values():
            if not 0.0 < share < 10.0 or not 0.0 <= error < share:
                raise OutOfRange("recovery", share, N_("a share above 0 with a standard error below it"))

    def corrected(self, units: Units) -> Units:
        """Return the units with after values over the recovery of their arm, where it is known."""
        shift = np.array([math.log10(self.recovery[arm][0]) if arm in self.recovery else 0.0 for arm in units.arm])
        return replaced(units, after_low=units.after_low - shift, after_high=units.after_high - shift)

    def recovery_error(self, arm: str, other: str) -> float:
        """Return the standard error that two recoveries bring into a log10 difference."""
        known = [self.recovery[name] for name in (arm, other) if name in self.recovery]
        return math.hypot(*(error / share / math.log(10.0) for share, error in known)) if known else 0.0


def remarks_on(read: Units, used: Units, control: str, done: AsDone) -> tuple[Remark, ...]:
    """Return what is to be said of a trial, most weighty first.

    Parameters
    ----------
    read, used : Units
        As read, and as they entered the model.
    control : str
        The arm the others are compared with.
    done : AsDone
        How it was done.

    Source
    ------
    Residue that upsets the light fakes a difference: a recovery of 0.5 looks like half the dirt (definition).
    Regression to the mean of panels picked for their readings: Vickers & Altman 2001, BMJ 323:1123.
    """
    found: list[Remark] = []
    treated = [arm for arm in read.arms if arm not in (done.untreated, done.water_only)]
    unknown = tuple(arm for arm in treated if arm not in done.recovery)
    if unknown:
        found.append(Remark(RECOVERY_UNKNOWN, unknown))
    if done.picked_dirty:
        found.append(Remark(PICKED_DIRTY))
    if read.level == APART:
        found.append(Remark(VEHICLES_COUNT, numbers=(float(len(set(read.vehicle))),)))
    found += _starts(used, control)
    found += _untreated(used, done)
    if len(set(read.vehicle)) == 1:
        found.append(Remark(ONE_VEHICLE, (read.vehicle[0],)))
    found += _shape(read, used)
    return tuple(found)


def start_factor(units: Units, arm: str, other: str) -> float | None:
    """Return how many times as dirty one arm's parts were as another's, None where that is not worth saying.

    Parameters
    ----------
    units : Units
        With before values, or without: then nothing is said.
    arm, other : str
        Two arms of the trial.

    Source
    ------
    A factor of 1.5, or less where paired starts differ with p below 0.01: common practice, no source. Before readings
    hold their own error, so that adjusting takes off only part of a difference that was there (Vickers & Altman 2001,
    BMJ 323:1123); where the parts were drawn at random it takes off what chance brought.
    """
    one, two = (units.before[units.marks(name)] for name in (arm, other))
    if np.isnan(one).all() or np.isnan(two).all():
        return None
    apart = float(np.nanmean(one) - np.nanmean(two))
    if abs(apart) > math.log10(_STARTS_APART):
        return float(10.0**apart)
    paired = np.array([np.nanmean(units.before[(units.block == block) & units.marks(arm)])
                       - np.nanmean(units.before[(units.block == block) & units.marks(other)])
                       for block in (units.blocks_with(arm, other) if units.has_before else ())])
    if units.level == APART or paired.size < 3 or np.ptp(paired) == 0.0:
        return None
    return float(10.0**apart) if paired_difference(paired).p_two_sided < _NOT_CHANCE else None


def _starts(units: Units, control: str) -> list[Remark]:
    factors = {arm: start_factor(units, arm, control) for arm in units.arms if arm != control}
    return [Remark(STARTS_DIFFER, (arm, control), (factor,)) for arm, factor in factors.items() if factor is not None]


def _untreated(units: Units, done: AsDone) -> list[Remark]:
    found = []
    if done.untreated is None:
        found.append(Remark(NO_UNTREATED))
    if done.water_only is None:
        found.append(Remark(NO_WATER_ONLY))
    if done.untreated is not None:
        inside = units.marks(done.untreated) & ~units.censored & ~np.isnan(units.before)
        change = units.after_low[inside] - units.before[inside]
        if change.size >= 2 and np.ptp(change) > 0.0:
            drift = paired_difference(change)
            if drift.high < 0.0:
                found.append(Remark(UNTREATED_FELL, (done.untreated,), (10.0**-drift.mean,)))
    return found


def _shape(read: Units, used: Units) -> list[Remark]:
    found = []
    if read.level != APART:
        blocks = np.unique(read.block).size
        lacking = blocks - read.blocks_with(*read.arms).size
        if lacking:
            found.append(Remark(UNBALANCED, numbers=(float(lacking), float(blocks))))
        if blocks < 6:
            found.append(Remark(FEW_FOR_SHUFFLING, numbers=(float(blocks),)))
    if not used.has_before:
        found.append(Remark(BEFORE_MISSING, numbers=(float(np.isnan(used.before).sum()), float(len(used.arm)))))
    if used.censored.any():
        found.append(Remark(INEQUALITIES, numbers=(float(used.censored.sum()), float(len(used.arm)))))
    if read.swabs > len(read.arm):
        found.append(Remark(SWABS_AVERAGED, numbers=(float(read.swabs), float(len(read.arm)))))
    return found

"""What a trial shows of treatments against each other: a ratio with its interval, or that it cannot be told."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from dataclasses import replace as replaced

import numpy as np
import numpy.typing as npt
from scipy.special import stdtr

from tersum.arguments import Array, probability, real
from tersum.errors import N_, OutOfRange, UnknownName
from tersum.evidence.arm_model import ArmModel, arm_model
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.multiplicity import dunnett_factor, dunnett_p, holm
from tersum.evidence.paired import Equivalence, equivalence
from tersum.evidence.rerandomisation import Rerandomised, rerandomise, shift_interval, smallest_p
from tersum.evidence.sample_size import pairs_for_difference
from tersum.evidence.trial import APART, Units, vehicles_alone
from tersum.evidence.trial_remarks import AsDone, Remark, remarks_on, start_factor

LESS, MORE, NOT_SHOWN, CANNOT_TELL = "leaves-less", "leaves-more", "not-shown", "cannot-tell"
TOO_FEW, NOTHING_MEASURED, CONSTANT = "too-few-pairs", "nothing-measured", "constant-readings"
FLAT = "likelihood-flat"
FEW_AND_CENSORED, STARTS_APART = "few-and-censored", "starts-apart"
# Where simulation found intervals of nominal 95 % to cover less than 93 %: see docs/methods/trials.md.
_THIN_CENSORED_FRAC, _THIN_PAIRS = 0.3, 8
_NEVER_CENSORED_FRAC = 0.5  # beyond that no coverage was measured
_FLAT_ERROR_LOG10 = 3.0  # a standard error of a factor of 1,000: what is measured does not hold the ratio


@dataclass(frozen=True)
class Asked:
    """What was settled before any reading.

    ``control`` is the arm the others are compared with; with ``all_pairs`` each is compared with each. ``margin_log10``
    is the largest difference that does not matter. ``factor`` is the one worth finding, for the number of pairs that
    would do. ``spread_log10`` is that of one swab, used only where the trial has no spread of its own.
    """

    control: str
    all_pairs: bool = False
    margin_log10: float | None = None
    risk: float = 0.05
    factor: float = 2.0
    spread_log10: float = 0.205
    done: AsDone = field(default_factory=AsDone)


@dataclass(frozen=True)
class Contrast:
    """One arm against another: log10 of what it leaves over what the other leaves.

    ``low`` to ``high`` covers ``1 - risk`` for all comparisons together. ``pairs`` counts panels (or vehicles) with
    both arms. ``pairs_needed`` finds the factor asked for with a power of 0.8. For ``cannot-tell``, ``why`` says why
    and the interval, where there is one, holds the error of reading alone, not that between panels. ``thin`` says why
    the interval may cover less than 93 % where it says 95 %, and is empty where it does not.
    """

    arm: str
    other: str
    verdict: str
    pairs: int
    pairs_needed: int
    difference_log10: float = math.nan
    standard_error: float = math.nan
    degrees_of_freedom: float = math.nan
    low_log10: float = -math.inf
    high_log10: float = math.inf
    p: float = math.nan
    adjusted_p: float = math.nan
    rerandomised: Rerandomised | None = None
    rerandomised_log10: tuple[float, float] | None = None
    equivalence: Equivalence | None = None
    why: str = ""
    thin: str = ""

    @property
    def ratio(self) -> float:
        return float(10.0**self.difference_log10)

    @property
    def ratio_interval(self) -> tuple[float, float]:
        low, high = (float(np.power(10.0, end)) for end in (self.low_log10, self.high_log10))
        return low, high


@dataclass(frozen=True)
class Comparison:
    """All comparisons of a trial, the model behind them, and what has to be said first."""

    asked: Asked
    contrasts: tuple[Contrast, ...]
    model: ArmModel | None
    units: Units
    remarks: tuple[Remark, ...]


def compare(units: Units, asked: Asked, *, rng: np.random.Generator | None = None, draws: int = 100_000) -> Comparison:
    """Return what a trial shows.

    Parameters
    ----------
    units : Units
        From :func:`tersum.evidence.trial.units_of`.
    asked : Asked
        Settled beforehand; its control is one of the arms.
    rng : numpy Generator or None
        For re-randomisation where assignments are too many to count; without it, that is then left out.
    draws : int
        How many, 1 or more.

    Raises
    ------
    OutOfRange, UnknownName
        If an argument lies outside the range stated above.

    Source
    ------
    Model: :func:`tersum.evidence.arm_model.arm_model`. Against one control Dunnett, else Holm with intervals by
    Bonferroni (known from memory). One pair has no spread of its own: nothing is shown by it.

    Examples
    --------
    >>> from tersum.evidence.trial import TrialReading, units_of
    >>> rows = [TrialReading("van", f"seat {n}", arm, arm, 1, (rlu, rlu))
    ...         for n, pair in enumerate([(90, 210), (120, 200), (60, 150), (80, 230)]) for arm, rlu in zip("ab", pair)]
    >>> found = compare(units_of(rows), Asked("b")).contrasts[0]
    >>> found.verdict, round(found.ratio, 2), [round(end, 2) for end in found.ratio_interval]
    ('leaves-less', 0.43, [0.3, 0.63])
    >>> compare(units_of(rows[:2]), Asked("b")).contrasts[0].verdict
    'cannot-tell'
    """
    _check(units, asked)
    given = vehicles_alone(units) if units.level == APART else units
    given = asked.done.corrected(given)
    model, why = _modelled(given)
    pairs = _pairs_of_arms(given, asked)
    if model is None:
        contrasts = tuple(_shuffled(_untold(given, asked, one, other, why), given, rng, draws) for one, other in pairs)
    else:
        contrasts = _told(given, asked, model, pairs, rng, draws)
    return Comparison(asked, contrasts, model, given, remarks_on(units, given, asked.control, asked.done))


def _check(units: Units, asked: Asked) -> None:
    if asked.control not in units.arms:
        raise UnknownName("control", asked.control, units.arms)
    asked.done.check(units.arms)
    probability("risk", asked.risk)
    real("spread_log10", asked.spread_log10, above=0.0)
    if asked.margin_log10 is not None and not 0.0 < asked.margin_log10 < math.inf:
        raise OutOfRange("margin", float(10.0**asked.margin_log10), N_("a factor above 1, such as 1.25"))
    if real("factor", asked.factor, above=0.0) == 1.0:
        raise OutOfRange("factor", asked.factor, N_("a factor other than 1"))


def _modelled(units: Units) -> tuple[ArmModel | None, str]:
    """Return the model, or None and why there is none."""
    measured = ~units.censored
    if units.level != APART and units.blocks_with(*units.arms[:1]).size < 2:
        return None, TOO_FEW
    if measured.sum() < len(units.arms) + 2:
        return None, NOTHING_MEASURED if measured.size >= len(units.arms) + 3 else TOO_FEW
    if measured.all() and np.ptp(units.after_low) == 0.0:
        return None, CONSTANT
    for adjust in (True, False):
        try:
            model = arm_model(units, adjust=adjust)
        except OutOfRange:
            continue
        if model.residual_sd > 1e-9:
            return model, ""
        return None, CONSTANT
    return None, TOO_FEW


def _pairs_of_arms(units: Units, asked: Asked) -> list[tuple[str, str]]:
    others = [arm for arm in units.arms if arm != asked.control]
    against = [(arm, asked.control) for arm in others]
    if not asked.all_pairs:
        return against
    return against + [(one, other) for place, one in enumerate(others) for other in others[place + 1:]]


def _told(units: Units, asked: Asked, model: ArmModel, pairs: list[tuple[str, str]],
          rng: np.random.Generator | None, draws: int) -> tuple[Contrast, ...]:
    seen = [model.difference(arm, other) for arm, other in pairs]
    extra = [asked.done.recovery_error(arm, other) for arm, other in pairs]
    errors = [math.hypot(error, more) for (_, error), more in zip(seen, extra, strict=True)]
    t = np.array([difference / error for (difference, _), error in zip(seen, errors, strict=True)])
    freedom = model.degrees_of_freedom
    single = 2.0 * stdtr(freedom, -np.abs(t))
    adjusted, factor = _together(asked, model, t, single)
    found = []
    for place, (arm, other) in enumerate(pairs):
        if units.level != APART and units.blocks_with(arm, other).size < 2:
            found.append(_untold(units, asked, arm, other, TOO_FEW))
            continue
        if not errors[place] < _FLAT_ERROR_LOG10:
            found.append(_shuffled(_untold(units, asked, arm, other, FLAT), units, rng, draws))
            continue
        difference, half = seen[place][0], factor * errors[place]
        contrast = _untold(units, asked, arm, other, "")
        found.append(replaced(
            contrast, verdict=_verdict(difference, adjusted[place], asked.risk), difference_log10=difference,
            standard_error=errors[place], degrees_of_freedom=freedom, low_log10=difference - half,
            high_log10=difference + half, p=float(single[place]), adjusted_p=float(adjusted[place]),
            equivalence=None if asked.margin_log10 is None else equivalence(
                difference, errors[place], freedom, margin_log10=asked.margin_log10, risk=asked.risk),
            pairs_needed=_pairs_needed(math.sqrt(2.0) * model.residual_sd, asked), thin=_thin(units, contrast),
            rerandomised=_rerandomised(units, arm, other, rng, draws),
            rerandomised_log10=_shift(units, arm, other, asked.risk)))
    return tuple(found)


def _together(asked: Asked, model: ArmModel, t: Array, single: Array) -> tuple[Array, float]:
    """Return p-values adjusted for the number of comparisons, and how many standard errors hold all intervals."""
    freedom, many = model.degrees_of_freedom, t.size
    if many == 1:
        return single, float(coverage_factor(1.0 - asked.risk, freedom))
    if asked.all_pairs:
        return holm(single), float(coverage_factor(1.0 - asked.risk / many, freedom))
    loads = _loads(model, asked.control)
    return dunnett_p(t, freedom, loads=loads), dunnett_factor(many, freedom, loads=loads, coverage=1.0 - asked.risk)


def _loads(model: ArmModel, control: str) -> Array:
    """Return how strongly each difference leans on the control, from the errors of the arms within their blocks."""
    spread = {(arm, other): model.difference(arm, other)[1] ** 2 for arm in model.arms for other in model.arms}
    others = [arm for arm in model.arms if arm != control]
    loads = []
    for arm in others:
        third = [other for other in others if other != arm]
        # Var(a - c) and Var(b - c) share what Var(a - b) lacks; averaged over the third arms.
        shared = np.mean([(spread[arm, control] + spread[other, control] - spread[arm, other]) / 2.0
                          / math.sqrt(spread[arm, control] * spread[other, control]) for other in third])
        loads.append(math.sqrt(min(max(float(shared), 0.0), 0.99)))
    return np.array(loads)


def _verdict(difference: float, p: float, risk: float) -> str:
    if p > risk:
        return NOT_SHOWN
    return LESS if difference < 0.0 else MORE


def _untold(units: Units, asked: Asked, arm: str, other: str, why: str) -> Contrast:
    """Return a comparison that cannot be told; with one pair or more measured, its interval by reading error alone."""
    blocks = units.blocks_with(arm, other)
    pairs = int(blocks.size) if units.level != APART else int(min(units.marks(arm).sum(), units.marks(other).sum()))
    needed = _pairs_needed(math.sqrt(2.0) * asked.spread_log10, asked)
    contrast = Contrast(arm, other, CANNOT_TELL, pairs, needed, why=why)
    inside = ~units.censored & (np.isin(units.block, blocks) if units.level != APART else True)
    one, two = (units.after_low[inside & units.marks(name)] for name in (arm, other))
    if why != TOO_FEW or not (one.size and two.size):
        return contrast
    difference = float(one.mean() - two.mean())
    error = asked.spread_log10 * math.sqrt(1.0 / one.size + 1.0 / two.size)
    half = float(coverage_factor(1.0 - asked.risk)) * error
    return replaced(contrast, difference_log10=difference, standard_error=error, low_log10=difference - half,
                    high_log10=difference + half)


def _pairs_needed(spread_log10: float, asked: Asked) -> int:
    return pairs_for_difference(math.log10(asked.factor) / spread_log10, risk=asked.risk)


def _thin(units: Units, contrast: Contrast) -> str:
    share = float(units.censored.mean())
    if share > _NEVER_CENSORED_FRAC or (share > _THIN_CENSORED_FRAC and contrast.pairs <= _THIN_PAIRS):
        return FEW_AND_CENSORED
    return "" if start_factor(units, contrast.arm, contrast.other) is None else STARTS_APART


def _shuffled(contrast: Contrast, units: Units, rng: np.random.Generator | None, draws: int) -> Contrast:
    """Return a comparison without a ratio, with re-randomisation where that still orders inequalities."""
    if contrast.why not in (FLAT, NOTHING_MEASURED):
        return contrast
    return replaced(contrast, rerandomised=_rerandomised(units, contrast.arm, contrast.other, rng, draws))


def _rerandomised(units: Units, arm: str, other: str, rng: np.random.Generator | None,
                  draws: int) -> Rerandomised | None:
    inside = units.marks(arm) | units.marks(other)
    try:
        return rerandomise(_scores(units, inside), units.marks(arm)[inside], units.block[inside], rng=rng, draws=draws)
    except OutOfRange:
        return None


def _scores(units: Units, inside: npt.NDArray[np.bool_]) -> Array:
    """Return what is shuffled: after values less what their before values say, or, with inequalities, places in order.

    Neither looks at the arms, so that under "no difference" they would be the same whatever was assigned.
    """
    low, high, block = units.after_low[inside], units.after_high[inside], units.block[inside]
    if (low != high).any():
        return np.asarray((low[:, None] > high[None, :]).sum(axis=1) - (high[:, None] < low[None, :]).sum(axis=1),
                          dtype=np.float64)
    if not units.has_before:
        return low
    before = units.before[inside]
    y, x = _within(low, block), _within(before, block)
    squares = float(x @ x)
    return np.asarray(y - x * (float(x @ y) / squares) if squares > 0.0 else y)


def _within(values: Array, block: npt.NDArray[np.intp]) -> Array:
    found: Array = values.astype(np.float64)
    for one in np.unique(block):
        found[block == one] -= values[block == one].mean()
    return found


def _shift(units: Units, arm: str, other: str, risk: float) -> tuple[float, float] | None:
    """Return the ratio's interval by re-randomisation of unadjusted pairs, where each block has one part of each."""
    if units.level == APART or units.censored.any():
        return None
    differences = []
    for block in units.blocks_with(arm, other):
        one, two = (units.after_low[(units.block == block) & units.marks(name)] for name in (arm, other))
        if one.size != 1 or two.size != 1:
            return None
        differences.append(float(one[0] - two[0]))
    if smallest_p(len(differences)) > risk or len(differences) > 30:
        return None
    return shift_interval(differences, coverage=1.0 - risk)

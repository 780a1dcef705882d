"""How often a point is released whose true residue is known: the decision held against the truth."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tersum.errors import N_, OutOfRange
from tersum.evidence.conformity import DONE, SWAB_AGAIN, decide_arrays, release_multiplier
from tersum.evidence.repeatability import within_sd
from tersum.simulator.meter import Array, Meter
from tersum.simulator.swabs import Habits, Swabs, counted_first, swabs

_AT_ONCE = 50_000  # surfaces: their duplicates then fill a few dozen megabytes
_SPARE = 2  # swabs beyond the planned looks, for those that do not count


@dataclass(frozen=True)
class Trial:
    """What is simulated: surfaces whose truth is ``true_fraction`` of the limit, decided in up to ``looks`` looks.

    ``pairs`` is the number of duplicates from which the spread is estimated; None where it is known. The limit is set
    high on the meter's scale, so that its whole numbers do not matter; a low one shows what they cost.
    """

    looks: int = 2
    pairs: int | None = None
    true_fraction: float = 1.0
    limit_rlu: float = 3000.0
    risk: float = 0.05
    meter: Meter = field(default_factory=Meter)
    habits: Habits = field(default_factory=Habits)


@dataclass(frozen=True)
class Released:
    """How many of ``surfaces`` were released, at each look and in all."""

    surfaces: int
    at_look: tuple[int, ...]

    @property
    def share_frac(self) -> float:
        """Share of the surfaces that were released at any look."""
        return sum(self.at_look) / self.surfaces


def released(rng: np.random.Generator, surfaces: int, trial: Trial) -> Released:
    """Simulate surfaces, each with duplicates of its own, and count the releases.

    Parameters
    ----------
    rng : numpy.random.Generator
        Seeded by the caller.
    surfaces : int
        Number of surfaces, 1 or more.
    trial : Trial
        What is simulated.

    Examples
    --------
    >>> found = released(np.random.default_rng(3), 2000, Trial(looks=1, true_fraction=0.2))
    >>> found.surfaces, found.share_frac > 0.9
    (2000, True)
    """
    at_look = np.zeros(trial.looks, dtype=np.int64)
    for start in range(0, _some("surfaces", surfaces), _AT_ONCE):
        many = min(_AT_ONCE, surfaces - start)
        at_look += np.bincount(_look_of_release(rng, trial, _spreads(rng, many, trial)),
                               minlength=trial.looks + 1)[1:]
    return Released(surfaces, tuple(at_look.tolist()))


def between_instruments(rng: np.random.Generator, instruments: int, surfaces: int, trial: Trial) -> Array:
    """Return the released share of each of many instruments, which keeps the duplicates it once has for all surfaces.

    The promise of the multiplier is kept on average over instruments: one whose few duplicates happened to agree too
    well releases more, another less. Parameters are those of :func:`released`; ``surfaces`` is per instrument.
    """
    spreads = _spreads(rng, _some("instruments", instruments), trial)
    shares = [np.mean(_look_of_release(rng, trial, np.full(_some("surfaces", surfaces), spread)) > 0)
              for spread in spreads]
    return np.array(shares)


def _spreads(rng: np.random.Generator, many: int, trial: Trial) -> Array:
    if trial.pairs is None:
        return np.full(many, trial.meter.spread_log10)
    pairs = _some("pairs", trial.pairs)
    duplicates = swabs(rng, np.full(many * pairs, trial.limit_rlu), 2, meter=trial.meter)
    logs = np.log10(duplicates.high_rlu).reshape(many, pairs, 2)
    return within_sd(logs[..., 0], logs[..., 1])


def _look_of_release(rng: np.random.Generator, trial: Trial, spread_log10: Array) -> npt.NDArray[np.int64]:
    """Return the look at which each surface is released, 0 where it is not."""
    taken: Swabs = swabs(rng, np.full(spread_log10.size, trial.true_fraction * trial.limit_rlu), trial.looks + _SPARE,
                         meter=trial.meter, habits=trial.habits)
    low, high, there = counted_first(taken, trial.looks)
    freedom = math.inf if trial.pairs is None else float(trial.pairs)
    multiplier = release_multiplier(trial.looks, freedom, risk=trial.risk)
    look_of_release = np.zeros(spread_log10.size, dtype=np.int64)
    waiting = np.ones(spread_log10.size, dtype=bool)
    for look in range(1, trial.looks + 1):
        waiting &= there[:, look - 1]  # a point without a swab that counts is not released
        code = decide_arrays(low[:, :look].mean(axis=1), high[:, :look].mean(axis=1), look,
                             log10_limit=math.log10(trial.limit_rlu), spread_log10=spread_log10,
                             multiplier=multiplier, looks_left=trial.looks - look)
        look_of_release[waiting & (code == DONE)] = look
        waiting &= code == SWAB_AGAIN
    return look_of_release


def _some(field_name: str, count: int) -> int:
    if count < 1:
        raise OutOfRange(field_name, count, N_("1 or more"))
    return count

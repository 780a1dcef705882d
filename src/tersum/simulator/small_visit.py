"""A small simulated visit: named points that are soiled, cleaned and swabbed, with the truth beside each reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.errors import N_, OutOfRange
from tersum.simulator.meter import Array, Meter
from tersum.simulator.swabs import FAULT_WORDS, Habits, swabs

STAGES = ("as_found", "cleaned", "treated")


@dataclass(frozen=True)
class SimulatedPoint:
    """An invented point: what lies on it when found, and what one treatment takes off, both log10.

    ``soil_log10`` is the median residue as found in log10 RLU, ``soil_spread_log10`` how far single visits stray from
    it; ``cleaning_log10`` and ``cleaning_spread_log10`` the same for the reduction by one cleaning.
    """

    name: str
    surface: str
    soil_log10: float = 3.0
    soil_spread_log10: float = 0.35
    cleaning_log10: float = 1.2
    cleaning_spread_log10: float = 0.25


@dataclass(frozen=True)
class SimulatedSwab:
    """One swab as it would be typed in, and the truth: ``true_rlu`` under the swab, ``fault`` a code or empty."""

    point: str
    surface: str
    stage: str
    round: int
    swab: int
    shown: str
    fault: str
    true_rlu: float


@dataclass(frozen=True)
class SimulatedVisit:
    """All swabs that could be taken in a visit, by stage, round, point and swab; take those that the rule asks for."""

    swabs: tuple[SimulatedSwab, ...]

    def taken(self, point: str, stage: str, round_: int = 1, swab: int = 1) -> SimulatedSwab:
        """Return one swab."""
        for one in self.swabs:
            if (one.point, one.stage, one.round, one.swab) == (point, stage, round_, swab):
                return one
        raise OutOfRange("swab", f"{point} {stage} {round_} {swab}", N_("a swab of the simulated visit"))


def small_visit(rng: np.random.Generator, points: Sequence[SimulatedPoint], *, rounds: int = 2, swabs_each: int = 2,
                treated_log10: float | None = None, meter: Meter | None = None,
                habits: Habits | None = None) -> SimulatedVisit:
    """Simulate a visit: every point as found, then cleaned ``rounds`` times, with ``swabs_each`` swabs each time.

    Parameters
    ----------
    rng : numpy.random.Generator
        Seeded by the caller.
    points : sequence of SimulatedPoint
        At least one, names differing.
    rounds : int
        Cleanings, 1 or more; each takes off from what the one before has left.
    swabs_each : int
        Swabs at each point, stage and round, 1 or more.
    treated_log10 : float, optional
        Mean reduction by a disinfection after the last cleaning; left out, there is no stage ``treated``.
    meter, habits : optional
        As in :func:`tersum.simulator.swabs.swabs`; a bias is shared by the whole visit.

    Raises
    ------
    OutOfRange
        If there is no point, two have one name, or a count is below 1.

    Examples
    --------
    >>> visit = small_visit(np.random.default_rng(5), [SimulatedPoint("handle", "hard plastic")], rounds=1)
    >>> [(one.stage, one.round, one.swab) for one in visit.swabs]
    [('as_found', 1, 1), ('as_found', 1, 2), ('cleaned', 1, 1), ('cleaned', 1, 2)]
    """
    names = [point.name for point in points]
    if not points or len(set(names)) != len(names):
        raise OutOfRange("points", names, N_("at least one point, each with a name of its own"))
    if rounds < 1 or swabs_each < 1:
        raise OutOfRange("rounds", (rounds, swabs_each), N_("1 or more cleanings, 1 or more swabs each"))
    steps = [("as_found", 1), *(("cleaned", one) for one in range(1, rounds + 1))]
    if treated_log10 is not None:
        steps.append(("treated", 1))
    truth = _truth(rng, points, rounds, treated_log10)
    # One call for all, so that a bias of the visit is the same at every step.
    taken = swabs(rng, truth.T.ravel(), swabs_each, meter=meter, habits=habits)
    shown = iter((meter or Meter()).shown(taken.signal_rlu))
    faults, true_rlu = iter(taken.fault.ravel().tolist()), iter(taken.true_rlu.ravel().tolist())
    return SimulatedVisit(tuple(
        SimulatedSwab(point.name, point.surface, stage, round_, swab, next(shown), FAULT_WORDS[next(faults)],
                      next(true_rlu))
        for stage, round_ in steps for point in points for swab in range(1, swabs_each + 1)))


def _truth(rng: np.random.Generator, points: Sequence[SimulatedPoint], rounds: int,
           treated_log10: float | None) -> Array:
    """Return the true residue after each step, shape (points, steps), RLU."""
    soil = rng.normal([one.soil_log10 for one in points], [one.soil_spread_log10 for one in points])
    mean = np.array([one.cleaning_log10 for one in points])
    spread = np.array([one.cleaning_spread_log10 for one in points])
    fall = rng.normal(mean[:, None], spread[:, None], (len(points), rounds))
    if treated_log10 is not None:
        fall = np.column_stack([fall, rng.normal(treated_log10, spread)])
    # A cleaning can move dirt onto a point; it then gets dirtier, and the negative fall stays.
    return np.asarray(10.0 ** (soil[:, None] - np.column_stack([np.zeros(len(points)), np.cumsum(fall, axis=1)])))

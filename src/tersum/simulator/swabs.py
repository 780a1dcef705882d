"""Simulated swabs: what is read of a known residue, with everything that spoils a reading."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from tersum.errors import N_, OutOfRange
from tersum.simulator.meter import Array, Meter

COUNTED, WET, CHEMICAL_LEFT, NOT_FRESH, VOIDED_AFTER = range(5)
FAULT_WORDS = ("", "wet-surface", "chemical-left", "not-a-fresh-area", "voided-after-the-number")


@dataclass(frozen=True)
class Habits:
    """How the swabs are taken. Shares are fractions of points or swabs; the default is flawless work.

    ``shared_bias_log10`` is the standard deviation, between visits, of a bias that all swabs of a visit share. A wet
    surface and a chemical left multiply the signal by their factors: below 1 they quench, above 1 they enhance. Where
    no fresh area is left, each swab on the same spot finds ``lift_frac`` less than the one before. With
    ``asks_before`` all this is asked and recorded before the swab is opened, so that the swab does not count (and the
    chemical is rinsed off for the next one); without it the spoilt reading counts. Voiding after the number was seen
    drops up to ``voids_after_most`` swabs a point that read above ``voids_after_above_rlu``.
    """

    shared_bias_log10: float = 0.0
    wet_frac: float = 0.0
    wet_factor: float = 0.5
    chemical_left_frac: float = 0.0
    chemical_factor: float = 0.3
    same_spot_frac: float = 0.0
    lift_frac: float = 0.3
    asks_before: bool = True
    voids_after_above_rlu: float = math.inf
    voids_after_most: int = 0

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            most = 1.0 if each.name.endswith("_frac") else math.inf
            if not 0.0 <= value <= most:
                raise OutOfRange(each.name, value, N_("0 or more; a share is at most 1"))


@dataclass(frozen=True)
class Swabs:
    """Swabs with the truth beside them, each array of shape (points, swabs), RLU.

    ``true_rlu`` is the median residue of the area under the swab before any swab touched the point, ``signal_rlu`` the
    light, ``low_rlu`` and ``high_rlu`` what the display says of it. ``fault`` is COUNTED, or why the swab does not
    count: WET, CHEMICAL_LEFT, NOT_FRESH (all before the number) or VOIDED_AFTER.
    """

    true_rlu: Array
    signal_rlu: Array
    low_rlu: Array
    high_rlu: Array
    fault: npt.NDArray[np.int8]


def swabs(rng: np.random.Generator, true_rlu: npt.ArrayLike, count: int, *, meter: Meter | None = None,
          habits: Habits | None = None, visit_index: npt.NDArray[np.int64] | None = None) -> Swabs:
    """Take ``count`` swabs at each of many points of known residue.

    Parameters
    ----------
    rng : numpy.random.Generator
        Seeded by the caller; the same seed gives the same swabs.
    true_rlu : array_like, shape (points,)
        True median residue of each point by this method, RLU, above 0.
    count : int
        Swabs a point, 1 or more.
    meter, habits : optional
        The meter and how the swabs are taken; by default an invented meter and flawless work.
    visit_index : ndarray of int, shape (points,), optional
        Visit of each point, 0 or more; by default all points belong to one visit.

    Returns
    -------
    Swabs
        In the order in which the swabs are taken at each point.

    Raises
    ------
    OutOfRange
        If a residue is not above 0 or no swab is asked for.

    Source
    ------
    Log-normal reading error, common practice in ISO 5725-2:2019 terms (from memory). How far each fault moves a reading
    is the caller's to choose: the defaults are invented, of the size that published studies report.

    Examples
    --------
    >>> taken = swabs(np.random.default_rng(7), [300.0, 20.0], 2, meter=Meter(spread_log10=0.2))
    >>> taken.true_rlu[:, 0].tolist(), taken.high_rlu.shape, bool((taken.fault == COUNTED).all())
    ([300.0, 20.0], (2, 2), True)
    """
    truth = np.asarray(true_rlu, dtype=np.float64)
    if truth.ndim != 1 or truth.size == 0 or not truth.min() > 0.0:
        raise OutOfRange("true_rlu", true_rlu, N_("a row of residues, each above 0"))
    if count < 1:
        raise OutOfRange("count", count, N_("1 or more"))
    meter, habits = meter or Meter(), habits or Habits()
    visit = np.zeros(truth.size, dtype=np.int64) if visit_index is None else visit_index
    bias = rng.normal(0.0, habits.shared_bias_log10, int(visit.max()) + 1)[visit]
    shape = (truth.size, count)
    errors = rng.normal(0.0, meter.spread_log10, shape)
    factor, fault = _spoilt(rng, shape, habits)
    signal = truth[:, None] * factor * 10.0 ** (errors + bias[:, None])
    low, high = meter.bounds(signal)
    fault[(fault == COUNTED) & _voided_after(high, habits)] = VOIDED_AFTER
    return Swabs(np.repeat(truth[:, None], count, axis=1), signal, low, high, fault)


def counted_first(taken: Swabs, count: int) -> tuple[Array, Array, npt.NDArray[np.bool_]]:
    """Return low and high log10 bounds of the first ``count`` counted swabs of each point, and whether each exists.

    Examples
    --------
    >>> taken = swabs(np.random.default_rng(1), [300.0], 3, habits=Habits(wet_frac=1.0))
    >>> counted_first(taken, 1)[2].tolist()
    [[False]]
    """
    order = np.argsort(taken.fault != COUNTED, axis=1, kind="stable")[:, :count]
    with np.errstate(divide="ignore"):
        low = np.log10(np.take_along_axis(taken.low_rlu, order, axis=1))
        high = np.log10(np.take_along_axis(taken.high_rlu, order, axis=1))
    return low, high, np.take_along_axis(taken.fault, order, axis=1) == COUNTED


def _spoilt(rng: np.random.Generator, shape: tuple[int, int], habits: Habits
            ) -> tuple[Array, npt.NDArray[np.int8]]:
    """Return what each swab's signal is multiplied by, and the fault recorded before it was opened."""
    factor, fault = np.ones(shape), np.full(shape, COUNTED, dtype=np.int8)
    wet = rng.random(shape) < habits.wet_frac
    chemical = np.zeros(shape, dtype=bool)
    chemical[:, : 1 if habits.asks_before else None] = (rng.random(shape[0]) < habits.chemical_left_frac)[:, None]
    same_spot = np.repeat((rng.random(shape[0]) < habits.same_spot_frac)[:, None], shape[1], axis=1)
    factor *= np.where(same_spot, _left_by_earlier_swabs(shape[1], habits), 1.0)
    factor[wet] *= habits.wet_factor
    factor[chemical] *= habits.chemical_factor
    if habits.asks_before:
        same_spot[:, 0] = False
        fault[same_spot], fault[chemical], fault[wet] = NOT_FRESH, CHEMICAL_LEFT, WET
    return factor, fault


def _left_by_earlier_swabs(count: int, habits: Habits) -> Array:
    return np.asarray((1.0 - habits.lift_frac) ** np.arange(count))


def _voided_after(shown_rlu: Array, habits: Habits) -> npt.NDArray[np.bool_]:
    """Return which swabs are dropped because of the number they showed: the worst kind of choice."""
    bad = shown_rlu > habits.voids_after_above_rlu
    return np.asarray(bad & (np.cumsum(bad, axis=1) <= habits.voids_after_most))

"""How long a chart runs before it signals: what each rule costs in false alarms and in time to find a shift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from tersum.arguments import Array, real, reals, whole
from tersum.errors import N_, OutOfRange

RULES = ("beyond-3", "2-of-3-beyond-2", "4-of-5-beyond-1", "8-on-one-side")
_CELLS = 401


def shewhart_run_length(shift_sigma: ArrayLike, *, limits_sigma: float = 3.0) -> Array:
    """Return the mean number of values up to the first outside limits, for a shift in standard deviations.

    Raises
    ------
    OutOfRange
        If ``limits_sigma`` is not above 0.

    Source
    ------
    One over the normal tails; NIST/SEMATECH e-Handbook 6.3.2 states 371 (read as quoted).

    Examples
    --------
    >>> shewhart_run_length([0.0, 1.0]).round(1).tolist()
    [370.4, 43.9]
    """
    shift, width = reals("shift_sigma", shift_sigma), real("limits_sigma", limits_sigma, above=0.0)
    return np.asarray(1.0 / (ndtr(-width - shift) + ndtr(-width + shift)))


def cusum_run_length(shift_sigma: ArrayLike, *, allowance: float, limit: float) -> Array:
    """Return the mean run length of a two-sided cumulative sum, allowance and limit in standard deviations.

    Raises
    ------
    OutOfRange
        If ``allowance`` is below 0 or ``limit`` not above 0.

    Source
    ------
    Brook & Evans 1972, Biometrika 59:539 (Markov chain, known from memory); both sides combined as one over the sum of
    their rates (exact for an allowance not below half the limit's reach, as usual designs are). Lucas & Crosier 1982,
    Technometrics 24:199, Table 1 (read as reproduced).

    Examples
    --------
    >>> cusum_run_length([0.0, 1.0], allowance=0.5, limit=4.0).round(1).tolist()
    [167.7, 8.4]
    """
    slack, level = real("allowance", allowance, at_least=0.0), real("limit", limit, above=0.0)
    shifts = reals("shift_sigma", shift_sigma)
    rates = [sum(1.0 / _one_sided_cusum(side, slack, level) for side in (shift, -shift)) for shift in shifts.ravel()]
    return np.asarray(1.0 / np.array(rates)).reshape(shifts.shape)


def ewma_run_length(shift_sigma: ArrayLike, *, lam: float, width: float) -> Array:
    """Return the mean run length of a weighted mean with its later limits, from a start at the target.

    Raises
    ------
    OutOfRange
        If ``lam`` is not above 0 and up to 1, or ``width`` not above 0.

    Source
    ------
    Markov chain; Lucas & Saccucci 1990, Technometrics 32:1 (known from memory).

    Examples
    --------
    >>> ewma_run_length([0.0, 1.0], lam=0.2, width=2.962).round(1).tolist()
    [499.7, 10.5]
    """
    weight, times = real("lam", lam, above=0.0, at_most=1.0), real("width", width, above=0.0)
    shifts = reals("shift_sigma", shift_sigma)
    reach = times * np.sqrt(weight / (2.0 - weight))
    edges = np.linspace(-reach, reach, _CELLS + 1)
    middles = (edges[1:] + edges[:-1]) / 2.0
    found = []
    for shift in shifts.ravel():
        z = (edges[None, :] - (1.0 - weight) * middles[:, None]) / weight - shift
        found.append(_mean_steps(np.diff(ndtr(z), axis=1))[_CELLS // 2])
    return np.array(found).reshape(shifts.shape)


def rules_run_length(rules: Sequence[str], *, shift_sigma: float = 0.0) -> float:
    """Return the mean run length of several rules of runs together.

    Parameters
    ----------
    rules : sequence of str
        Out of ``beyond-3``, ``2-of-3-beyond-2``, ``4-of-5-beyond-1`` and ``8-on-one-side``.
    shift_sigma : float
        Of the mean, in standard deviations.

    Raises
    ------
    OutOfRange
        If a rule is not one of these.

    Source
    ------
    Champ & Woodall 1987, Technometrics 29:393 (91.75 for all four, read as quoted), by a Markov chain over what the
    rules remember. Every rule that is added costs false alarms.

    Examples
    --------
    >>> round(rules_run_length(["beyond-3"]), 1), round(rules_run_length(RULES), 2)
    (370.4, 91.75)
    """
    if not rules or set(rules) - set(RULES):
        raise OutOfRange("rules", ", ".join(rules), "{names}", names=", ".join(RULES))
    shares = np.diff(ndtr(np.array([-np.inf, -3, -2, -1, 0, 1, 2, 3, np.inf]) - real("shift_sigma", shift_sigma)))
    start: State = ((), (), 0)
    places: dict[State, int] = {start: 0}
    queue, moves = [start], []
    for state in queue:
        for zone, share in zip((-4, -3, -2, -1, 1, 2, 3, 4), shares, strict=True):
            after = _next(state, zone, frozenset(rules))
            if after is None:
                continue
            if after not in places:
                places[after] = len(places)
                queue.append(after)
            moves.append((places[state], places[after], share))
    chance = np.zeros((len(places), len(places)))
    for one, other, share in moves:
        chance[one, other] += share
    return float(_mean_steps(chance)[0])


State = tuple[tuple[int, ...], tuple[int, ...], int]


def _next(state: State, zone: int, rules: frozenset[str]) -> State | None:
    """Return what the rules remember after one more value, None where one of them signals.

    Remembered are the sides of the last two values beyond 2 and of the last four beyond 1 (0: not beyond), and the run
    on one side, signed.
    """
    twos, ones, run = state
    side = 1 if zone > 0 else -1
    beyond_2, beyond_1 = (side if abs(zone) > level else 0 for level in (2, 1))
    twos, ones = (*twos, beyond_2), (*ones, beyond_1)
    run = run + side if run * side > 0 else side
    signals = {"beyond-3": abs(zone) == 4, "2-of-3-beyond-2": beyond_2 and twos.count(side) >= 2,
               "4-of-5-beyond-1": beyond_1 and ones.count(side) >= 4, "8-on-one-side": abs(run) >= 8}
    if any(signals[rule] for rule in rules):
        return None
    return (twos[-2:] if "2-of-3-beyond-2" in rules else (), ones[-4:] if "4-of-5-beyond-1" in rules else (),
            run if "8-on-one-side" in rules else 0)


def _one_sided_cusum(shift: float, slack: float, level: float) -> float:
    cells = whole("cells", _CELLS)
    width = 2.0 * level / (2 * cells - 1)
    places = width * np.arange(cells)
    upper = ndtr(places[None, :] - places[:, None] + slack - shift + width / 2.0)
    lower = np.concatenate([np.zeros((cells, 1)), upper[:, :-1]], axis=1)
    return float(_mean_steps(upper - lower)[0])


def _mean_steps(chance: Array) -> Array:
    """Return the mean number of steps until a chain leaves the states of a matrix of chances."""
    size = chance.shape[0]
    if size < 1:
        raise OutOfRange("states", size, N_("one state or more"))
    return np.asarray(np.linalg.solve(np.eye(size) - chance, np.ones(size)))

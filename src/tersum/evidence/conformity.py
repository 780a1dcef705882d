"""Whether a point lies at or below its limit, how sure that is, and what is to be done with it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, stdtr

from tersum.arguments import Array, real, reals, wholes
from tersum.errors import N_, OutOfRange
from tersum.evidence.looks import first_time_share, release_multiplier, share_at_each_look, within_looks_share
from tersum.evidence.whole_visit import StratumShare, all_conform, drawn_stratum_share, each_needed

__all__ = [
    "CLEAN_AGAIN", "DONE", "NOT_READ", "SWAB_AGAIN", "WORDS", "GroupedConformity", "Guard", "StratumShare",
    "all_conform", "conformity_of_groups", "decide_arrays", "drawn_stratum_share", "each_needed", "first_time_share",
    "p_conform", "release_level", "release_multiplier", "share_at_each_look", "with_shared_shift", "within_looks_share",
]

Counts = npt.NDArray[np.int64]
Codes = npt.NDArray[np.int8]
# Ordered from nothing known over good to bad, so that more residue never lowers the code of a read point.
NOT_READ, DONE, SWAB_AGAIN, CLEAN_AGAIN = range(4)
WORDS = ("not-read", "done", "swab-again", "clean-again")  # the word of each code, by its number
# A mean on the very line must fall the same way on every machine: closer than this, log10, counts as on the line.
_ON_THE_LINE = 5e-13
_BLOCK = 32768  # points at a time: what is in between then stays in the processor's cache


@dataclass(frozen=True)
class Guard:
    """What guards a release: the limit, the repeatability of one swab, and the number of looks.

    ``limit_rlu`` and ``spread_log10`` are numbers, or arrays with one value per point.
    """

    limit_rlu: npt.ArrayLike
    spread_log10: npt.ArrayLike
    degrees_of_freedom: float = math.inf
    looks: int = 2
    risk: float = 0.05


@dataclass(frozen=True)
class GroupedConformity:
    """Conformity of many points, each array of shape (points,).

    ``n`` counts the swabs. The mean of logs lies between ``low_mean_log10`` and ``high_mean_log10``, which differ where
    a reading is an inequality; a point without a swab lies between minus and plus infinity, and its ``p_conform`` is
    NaN. ``p_conform`` belongs to the high mean. ``code`` is NOT_READ, DONE, SWAB_AGAIN or CLEAN_AGAIN.
    """

    n: Counts
    low_mean_log10: Array
    high_mean_log10: Array
    p_conform: Array
    code: Codes


def p_conform(mean_log10: npt.ArrayLike, n: npt.ArrayLike, *, limit_rlu: npt.ArrayLike, spread_log10: npt.ArrayLike,
              degrees_of_freedom: float = math.inf) -> Array:
    """Return the probability that the true residue lies at or below the limit, given the mean of the readings.

    Parameters
    ----------
    mean_log10 : array_like
        Mean of the net log10 readings; minus or plus infinity where it is only bounded, NaN refused.
    n : array_like
        Number of swabs in the mean, 1 or more.
    limit_rlu : array_like
        Limit, RLU, above 0.
    spread_log10 : array_like
        Repeatability standard deviation of one swab, log10, above 0.
    degrees_of_freedom : float
        Degrees of freedom behind ``spread_log10``, 1 or more; infinity where it counts as known.

    Returns
    -------
    ndarray
        Probabilities, 0 to 1, in the common shape of the arguments.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 106:2012 clause 7 (flat prior; normal, or scaled and shifted t). The residue meant is the median of that area
    by that method; a bias of the method lies outside. Errors that several points share make it right on average but
    not point by point.

    Examples
    --------
    >>> round(float(p_conform(math.log10(200), 1, limit_rlu=300, spread_log10=0.17)), 2)
    0.85
    >>> round(float(p_conform(math.log10(200), 1, limit_rlu=300, spread_log10=0.17, degrees_of_freedom=5)), 2)
    0.83
    """
    mean = _values("mean_log10", mean_log10, N_("any number but NaN"))
    error = _spread(spread_log10) / np.sqrt(_counts(n, least=1))
    return _probability(mean, error, np.log10(_limit(limit_rlu)), _freedom(degrees_of_freedom))


def release_level(n: npt.ArrayLike, *, limit_rlu: npt.ArrayLike, spread_log10: npt.ArrayLike,
                  multiplier: float) -> Array:
    """Return the release level: the mean of ``n`` swabs at or below it releases the point.

    Parameters
    ----------
    n : array_like
        Number of swabs in the mean, 1 or more.
    limit_rlu : array_like
        Limit, RLU, above 0.
    spread_log10 : array_like
        Repeatability standard deviation of one swab, log10, above 0.
    multiplier : float
        From :func:`release_multiplier`, 0 or more.

    Returns
    -------
    ndarray
        Geometric means, RLU.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 106:2012 clause 8 (guarded acceptance) on the log10 scale: ``10**(log10 L - k s / sqrt(n))``.

    Examples
    --------
    >>> release_level([1, 2, 3], limit_rlu=300, spread_log10=0.17, multiplier=1.645).round().tolist()
    [158.0, 190.0, 207.0]
    """
    root = np.sqrt(_counts(n, least=1))
    guard = real("multiplier", multiplier, at_least=0.0) * _spread(spread_log10) / root
    return np.asarray(10.0 ** (np.log10(_limit(limit_rlu)) - guard))


def with_shared_shift(mean_log10: npt.ArrayLike, n: npt.ArrayLike, *, limit_rlu: npt.ArrayLike,
                      spread_log10: npt.ArrayLike, degrees_of_freedom: float = math.inf,
                      shift_frac: float = 0.2) -> Array:
    """Return :func:`p_conform` if all true values were higher than read by one common share (20 % unless set).

    It shows how far the statement about a visit hangs on a bias that all its swabs share: a lot, a cold swab, a person.

    Examples
    --------
    >>> round(float(with_shared_shift(math.log10(200), 1, limit_rlu=300, spread_log10=0.17)), 2)
    0.72
    """
    shift = math.log10(1.0 + real("shift_frac", shift_frac, above=-1.0))
    mean = _values("mean_log10", mean_log10, N_("any number but NaN"))
    return p_conform(mean + shift, n, limit_rlu=limit_rlu, spread_log10=spread_log10,
                     degrees_of_freedom=degrees_of_freedom)


def decide_arrays(low_mean_log10: npt.ArrayLike, high_mean_log10: npt.ArrayLike, n: npt.ArrayLike, *,
                  log10_limit: npt.ArrayLike, spread_log10: npt.ArrayLike, multiplier: float,
                  looks_left: npt.ArrayLike) -> Codes:
    """Return what is to be done at each of many points.

    Parameters
    ----------
    low_mean_log10, high_mean_log10 : array_like
        Bounds of the mean of the net log10 readings of the round, low at most high; infinities allowed, NaN refused.
    n : array_like
        Number of swabs in the mean, 0 or more; 0 gives NOT_READ.
    log10_limit : array_like
        log10 of the limit in RLU, finite.
    spread_log10 : array_like
        Repeatability standard deviation of one swab, log10, above 0.
    multiplier : float
        From :func:`release_multiplier`, 0 or more.
    looks_left : array_like
        Looks left after these swabs, 0 or more; 0 where no fresh adjacent area is left.

    Returns
    -------
    ndarray of int8
        DONE where the high bound lies at or below the release level; CLEAN_AGAIN where the low bound lies above the
        limit; else SWAB_AGAIN while a look is left, and CLEAN_AGAIN on the last.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 106:2012 clause 8 with a third answer between acceptance and rejection. It looks at the whole round at once:
    a point whose earlier look was above the limit has had its answer already and must not be asked again.

    Examples
    --------
    >>> codes = decide_arrays([2.0, 2.3, 2.6, 0.0], [2.0, 2.3, 2.6, 0.0], [1, 1, 1, 0], log10_limit=math.log10(300),
    ...                       spread_log10=0.205, multiplier=1.871, looks_left=1)
    >>> [WORDS[code] for code in codes]
    ['done', 'swab-again', 'clean-again', 'not-read']
    """
    low = _values("low_mean_log10", low_mean_log10, N_("any number but NaN"))
    high = _values("high_mean_log10", high_mean_log10, N_("any number but NaN"))
    if low is not high and np.any(low > high):
        raise OutOfRange("low_mean_log10", float(np.max(low)), N_("at most the high mean"))
    limit = _values("log10_limit", log10_limit, N_("a finite number"), above=-math.inf, below=math.inf)
    counts, left = _counts(n), _counts(looks_left, "looks_left")
    reach = real("multiplier", multiplier, at_least=0.0) * _spread(spread_log10) / np.sqrt(np.maximum(counts, 1))
    shape = np.broadcast_shapes(*map(np.shape, (low, high, counts, limit, reach, left)))
    return _codes(np.broadcast_to(low, shape), high, counts, limit, reach, left > 0)


def conformity_of_groups(log10_readings: npt.ArrayLike, group_index: npt.ArrayLike, n_groups: int, *, guard: Guard,
                         log10_high: npt.ArrayLike | None = None) -> GroupedConformity:
    """Return the conformity of many points from their single readings, one vectorised pass each.

    Parameters
    ----------
    log10_readings : array_like, shape (readings,)
        Net log10 readings, or their low bounds: minus infinity where nothing bounds a reading from below.
    group_index : array_like of int, shape (readings,)
        Point of each reading, 0 to ``n_groups`` - 1, in any order; sorted is faster.
    n_groups : int
        Number of points, 1 or more.
    guard : Guard
        Limit, spread and looks; arrays in it have shape (n_groups,).
    log10_high : array_like, shape (readings,), optional
        High bounds where they differ: plus infinity for a reading over the meter's range.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    As :func:`p_conform` and :func:`decide_arrays`.

    Examples
    --------
    >>> points = conformity_of_groups(np.log10([120.0, 90.0, 400.0]), [0, 0, 2], 3,
    ...                               guard=Guard(limit_rlu=300, spread_log10=0.205))
    >>> points.n.tolist(), [WORDS[code] for code in points.code], points.p_conform.round(3).tolist()
    ([2, 0, 1], ['done', 'not-read', 'clean-again'], [0.999, nan, 0.271])
    """
    index = _counts(group_index, "group_index")
    low = _values("log10_readings", log10_readings, N_("below infinity, not NaN"), below=math.inf)
    high = low if log10_high is None else _values("log10_high", log10_high, N_("above -infinity"), above=-math.inf)
    for field, size in (("log10_readings", low.shape), ("log10_high", high.shape)):
        if index.ndim != 1 or size != index.shape:
            raise OutOfRange(field, size, N_("as many values as group_index, in one row"))
    if n_groups < 1 or index.max(initial=0) >= n_groups:
        raise OutOfRange("group_index", int(index.max(initial=0)), N_("below the number of points"))
    limit, spread = np.log10(_limit(guard.limit_rlu)), _spread(guard.spread_log10)
    multiplier = release_multiplier(guard.looks, guard.degrees_of_freedom, risk=guard.risk)
    n = np.bincount(index, minlength=n_groups)
    low_mean = np.asarray(np.bincount(index, weights=low, minlength=n_groups), dtype=np.float64)
    high_mean = low_mean if high is low and n.min() > 0 else (
        np.asarray(np.bincount(index, weights=high, minlength=n_groups), dtype=np.float64))
    freedom = _freedom(guard.degrees_of_freedom)
    settled = GroupedConformity(n, low_mean, high_mean, np.empty(n_groups), np.empty(n_groups, dtype=np.int8))
    for start in range(0, n_groups, _BLOCK):
        part = slice(start, start + _BLOCK)
        _settle(settled, part, np.broadcast_to(limit, n.shape)[part], np.broadcast_to(spread, n.shape)[part],
                (multiplier, guard.looks, freedom))
    return settled


def _settle(points: GroupedConformity, part: slice, log10_limit: Array, spread: Array,
            terms: tuple[float, int, float]) -> None:
    """Turn the sums of a block of points into means, probabilities and codes, in place."""
    multiplier, looks, freedom = terms
    n, low, high = points.n[part], points.low_mean_log10[part], points.high_mean_log10[part]
    counted, unread = np.maximum(n, 1.0), n == 0
    low /= counted
    if points.high_mean_log10 is not points.low_mean_log10:
        high /= counted
        np.copyto(low, -math.inf, where=unread)
        np.copyto(high, math.inf, where=unread)
    error = spread / np.sqrt(counted, out=counted)
    points.p_conform[part] = _probability(high, error, log10_limit, freedom)
    points.p_conform[part][unread] = math.nan
    points.code[part] = _codes(low, high, n, log10_limit, multiplier * error, n < looks)


def _probability(mean: Array, error: Array, log10_limit: Array, freedom: float) -> Array:
    distance = (log10_limit - mean) / error
    return np.asarray(ndtr(distance) if math.isinf(freedom) else stdtr(freedom, distance))


def _codes(low: Array, high: Array, n: Counts, log10_limit: Array, reach: Array, look_left: npt.NDArray[np.bool_]
           ) -> Codes:
    """Return the code of each point; ``reach`` is the multiplier times the standard error of the mean."""
    again = (low > log10_limit + _ON_THE_LINE) | ~look_left
    held = high > log10_limit + _ON_THE_LINE - reach
    # In whole numbers and without branches: masks as irregular as these cost more than the sums. Held points get
    # SWAB_AGAIN, one more where it must be cleaned again; released ones DONE; points without a swab 0, NOT_READ.
    return ((again.astype(np.int8) + np.int8(1)) * held.astype(np.int8) + np.int8(DONE)) * (n > 0).astype(np.int8)


def _values(field: str, values: npt.ArrayLike, accepted: str, *, above: float = -math.nan,
            below: float = math.nan) -> Array:
    """Return floats; an end of the range that is not NaN is itself not accepted."""
    floats = values if isinstance(values, np.ndarray) and values.dtype == np.float64 else (
        reals(field, values, infinite=True))
    if floats.size:
        # The extremes tell all in one pass without a temporary; one NaN makes both of them NaN.
        least, most = float(floats.min()), float(floats.max())
        if math.isnan(least) or least == above or most == below:
            raise OutOfRange(field, least if math.isnan(least) or least == above else most, accepted)
    return floats


def _counts(values: npt.ArrayLike, field: str = "n", least: int = 0) -> Counts:
    if isinstance(values, np.ndarray) and values.dtype.kind in "iu":
        if values.size and values.min() < least:
            raise OutOfRange(field, int(values.min()), N_("a whole number, {low} or more"), low=least)
        return values.astype(np.int64, copy=False)
    return np.asarray(wholes(field, values, at_least=least)).astype(np.int64)


def _limit(limit_rlu: npt.ArrayLike) -> Array:
    return reals("limit_rlu", limit_rlu, above=0.0)


def _spread(spread_log10: npt.ArrayLike) -> Array:
    return reals("spread_log10", spread_log10, above=0.0)


def _freedom(degrees_of_freedom: float) -> float:
    return real("degrees_of_freedom", degrees_of_freedom, at_least=1.0, infinite=True)

"""What several looks at one point cost: the guard multiplier that keeps a false release as rare as for one look."""

from __future__ import annotations

import functools
import math

import numpy as np
import numpy.typing as npt
from scipy.special import gammainccinv, gammaincinv, gammaln, ndtr, ndtri, stdtrit

from tersum.arguments import Array, real, reals, whole
from tersum.errors import N_, OutOfRange

MOST_LOOKS = 5
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)
_RATIO_NODES, _RATIO_WEIGHTS = np.polynomial.legendre.leggauss(64)
_FAR = 9.5  # a release this many standard deviations below the truth has a chance below 1e-20


def release_multiplier(looks: int, degrees_of_freedom: float = math.inf, *, risk: float = 0.05) -> float:
    """Return the multiplier ``k`` of the release level for a planned number of looks.

    At look ``i`` the mean of all ``i`` swabs so far is held against ``log10 L - k s / sqrt(i)``: at or below it the
    point is released; above ``log10 L`` it is cleaned again; between the two one more swab is taken while a look is
    left. ``k`` is such that a point whose truth lies exactly at the limit is released at any of the looks with
    probability ``risk``.

    Parameters
    ----------
    looks : int
        Planned number of looks, 1 to 5.
    degrees_of_freedom : float
        Degrees of freedom behind ``s``, 1 or more; infinity where ``s`` counts as known. The same ``s`` is used at
        every look.
    risk : float
        Accepted probability of a false release, 0.000001 to 0.5.

    Returns
    -------
    float
        ``k``, 0 or more.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 106:2012 clause 8 (guarded acceptance) for one look: the quantile of the normal or of Student's t
    distribution. Several looks: EURACHEM/CITAC 2021 section 4.5 foresees two-stage rules; the risk is computed here by
    quadrature (Armitage, McPherson & Rowe 1969, J. R. Statist. Soc. A 132:235, recursion for repeated looks) and
    averaged over the distribution of an estimated ``s``. Holds for independent errors of equal spread that are normal
    on the log10 scale. Swabs on the same spot break it: with 30 % lifted by each swab and two looks the false releases
    about double.

    Examples
    --------
    >>> [round(release_multiplier(looks), 3) for looks in (1, 2, 3)]
    [1.645, 1.871, 1.979]
    >>> round(release_multiplier(2, 10), 2)
    2.08
    """
    freedom = real("degrees_of_freedom", degrees_of_freedom, at_least=1.0, infinite=True)
    return _multiplier(_planned(looks), freedom, real("risk", risk, at_least=1e-6, at_most=0.5))


def false_release(multiplier: float, looks: int, *, degrees_of_freedom: float = math.inf) -> float:
    """Return the chance that a point exactly at its limit is released at any of the looks, for a given multiplier.

    It shows what the guard of one look costs when it is used again at every further look.

    Parameters
    ----------
    multiplier : float
        Of the release level at every look, above 0.
    looks : int
        Planned number of looks, 1 to 5.
    degrees_of_freedom : float
        Degrees of freedom behind the spread, 1 or more; infinity where it is known.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    As for :func:`release_multiplier`, of which this is the inverse.

    Examples
    --------
    >>> [round(false_release(1.6449, looks), 3) for looks in (1, 2, 3)]
    [0.05, 0.079, 0.096]
    """
    guard = real("multiplier", multiplier, above=0.0)
    freedom = real("degrees_of_freedom", degrees_of_freedom, at_least=1.0, infinite=True)
    return _false_release(guard, _planned(looks), freedom)


def first_time_share(true_fraction: npt.ArrayLike, *, spread_log10: float, degrees_of_freedom: float = math.inf,
                     looks: int = 2, swabs: int = 1, risk: float = 0.05, multiplier: float | None = None) -> Array:
    """Return the share of points released at the first look when the truth is a given fraction of the limit.

    Parameters
    ----------
    true_fraction : array_like
        True residue over the limit, above 0.
    spread_log10 : float
        True repeatability of one swab, log10, above 0.
    degrees_of_freedom : float
        Degrees of freedom behind the estimate of that spread that decides, 1 or more; infinity where it is known.
    looks : int
        Planned number of looks, 1 to 5: it sets the multiplier.
    swabs : int
        Swabs taken at each look, 1 or more.
    risk : float
        Accepted probability of a false release, 0.000001 to 0.5.
    multiplier : float or None
        Of an agreed release level, above 0, where it is not the one that ``looks`` and ``risk`` ask for.

    Returns
    -------
    ndarray
        Shares, 0 to 1, in the shape of ``true_fraction``.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    JCGM 106:2012 clause 8, as in :func:`release_multiplier`.

    Examples
    --------
    >>> first_time_share([1 / 2, 1 / 3, 1 / 5], spread_log10=0.17, looks=1).round(2).tolist()
    [0.55, 0.88, 0.99]
    """
    k = release_multiplier(looks, degrees_of_freedom, risk=risk) if multiplier is None else real(
        "multiplier", multiplier, above=0.0)
    return np.asarray(_shares(true_fraction, spread_log10, degrees_of_freedom, 1, swabs, k)[0])


def within_looks_share(true_fraction: npt.ArrayLike, *, spread_log10: float, degrees_of_freedom: float = math.inf,
                       looks: int = 2, swabs: int = 1, risk: float = 0.05) -> Array:
    """Return the share of points released at any of the planned looks; parameters as :func:`first_time_share`.

    Examples
    --------
    >>> float(within_looks_share(1.0, spread_log10=0.17, looks=2).round(4))
    0.05
    """
    shares = share_at_each_look(true_fraction, spread_log10=spread_log10, degrees_of_freedom=degrees_of_freedom,
                                looks=looks, swabs=swabs, risk=risk)
    return np.asarray(shares.sum(axis=0))


def share_at_each_look(true_fraction: npt.ArrayLike, *, spread_log10: float, degrees_of_freedom: float = math.inf,
                       looks: int = 2, swabs: int = 1, risk: float = 0.05) -> Array:
    """Return the share released at each look, shape (looks, ...); parameters as :func:`first_time_share`.

    Examples
    --------
    >>> share_at_each_look(1 / 3, spread_log10=0.205).round(2).tolist()
    [0.68, 0.25]
    """
    k = release_multiplier(looks, degrees_of_freedom, risk=risk)
    return _shares(true_fraction, spread_log10, degrees_of_freedom, looks, swabs, k)


def _shares(true_fraction: npt.ArrayLike, spread_log10: float, degrees_of_freedom: float, looks: int, swabs: int,
            multiplier: float) -> Array:
    """Return the share released at each look, shape (looks, ...)."""
    fraction = reals("true_fraction", true_fraction, above=0.0)
    spread = real("spread_log10", spread_log10, above=0.0)
    freedom = real("degrees_of_freedom", degrees_of_freedom, at_least=1.0, infinite=True)
    drift = np.log10(fraction) / spread * math.sqrt(whole("swabs", swabs, at_least=1))
    shares = np.empty((looks, drift.size))
    for place, one in enumerate(drift.flat):
        ratio, weight = _spread_ratios(freedom, (_FAR + abs(one)) / max(multiplier, 1e-9))
        shares[:, place] = _released_by_look(float(one), multiplier * ratio, looks) @ weight
    return shares.reshape(looks, *drift.shape)


@functools.lru_cache(maxsize=1024)
def _multiplier(looks: int, freedom: float, risk: float) -> float:
    low = max(0.0, _one_look(freedom, risk))
    if looks == 1 or low == 0.0:
        return low
    # The true one lies between: one look alone already spends the risk at ``low``; at ``high`` each look spends at
    # most its equal part of it (Bonferroni). The logarithm of the risk is nearly straight there, so that secants reach
    # the last digits in a few steps.
    high = _one_look(freedom, risk / looks)
    at_low, at_high = _log_excess(low, looks, freedom, risk), _log_excess(high, looks, freedom, risk)
    while abs(at_high) > 1e-12 and abs(high - low) > 1e-12 * high:
        low, high = high, high - at_high * (high - low) / (at_high - at_low)
        at_low, at_high = at_high, _log_excess(high, looks, freedom, risk)
    return round(high, 9)  # the last bits differ between machines; a release level must not


def _log_excess(multiplier: float, looks: int, freedom: float, risk: float) -> float:
    return math.log(_false_release(multiplier, looks, freedom) / risk)


def _false_release(multiplier: float, looks: int, freedom: float) -> float:
    ratio, weight = _spread_ratios(freedom, _FAR / multiplier)
    return float((_released_by_look(0.0, multiplier * ratio, looks) @ weight).sum())


def _planned(looks: int) -> int:
    planned = whole("looks", looks, at_least=1)
    if planned > MOST_LOOKS:
        raise OutOfRange("looks", looks, N_("1 to {most}"), most=MOST_LOOKS)
    return planned


def _one_look(freedom: float, risk: float) -> float:
    return float(-ndtri(risk) if math.isinf(freedom) else -stdtrit(freedom, risk))


@functools.lru_cache(maxsize=64)
def _chi_range(freedom: float) -> tuple[float, float]:
    half = freedom / 2.0
    return math.sqrt(gammaincinv(half, 1e-13) / half), math.sqrt(gammainccinv(half, 1e-13) / half)


def _spread_ratios(freedom: float, highest: float) -> tuple[Array, Array]:
    """Return nodes and weights for averaging over estimated spread / true spread, up to ``highest``.

    Beyond ``highest`` nothing is released, so that the weights need not add up to 1.
    """
    if freedom > 1e6:  # the multiplier then differs from that of a known spread by less than 0.00001
        return np.ones(1), np.ones(1)
    low, high = _chi_range(freedom)
    high = max(low, min(high, highest))
    ratio = low + (high - low) * (_RATIO_NODES + 1.0) / 2.0
    half = freedom / 2.0
    log_density = (math.log(2.0) + half * math.log(half) - gammaln(half)
                   + (freedom - 1.0) * np.log(ratio) - half * ratio**2)
    return ratio, np.exp(log_density) * _RATIO_WEIGHTS * (high - low) / 2.0


def _released_by_look(drift: float, guard: Array, looks: int) -> Array:
    """Return the chance of release at each look, shape (looks, guards).

    The sum of the swabs so far, in true standard deviations from the limit, walks with steps N(drift, 1). At look i it
    is released at or below ``-guard * sqrt(i)`` and cleaned again above 0; the density in between is carried on.
    """
    released = [ndtr(-guard - drift)]
    start, mass = np.zeros((guard.size, 1)), np.ones((guard.size, 1))
    for look in range(2, looks + 1):
        centre, reach = (look - 1) * drift, _FAR * math.sqrt(look - 1)
        top = min(0.0, centre + reach)
        bottom = np.minimum(top, np.maximum(-guard * math.sqrt(look - 1), centre - reach))
        here = bottom[:, None] + (top - bottom)[:, None] * (_NODES + 1.0) / 2.0
        step = here[:, None, :] - start[:, :, None] - drift
        mass = np.einsum("gs,gsh->gh", mass, np.exp(-0.5 * step**2) / math.sqrt(2.0 * math.pi))
        mass *= _WEIGHTS * (top - bottom)[:, None] / 2.0
        start = here
        released.append((mass * ndtr(-guard[:, None] * math.sqrt(look) - here - drift)).sum(axis=1))
    return np.array(released)

"""How many pairs, panels or points a trial needs to show a difference that is worth showing."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from numpy.typing import ArrayLike
from scipy.special import fdtri, ncfdtr, nctdtr, ndtri, stdtrit

from tersum.arguments import Array, probability, real, reals, whole
from tersum.errors import N_, OutOfRange
from tersum.evidence.search import smallest_fitting

_MOST = 1_000_000


@dataclass(frozen=True)
class MeanSize:
    """Size by the normal quantiles, by Student's t with the degrees of freedom of that size, and rounded up."""

    by_normal: float
    degrees_of_freedom: int
    by_t: float
    n: int


@dataclass(frozen=True)
class ProportionSize:
    """Size for a share, rounded up, without and with the continuity correction."""

    n: int
    n_with_continuity: int


@dataclass(frozen=True)
class VarianceFactors:
    """Variance of an effect over that of comparing the after values alone; below 1 is a gain."""

    ancova: Array
    change_score: Array


def size_for_mean(difference_in_sd: float, *, risk: float = 0.05, power: float = 0.9) -> MeanSize:
    """Return how many readings show that a mean has moved, one-sided.

    Parameters
    ----------
    difference_in_sd : float
        The difference to be shown over the standard deviation, above 0.
    risk : float
        Accepted chance of claiming a difference that is not there, one-sided, above 0 and below 0.5.
    power : float
        Wanted chance of showing it, 0.5 to below 1.

    Returns
    -------
    MeanSize
        ``by_t`` is one round of the iteration with ``n - 1`` degrees of freedom.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or the difference asks for fewer than two readings by the
        normal quantiles, where no spread can be estimated.

    Source
    ------
    NIST/SEMATECH e-Handbook 7.2.2.2. The t round differs by at most one or two readings from the exact noncentral
    calculation of :func:`pairs_for_difference`.

    Examples
    --------
    >>> size = size_for_mean(1.0)
    >>> round(size.by_normal, 3), round(size.by_t, 1), size.n
    (8.564, 10.6, 11)
    """
    effect = real("difference_in_sd", difference_in_sd, above=0.0)
    alpha, beta = _risks(risk, power)
    by_normal = float((ndtri(1.0 - alpha) + ndtri(1.0 - beta)) / effect) ** 2
    freedom = math.ceil(by_normal) - 1
    if freedom < 1:
        raise OutOfRange("difference_in_sd", effect, N_("a difference that takes two readings or more to show"))
    by_t = float((stdtrit(freedom, 1.0 - alpha) + stdtrit(freedom, 1.0 - beta)) / effect) ** 2
    return MeanSize(by_normal, freedom, by_t, math.ceil(by_t))


def size_for_proportion(usual_frac: float, other_frac: float, *, risk: float = 0.05,
                        power: float = 0.9) -> ProportionSize:
    """Return how many points show that a share has moved from the usual one, one-sided.

    Parameters
    ----------
    usual_frac, other_frac : float
        The usual share and the one to be told from it, above 0 and below 1, different.
    risk, power
        As for :func:`size_for_mean`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    NIST/SEMATECH e-Handbook 7.2.4.2 (known from memory). Normal approximation: too small where ``n`` times a share is
    below about 5.

    Examples
    --------
    >>> size_for_proportion(0.1, 0.2)
    ProportionSize(n=102, n_with_continuity=112)
    """
    usual, other = probability("usual_frac", usual_frac), probability("other_frac", other_frac)
    alpha, beta = _risks(risk, power)
    apart = abs(other - usual)
    if apart == 0.0:
        raise OutOfRange("other_frac", other_frac, N_("a share other than the usual one"))
    n = ((ndtri(1.0 - alpha) * math.sqrt(usual * (1.0 - usual)) + ndtri(1.0 - beta) * math.sqrt(other * (1.0 - other)))
         / apart) ** 2
    return ProportionSize(math.ceil(n), math.ceil(n + 1.0 / apart))


def pairs_for_difference(effect: float, *, risk: float = 0.05, power: float = 0.8) -> int:
    """Return how many pairs (two halves of a panel) a paired comparison needs, two-sided.

    Parameters
    ----------
    effect : float
        Mean log10 ratio over the standard deviation of paired log10 differences, not 0.
    risk : float
        Two-sided, above 0 and below 0.5.
    power : float
        Wanted chance of showing it, 0.5 to below 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above, or more than a million pairs would be needed.

    Source
    ------
    Noncentral t power of the paired t test (Cohen 1988 chapter 2, known from memory). Pairs are panels: several swabs
    of one panel are not several pairs.

    Examples
    --------
    >>> [pairs_for_difference(effect) for effect in (0.5, 0.8, 1.0)]
    [34, 15, 10]
    """
    size = _effect(effect)
    return _smallest(lambda n: _t_power(size * math.sqrt(n), n - 1, risk), size, power, risk)


def power_of_pairs(pairs: int, effect: float, *, risk: float = 0.05) -> float:
    """Return the chance that so many pairs show an effect, two-sided.

    Parameters
    ----------
    pairs : int
        2 or more.
    effect, risk : float
        As for :func:`pairs_for_difference`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    As for :func:`pairs_for_difference`, which returns the first number of pairs at which this reaches the power.

    Examples
    --------
    >>> [round(power_of_pairs(pairs, 0.5), 3) for pairs in (10, 33, 34)]
    [0.293, 0.795, 0.808]
    """
    n, size = whole("pairs", pairs, at_least=2), _effect(effect)
    return _t_power(size * math.sqrt(n), n - 1, real("risk", risk, above=0.0, below=0.5))


def groups_of_two(effect: float, *, risk: float = 0.05, power: float = 0.8) -> int:
    """Return how many panels each of two separate groups needs, two-sided.

    Parameters
    ----------
    effect, risk, power
        As for :func:`pairs_for_difference`, with the standard deviation within a group.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Noncentral t power of the two-sample t test; Cohen 1992, Psychol. Bull. 112:155, Table 2 (known from memory) prints
    393 where exact rounding up gives 394.

    Examples
    --------
    >>> [groups_of_two(effect) for effect in (0.2, 0.5, 0.8)]
    [394, 64, 26]
    """
    size = _effect(effect)
    return _smallest(lambda n: _t_power(size * math.sqrt(n / 2.0), 2 * n - 2, risk), size, power, risk)


def groups_for_anova(groups: int, effect_f: float, *, risk: float = 0.05, power: float = 0.8) -> int:
    """Return how many panels each of several groups needs for one analysis of variance.

    Parameters
    ----------
    groups : int
        Groups compared, 2 or more.
    effect_f : float
        Standard deviation of the group means over that within a group, above 0.
    risk, power
        As for :func:`pairs_for_difference`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Noncentral F power; Cohen 1992, Table 2 (known from memory) prints 52, 45 and 39 where rounding up gives the numbers
    below.

    Examples
    --------
    >>> [groups_for_anova(groups, 0.25) for groups in (3, 4, 5)]
    [53, 45, 40]
    """
    arms = whole("groups", groups, at_least=2)
    f = real("effect_f", effect_f, above=0.0)

    def power_at(n: int) -> float:
        freedom = arms * (n - 1)
        critical = fdtri(arms - 1, freedom, 1.0 - risk)
        return 1.0 - float(ncfdtr(arms - 1, freedom, arms * n * f * f, critical))

    return _smallest(power_at, f, power, risk)


def ancova_factors(correlation: ArrayLike) -> VarianceFactors:
    """Return what before values are worth in a randomised comparison of after values.

    Parameters
    ----------
    correlation : array_like
        Between log readings before and after on one panel, above -1 and below 1.

    Returns
    -------
    VarianceFactors
        Adjusting for the before value never loses; taking the difference loses wherever the correlation is below one
        half.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    ``1 - rho**2`` (Borm, Fransen & Lemmens 2007, J. Clin. Epidemiol. 60:1234) and ``2 (1 - rho)`` (Frison & Pocock
    1992), both known from memory.

    Examples
    --------
    >>> factors = ancova_factors([0.3, 0.5, 0.7])
    >>> factors.ancova.round(2).tolist(), factors.change_score.round(2).tolist()
    ([0.91, 0.75, 0.51], [1.4, 1.0, 0.6])
    """
    rho = reals("correlation", correlation, above=-1.0, below=1.0)
    return VarianceFactors(1.0 - rho * rho, 2.0 * (1.0 - rho))


def _risks(risk: float, power: float) -> tuple[float, float]:
    return real("risk", risk, above=0.0, below=0.5), 1.0 - real("power", power, at_least=0.5, below=1.0)


def _effect(effect: float) -> float:
    size = abs(real("effect", effect))
    if size == 0.0:
        raise OutOfRange("effect", effect, N_("not 0: no number of pairs shows that there is no difference"))
    return size


def _t_power(shift: float, freedom: int, risk: float) -> float:
    """Return the chance that a two-sided t test sees a shift stated in standard errors."""
    critical = stdtrit(freedom, 1.0 - risk / 2.0)
    # A t below 0 takes a normal value below minus the shift; far out, the distribution itself gives no number.
    wrong_side = nctdtr(freedom, shift, -critical) if shift < 8.0 else 0.0
    missed = nctdtr(freedom, shift, critical)
    return float(1.0 - (0.0 if math.isnan(missed) and shift > 3.0 * critical else missed) + wrong_side)


def _smallest(power_at: Callable[[int], float], effect: float, power: float, risk: float) -> int:
    """Return the smallest n, 2 or more, with the wanted power."""
    _, beta = _risks(risk, power)
    found = smallest_fitting(lambda n: power_at(n) >= 1.0 - beta, low=2, most=_MOST)
    if found is None:
        raise OutOfRange("effect", effect, N_("a difference that {most} can show"), most=_MOST)
    return found

"""How a stored solution loses strength: first and second order fitted to one's own titrations, with intervals."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.flags import Flag
from tersum.chemistry.student import t_factor
from tersum.errors import N_, OutOfRange

Array = NDArray[np.float64]
ORDERS = (1, 2)
FEWEST = 3
# From here on a rate is called identified: points, and loss over the series.
ENOUGH_POINTS = 4
ENOUGH_LOSS_FRAC = 0.2
# Difference of information criteria from which the data prefer one order.
DECISIVE = 6.0

BOTH_FIT = "both-fit"


@dataclass(frozen=True)
class DecayFit:
    """One order fitted to a series.

    ``rate`` is per hour for first order, L/(mg h) for second; ``low_rate`` to ``high_rate`` is its interval at 95 %.
    ``start_mg_l`` is the fitted strength at age 0 and ``standard_uncertainty_mg_l`` that of it. ``scatter_frac`` is the
    relative standard deviation about the fit. ``identified`` is false where the series cannot fix a rate; ``why_not``
    says why (``few-points``, ``little-loss``, ``no-loss-shown``): then only a lower bound of a use-by is given.
    """

    order: int
    rate: float
    standard_uncertainty: float
    low_rate: float
    high_rate: float
    start_mg_l: float
    standard_uncertainty_mg_l: float
    degrees_of_freedom: int
    scatter_frac: float
    last_age_h: float
    identified: bool
    why_not: tuple[str, ...]

    def strength_mg_l(self, age_h: ArrayLike) -> Array:
        """Return the fitted strength at ages, mg/L."""
        ages = np.asarray(age_h, dtype=float)
        if self.order == 1:
            return np.asarray(self.start_mg_l * np.exp(-self.rate * ages))
        return np.asarray(1.0 / (1.0 / self.start_mg_l + self.rate * ages))


@dataclass(frozen=True)
class Decay:
    """Both orders fitted to one series, and which the data prefer: ``1``, ``2`` or ``both-fit``."""

    first: DecayFit
    second: DecayFit
    prefers: str
    flags: tuple[Flag, ...]

    @property
    def kept(self) -> tuple[DecayFit, ...]:
        """The fits that stand: the preferred one, or both."""
        return {"1": (self.first,), "2": (self.second,)}.get(self.prefers, (self.first, self.second))


def decay(age_h: ArrayLike, strength_mg_l: ArrayLike, *, relative_u: float | None = None,
          u_mg_l: ArrayLike | None = None) -> Decay:
    """Return first and second order fitted to a series of strengths.

    Parameters
    ----------
    age_h : array_like, shape (n,)
        Age at each titration, h, 0 or more, n at least 3; ages may repeat, but not all be one.
    strength_mg_l : array_like, shape (n,)
        Strength found, above 0.
    relative_u : float, optional
        Relative standard uncertainty of one strength, above 0 to 0.5, where it is known: a fit whose scatter is far
        beyond it is flagged ``scatter-beyond-method``. The interval always comes from the scatter seen.
    u_mg_l : array_like, optional
        Standard uncertainty of each strength, mg/L, where they differ; weights the points. All relative if left out.

    Raises
    ------
    OutOfRange
        For fewer than three points (two points lie on any line), and values outside what is stated; all at once.

    Source
    ------
    Weighted least squares on ln C and on 1/C, weights from the fitted values, Student's t with n - 2 degrees of
    freedom. The order is chosen where the Akaike criteria differ by 6 or more; else both stand and the earlier use-by
    counts. Identified from 4 points over 20 % loss with a rate shown to be above 0.

    Examples
    --------
    >>> found = decay([0, 24, 48, 72, 96], [1000, 905, 822, 738, 672])
    >>> round(found.first.rate, 5), found.first.identified
    (0.00416, True)
    """
    ages, strengths, wide = _series(age_h, strength_mg_l, relative_u, u_mg_l)
    first, second = (_fitted(order, ages, strengths, wide) for order in ORDERS)
    gap = len(ages) * math.log((second.scatter_frac**2 + 1e-300) / (first.scatter_frac**2 + 1e-300))
    prefers = "1" if gap > DECISIVE else "2" if gap < -DECISIVE else BOTH_FIT
    flags = []
    least = min(first.scatter_frac, second.scatter_frac)
    if relative_u is not None and least > 2.0 * relative_u:
        flags.append(Flag("scatter-beyond-method", "", least))
    return Decay(first, second, prefers, tuple(flags))


def time_to_floor_h(start_mg_l: float, floor_mg_l: float, rate: float, *, order: int = 1) -> float:
    """Return the time in which a strength falls to a floor, h: 0 if it is there already, infinite without loss.

    Source
    ------
    First order t = ln(C0 / C) / k; second order t = (1/C - 1/C0) / k. Any unit of strength does for first order.

    Examples
    --------
    >>> round(time_to_floor_h(1.2, 1.0, 0.01), 2), round(time_to_floor_h(1.0, 0.9, 1.71e-3), 1)
    (18.23, 61.6)
    """
    _check_floor(start_mg_l, floor_mg_l, order)
    number("rate", rate, N_("a number"))
    if start_mg_l <= floor_mg_l:
        return 0.0
    if rate <= 0.0:
        return math.inf
    return (math.log(start_mg_l / floor_mg_l) if order == 1 else 1.0 / floor_mg_l - 1.0 / start_mg_l) / rate


def half_life_h(rate_per_h: float) -> float:
    """Return the half-life of a first-order rate, h; the same formula gives the rate of a half-life.

    >>> round(half_life_h(1.71e-3), 1), round(half_life_h(3.6), 4)
    (405.3, 0.1925)
    """
    return math.log(2.0) / number("rate_per_h", rate_per_h, N_("above 0"), above=0.0)


def _fitted(order: int, ages: Array, strengths: Array, wide: Array | None) -> DecayFit:
    fitted = strengths
    for _ in range(4):
        # u(ln C) = u(C)/C and u(1/C) = u(C)/C^2, from the fitted strength: from the measured one, a low reading would
        # weigh itself up or down.
        relative = np.ones_like(ages) if wide is None else wide / fitted
        weights = relative**-2.0 * (1.0 if order == 1 else fitted**2)
        values = np.log(strengths) if order == 1 else 1.0 / strengths
        start, slope, spread = _line(ages, values, weights)
        fitted = np.exp(start + slope * ages) if order == 1 else 1.0 / np.maximum(start + slope * ages, 1e-12)
    freedom = len(ages) - 2
    scatter = float(np.sqrt(np.sum((strengths / fitted - 1.0) ** 2) / freedom))
    rate, u_rate = (-slope if order == 1 else slope), spread[1]
    first_mg_l = math.exp(start) if order == 1 else 1.0 / max(start, 1e-12)
    u_start = first_mg_l * spread[0] if order == 1 else first_mg_l**2 * spread[0]
    reach = t_factor(0.95, freedom) * u_rate
    why_not = _why_not(len(ages), float(fitted[np.argmax(ages)]), first_mg_l, rate - reach)
    return DecayFit(order, rate, u_rate, rate - reach, rate + reach, first_mg_l, u_start, freedom, scatter,
                    float(ages.max()), not why_not, why_not)


def _line(ages: Array, values: Array, weights: Array) -> tuple[float, float, tuple[float, float]]:
    """Return intercept, slope and their standard uncertainties from the scatter about the line."""
    total = float(weights.sum())
    middle, mean = float((weights * ages).sum() / total), float((weights * values).sum() / total)
    across = float((weights * (ages - middle) ** 2).sum())
    slope = float((weights * (ages - middle) * (values - mean)).sum() / across)
    left = float((weights * (values - mean - slope * (ages - middle)) ** 2).sum()) / (len(ages) - 2)
    return (mean - slope * middle, slope,
            (math.sqrt(left * (1.0 / total + middle**2 / across)), math.sqrt(left / across)))


def _why_not(points: int, last_mg_l: float, start_mg_l: float, low_rate: float) -> tuple[str, ...]:
    reasons = []
    if points < ENOUGH_POINTS:
        reasons.append("few-points")
    if 1.0 - last_mg_l / start_mg_l < ENOUGH_LOSS_FRAC:
        reasons.append("little-loss")
    if low_rate <= 0.0:
        reasons.append("no-loss-shown")
    return tuple(reasons)


def _check_floor(start_mg_l: float, floor_mg_l: float, order: int) -> None:
    checks = Checks()
    checks.number("start_mg_l", start_mg_l, N_("above 0"), above=0.0)
    checks.number("floor_mg_l", floor_mg_l, N_("above 0"), above=0.0)
    if order not in ORDERS:
        checks.add(OutOfRange("order", order, N_("1 or 2")))
    checks.done()


def _series(age_h: ArrayLike, strength_mg_l: ArrayLike, relative_u: float | None,
            u_mg_l: ArrayLike | None) -> tuple[Array, Array, Array | None]:
    checks = Checks()
    ages = np.atleast_1d(np.asarray(age_h, dtype=float))
    strengths = np.atleast_1d(np.asarray(strength_mg_l, dtype=float))
    if ages.ndim != 1 or ages.shape != strengths.shape:
        raise OutOfRange("strength_mg_l", strengths.size, N_("as many strengths as ages"))
    if len(ages) < FEWEST:
        checks.add(OutOfRange("point", len(ages), N_("three points or more; two lie on any line")))
    for place, (age, strength) in enumerate(zip(ages, strengths, strict=True), start=1):
        checks.number(f"point {place}: age_h", float(age), N_("0 to 100 000 h"), low=0.0, high=1e5)
        checks.number(f"point {place}: strength_mg_l", float(strength), N_("above 0 mg/L"), above=0.0)
    if len(ages) >= FEWEST and np.all(ages == ages[0]):
        checks.add(OutOfRange("age_h", float(ages[0]), N_("at least two different ages")))
    if relative_u is not None:
        checks.number("relative_u", relative_u, N_("above 0, up to 0.5"), above=0.0, high=0.5)
    wide = None if u_mg_l is None else _uncertainties(u_mg_l, len(ages), checks)
    checks.done()
    return ages, strengths, wide


def _uncertainties(u_mg_l: ArrayLike, points: int, checks: Checks) -> Array:
    wide: Sequence[float] = np.atleast_1d(np.asarray(u_mg_l, dtype=float)).tolist()
    if len(wide) not in (1, points):
        checks.add(OutOfRange("u_mg_l", len(wide), N_("one for all, or as many as strengths")))
    for one in wide:
        checks.number("u_mg_l", one, N_("above 0 mg/L"), above=0.0)
    return np.broadcast_to(np.asarray(wide), (points,)) if len(wide) in (1, points) else np.ones(points)

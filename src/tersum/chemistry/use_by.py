"""How long a solution may be used: the earliest of what was computed from one's own series and what the label says."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.decay import Array, Decay, DecayFit, time_to_floor_h
from tersum.chemistry.flags import Flag
from tersum.chemistry.student import t_factor
from tersum.errors import N_

COMPUTED, LABEL, LOWER_BOUND, BELOW_FLOOR = "computed", "label", "lower-bound-only", "below-floor-at-start"


@dataclass(frozen=True)
class UseBy:
    """Time from mixing after which a solution is no longer used, h.

    ``basis`` is ``computed`` (from the series), ``label`` (its life is shorter), ``lower-bound-only`` (the series
    cannot fix a rate: it held at least this long) or ``below-floor-at-start``. ``central_h`` is the middle estimate,
    for the chemist; ``order`` the order that gave the earlier time.
    """

    hours: float
    basis: str
    central_h: float
    order: int
    flags: tuple[Flag, ...]


@dataclass(frozen=True)
class Fading:
    """Strength against age, to draw: the fit with its band, the floor and the use-by."""

    age_h: Array
    strength_mg_l: Array
    low_mg_l: Array
    high_mg_l: Array
    floor_mg_l: float
    use_by_h: float
    measured_age_h: tuple[float, ...]
    measured_mg_l: tuple[float, ...]


def use_by(found: Decay, *, floor_mg_l: float, label_life_h: float | None = None) -> UseBy:
    """Return the conservative use-by time of a fitted series.

    Parameters
    ----------
    found : Decay
        From :func:`tersum.chemistry.decay.decay`.
    floor_mg_l : float
        Lowest strength still fit for use, above 0.
    label_life_h : float, optional
        What the label allows, above 0; it wins where it is shorter. A label never gets longer by computing.

    Source
    ------
    t = ln(C0 / C_min) / k with the rate at its upper and the start at its lower one-sided 95 % bound (Student's t);
    where both orders fit, the earlier. The clock starts at mixing.

    Examples
    --------
    >>> from tersum.chemistry.decay import decay
    >>> series = decay([0, 24, 48, 72, 96], [1000, 905, 822, 738, 672])
    >>> by = use_by(series, floor_mg_l=800.0)
    >>> round(by.hours, 1), round(by.central_h, 1), by.basis
    (50.9, 53.7, 'computed')
    >>> use_by(series, floor_mg_l=800.0, label_life_h=24.0).basis
    'label'
    """
    checks = Checks()
    checks.number("floor_mg_l", floor_mg_l, N_("above 0"), above=0.0)
    if label_life_h is not None:
        checks.number("label_life_h", label_life_h, N_("above 0, up to 87 600 h"), above=0.0, high=87600.0)
    checks.done()
    earliest = min(found.kept, key=lambda fit: conservative_h(fit, floor_mg_l=floor_mg_l))
    hours = conservative_h(earliest, floor_mg_l=floor_mg_l)
    central = time_to_floor_h(earliest.start_mg_l, floor_mg_l, earliest.rate, order=earliest.order)
    flags, basis = list(found.flags), COMPUTED
    if not earliest.identified:
        # Nothing is promised beyond what was seen.
        hours, basis = min(hours, earliest.last_age_h), LOWER_BOUND
        flags += [Flag(reason) for reason in earliest.why_not]
    if hours <= 0.0:
        hours, basis = 0.0, BELOW_FLOOR
    if label_life_h is not None and label_life_h < hours:
        hours, basis = label_life_h, LABEL
    if hours > earliest.last_age_h:
        flags.append(Flag("beyond-the-series", "", earliest.last_age_h))
    return UseBy(hours, basis, central, earliest.order, tuple(flags))


def conservative_h(fit: DecayFit, *, floor_mg_l: float) -> float:
    """Return the early end of the time to a floor, h: rate and start both at their bad ends."""
    factor = t_factor(0.90, fit.degrees_of_freedom)
    start = fit.start_mg_l - factor * fit.standard_uncertainty_mg_l
    if start <= floor_mg_l:
        return 0.0
    return time_to_floor_h(start, floor_mg_l, fit.rate + factor * fit.standard_uncertainty, order=fit.order)


def use_by_of_rate(start_mg_l: float, floor_mg_l: float, rate_per_h: float, *, u_rate: float,
                   factor: float = 1.645) -> tuple[float, float]:
    """Return the middle and the conservative time to a floor of a first-order rate with its standard uncertainty, h.

    Parameters
    ----------
    factor : float
        One-sided factor on the uncertainty, 0 to 10; 1.645 where the uncertainty itself is well known.

    Examples
    --------
    >>> [round(one, 2) for one in use_by_of_rate(1.2, 1.0, 0.01, u_rate=0.002)]
    [18.23, 13.72]
    """
    number("u_rate", u_rate, N_("0 or more"), low=0.0)
    number("factor", factor, N_("0 to 10"), low=0.0, high=10.0)
    return (time_to_floor_h(start_mg_l, floor_mg_l, rate_per_h),
            time_to_floor_h(start_mg_l, floor_mg_l, rate_per_h + factor * u_rate))


def fading(found: Decay, by: UseBy, *, floor_mg_l: float, measured_age_h: tuple[float, ...],
           measured_mg_l: tuple[float, ...], points: int = 60) -> Fading:
    """Return strength against age to draw, from mixing to a fifth beyond the series or the use-by."""
    number("points", points, N_("2 to 2000"), low=2, high=2000)
    fit = found.second if by.order == 2 else found.first
    end = by.hours if math.isfinite(by.hours) else fit.last_age_h
    ages = np.linspace(0.0, 1.2 * max(fit.last_age_h, min(end, 5.0 * fit.last_age_h)), points)
    factor = t_factor(0.95, fit.degrees_of_freedom)
    reach = factor * fit.standard_uncertainty * ages
    share = factor * fit.standard_uncertainty_mg_l / fit.start_mg_l
    middle = fit.strength_mg_l(ages)
    if fit.order == 1:
        low, high = (middle * (1.0 + sign * share) * np.exp(sign * reach) for sign in (-1.0, 1.0))
    else:
        low, high = (1.0 / np.maximum(1.0 / middle * (1.0 - sign * share) - sign * reach, 1e-9) for sign in (-1.0, 1.0))
    return Fading(ages, middle, np.maximum(low, 0.0), high, floor_mg_l, by.hours, measured_age_h, measured_mg_l)

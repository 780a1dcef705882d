"""Air in a cabin or room: one well-mixed box, what evaporates into it, and what ventilation takes away.

A box says what the whole air holds: too little at the wipe or nozzle, too much far from it, and nothing of droplets.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.errors import N_, OutOfRange

MOLAR_VOLUME_25C_L = 24.45  # at 25 °C and 101.325 kPa, as occupational limits are converted in the United States
SHORT_MIN = 15.0  # the averaging time of a short-term limit
SHIFT_MIN = 480.0
CONSTANT, FALLING = "constant", "falling"
_STEPS = 200  # halvings of an interval, more than a double has bits


@dataclass(frozen=True)
class Source:
    """What goes into the air: ``mass_mg`` in all, evenly over ``until_min``, or at a rate that falls as e^(-rate t).

    A constant source goes on while fabric is wet: ``until_min`` is the end of the work plus the time to dry.
    """

    mass_mg: float
    until_min: float = 0.0
    falling_per_min: float = 0.0

    @property
    def kind(self) -> str:
        """``constant`` or ``falling``."""
        return FALLING if self.falling_per_min else CONSTANT

    def emitted_mg(self, at_min: float) -> float:
        """Return what has gone into the air by a time."""
        if self.falling_per_min:
            return self.mass_mg * -math.expm1(-self.falling_per_min * at_min)
        return self.mass_mg * min(at_min, self.until_min) / self.until_min


@dataclass(frozen=True)
class Box:
    """The air of a cabin or room.

    Parameters
    ----------
    volume_m3 : float
        Free air, m3, 0.1 to 100 000.
    changes_per_h : float
        Air changes, 1/h, 0 to 1000: measured or stated, never assumed.
    mixing : float
        Which part of an ideal change a change does, above 0 to 1; a parked car 0.3 to 0.5.
    start_mg_m3 : float
        What is in the air before, mg/m3, 0 or more.

    Raises
    ------
    OutOfRange, Faults
        Everything that is wrong, at once.
    """

    volume_m3: float
    changes_per_h: float
    mixing: float = 1.0
    start_mg_m3: float = 0.0

    def __post_init__(self) -> None:
        checks = Checks()
        checks.number("volume_m3", self.volume_m3, N_("0.1 to 100 000 m3"), low=0.1, high=1e5)
        checks.number("changes_per_h", self.changes_per_h, N_("0 to 1000 air changes an hour"), low=0.0, high=1000.0)
        checks.number("mixing", self.mixing, N_("above 0, up to 1"), above=0.0, high=1.0)
        checks.number("start_mg_m3", self.start_mg_m3, N_("0 mg/m3 or more"), low=0.0)
        checks.done()

    @property
    def per_min(self) -> float:
        """The share of the air that is taken away each minute."""
        return self.mixing * self.changes_per_h / 60.0


def source(mass_mg: float, *, until_min: float | None = None, falling_per_min: float | None = None) -> Source:
    """Return a source: constant until a time, or falling at a rate; exactly one of the two is given.

    Parameters
    ----------
    mass_mg : float
        All that evaporates, mg, 0 or more. Where nobody knows, all that was applied: the worst case.
    until_min : float
        Above 0 min: work and drying.
    falling_per_min : float
        Above 0 per min.

    Raises
    ------
    OutOfRange, Faults
        Everything that is wrong, at once.
    """
    checks = Checks()
    checks.number("mass_mg", mass_mg, N_("0 mg or more"), low=0.0)
    if (until_min is None) == (falling_per_min is None):
        checks.add(OutOfRange("source", None, N_("either how long it lasts (until_min) or how it falls "
                                                 "(falling_per_min)")))
    if until_min is not None:
        checks.number("until_min", until_min, N_("above 0 min"), above=0.0, high=1e6)
    if falling_per_min is not None:
        checks.number("falling_per_min", falling_per_min, N_("above 0 per min, up to 1000"), above=0.0, high=1000.0)
    checks.done()
    return Source(mass_mg, until_min or 0.0, falling_per_min or 0.0)


def concentration_mg_m3(box: Box, given: Source, at_min: float) -> float:
    """Return what the air holds at a time.

    Source
    ------
    Mass balance of a well-mixed box, dC/dt = G/V - n C. Constant G: C = G/(n V) (1 - e^(-n t)) + C0 e^(-n t); falling
    G = G0 e^(-a t): C = G0/V (e^(-a t) - e^(-n t))/(n - a) + C0 e^(-n t) (aiha-exposure-models). Valid while the air
    is mixed and nothing settles or is taken up; then it overstates.

    Examples
    --------
    >>> box = Box(3.0, 6.0)
    >>> round(concentration_mg_m3(box, source(60.0, until_min=60.0), 15.0), 4)
    2.5896
    """
    n, held = box.per_min, box.start_mg_m3 * math.exp(-box.per_min * at_min)
    if given.falling_per_min:
        rate = given.mass_mg * given.falling_per_min / box.volume_m3
        return held + rate * _between(given.falling_per_min, n, at_min)
    rate = given.mass_mg / given.until_min / box.volume_m3
    during = min(at_min, given.until_min)
    return held + rate * _filled(n, during) * math.exp(-n * (at_min - during))


def steady_mg_m3(box: Box, rate_mg_h: float) -> float:
    """Return what a source that never ends comes to, G/(n V); infinite without ventilation.

    Examples
    --------
    >>> round(steady_mg_m3(Box(3.0, 6.0), 60.0), 4)
    3.3333
    """
    return rate_mg_h / 60.0 / box.per_min / box.volume_m3 if box.per_min else math.inf


def peak_mg_m3(box: Box, given: Source) -> tuple[float, float]:
    """Return the highest concentration and when it is reached, min."""
    at = _highest_at(box, given)
    return concentration_mg_m3(box, given, at), at


def mean_mg_m3(box: Box, given: Source, from_min: float, to_min: float) -> float:
    """Return the mean over a stretch of time, by the mass that is in, came in and went out."""
    return (_exposure(box, given, to_min) - _exposure(box, given, from_min)) / (to_min - from_min)


def highest_mean_mg_m3(box: Box, given: Source, *, over_min: float = SHORT_MIN) -> float:
    """Return the highest mean over any stretch of so many minutes.

    The concentration rises to one peak and falls after it, so the stretch with the highest mean begins and ends at the
    same concentration (or begins at 0).
    """
    low, high = max(0.0, _highest_at(box, given) - over_min), _highest_at(box, given)
    for _step in range(_STEPS):
        middle = (low + high) / 2.0
        if concentration_mg_m3(box, given, middle) < concentration_mg_m3(box, given, middle + over_min):
            low = middle
        else:
            high = middle
    return mean_mg_m3(box, given, low, low + over_min)


def below_from_min(box: Box, given: Source, limit_mg_m3: float) -> float:
    """Return from when on the air stays at or below a limit, min from the start; infinite if it never does."""
    at = _highest_at(box, given)
    if concentration_mg_m3(box, given, at) <= limit_mg_m3:
        return 0.0
    if not box.per_min:
        return math.inf
    reach = 1.0
    while concentration_mg_m3(box, given, at + reach) > limit_mg_m3:
        reach *= 2.0
    low, high = at, at + reach
    for _step in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if concentration_mg_m3(box, given, middle) > limit_mg_m3 else (low, middle)
    return high


def purge_min(start: float, target: float, changes_per_h: float, *, mixing: float = 1.0) -> float:
    """Return how long ventilation takes from one concentration to another with the source off.

    Source
    ------
    t = ln(C0/C) / (m n) x 60 (cdc-2003, Appendix B, Table B.1, and its footnote on the mixing factor).

    Examples
    --------
    >>> round(purge_min(1.0, 0.01, 6.0))
    46
    """
    checks = Checks()
    checks.number("start", start, N_("above 0"), above=0.0)
    checks.number("target", target, N_("above 0"), above=0.0)
    checks.number("changes_per_h", changes_per_h, N_("0 to 1000 air changes an hour"), low=0.0, high=1000.0)
    checks.number("mixing", mixing, N_("above 0, up to 1"), above=0.0, high=1.0)
    checks.done()
    if start <= target:
        return 0.0
    return 60.0 * math.log(start / target) / (mixing * changes_per_h) if changes_per_h else math.inf


def mg_m3_of(ppm: float, molar_mass_g_mol: float, *, molar_volume_l: float = MOLAR_VOLUME_25C_L) -> float:
    """Return mg/m3 of a vapour from ppm by volume; a legal limit is quoted with its own pair instead.

    Examples
    --------
    >>> round(mg_m3_of(1.0, 34.0147), 2)
    1.39
    """
    return ppm * molar_mass_g_mol / molar_volume_l


def ppm_of(mg_m3: float, molar_mass_g_mol: float, *, molar_volume_l: float = MOLAR_VOLUME_25C_L) -> float:
    """Return ppm by volume of a vapour from mg/m3."""
    return mg_m3 * molar_volume_l / molar_mass_g_mol


def over_still_liquid_ppm(strength_g_l: float, molar_mass_g_mol: float, solubility_mol_l_atm: float) -> float:
    """Return what still air over a solution comes to: the bound that no box over it can pass.

    Source
    ------
    Henry's law, p = c / H.

    Examples
    --------
    >>> round(over_still_liquid_ppm(1.0, 76.0514, 840.0), 2)
    15.65
    """
    return strength_g_l / molar_mass_g_mol / solubility_mol_l_atm * 1e6


def _filled(n: float, at_min: float) -> float:
    """Return (1 - e^(-n t))/n, which is t without ventilation."""
    return -math.expm1(-n * at_min) / n if n else at_min


def _between(a: float, n: float, at_min: float) -> float:
    """Return (e^(-a t) - e^(-n t))/(n - a), also where the two rates are all but the same."""
    return math.exp(-a * at_min) * _filled(n - a, at_min) if n >= a else math.exp(-n * at_min) * _filled(a - n, at_min)


def _highest_at(box: Box, given: Source) -> float:
    if not given.falling_per_min:
        # Air that was worse before than the source keeps it only gets better.
        rate = given.mass_mg / given.until_min / box.volume_m3
        return given.until_min if rate >= box.per_min * box.start_mg_m3 else 0.0
    a, n = given.falling_per_min, box.per_min
    rising = given.mass_mg * a / box.volume_m3 - n * box.start_mg_m3
    if rising <= 0.0:
        return 0.0
    if not n:
        return 60.0 / a  # by then all but a 10^-26 of it is in the air, and stays
    low, high = 0.0, 1.0 / min(a, n)
    while _slope(box, given, high) > 0.0:
        high *= 2.0
    for _step in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _slope(box, given, middle) > 0.0 else (low, middle)
    return high


def _slope(box: Box, given: Source, at_min: float) -> float:
    going_in = given.mass_mg * given.falling_per_min / box.volume_m3 * math.exp(-given.falling_per_min * at_min)
    return going_in - box.per_min * concentration_mg_m3(box, given, at_min)


def _exposure(box: Box, given: Source, at_min: float) -> float:
    """Return the concentration added up over time, mg min/m3, from the balance n x exposure = in - held."""
    if box.per_min > 1e-6:
        came_in = given.emitted_mg(at_min) / box.volume_m3 + box.start_mg_m3
        return (came_in - concentration_mg_m3(box, given, at_min)) / box.per_min
    start = box.start_mg_m3 * at_min
    if given.falling_per_min:
        left = at_min - _filled(given.falling_per_min, at_min)
        return start + given.mass_mg / box.volume_m3 * left
    during = min(at_min, given.until_min)
    return start + given.mass_mg / box.volume_m3 * (during**2 / 2.0 / given.until_min + at_min - during)

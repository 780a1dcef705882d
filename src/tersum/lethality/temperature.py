"""How a rate of inactivation in a solution changes with temperature, inside the temperatures it was tested at."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.arguments import real
from tersum.errors import N_, OutOfRange

GAS_CONSTANT_J_MOL_K = 8.314462618
ZERO_C_K = 273.15


@dataclass(frozen=True)
class TemperatureFactor:
    """How much faster per degree (``theta``) and per ten (``q10``), and the activation energy between the two."""

    theta: float
    q10: float
    activation_kj_mol: float


def temperature_factor(slow_min: float, fast_min: float, *, slow_at_c: float, fast_at_c: float) -> TemperatureFactor:
    """Return the temperature factor between two times (or two CT) for the same reduction.

    Parameters
    ----------
    slow_min, fast_min : float
        Time or CT needed at each temperature, one unit, above 0.
    slow_at_c, fast_at_c : float
        The two temperatures, °C, different.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    theta = Q10^(1/10); Arrhenius: Ea = R ln(k2/k1) / (1/T1 - 1/T2), kelvin. Good between the two temperatures.

    Examples
    --------
    >>> found = temperature_factor(33.4, 16.7, slow_at_c=5.0, fast_at_c=15.0)
    >>> round(found.q10, 2), round(found.theta, 4), round(found.activation_kj_mol, 1)
    (2.0, 1.0718, 46.2)
    """
    ratio = real("slow_min", slow_min, above=0.0) / real("fast_min", fast_min, above=0.0)
    low, high = real("slow_at_c", slow_at_c, above=-ZERO_C_K), real("fast_at_c", fast_at_c, above=-ZERO_C_K)
    if low == high:
        raise OutOfRange("fast_at_c", fast_at_c, N_("another temperature than the first"))
    theta = ratio ** (1.0 / (high - low))
    between = 1.0 / (low + ZERO_C_K) - 1.0 / (high + ZERO_C_K)
    return TemperatureFactor(theta, theta**10.0, GAS_CONSTANT_J_MOL_K * math.log(ratio) / between / 1000.0)


def time_at(time_min: float, *, at_c: float, wanted_c: float, q10: float, tested_c: tuple[float, float]) -> float:
    """Return the time for the same reduction at another temperature that was tested.

    Parameters
    ----------
    time_min : float
        At ``at_c``, any unit of time, 0 or more.
    at_c, wanted_c : float
        °C; both inside ``tested_c``.
    q10 : float
        Factor on the rate per 10 K, above 0.
    tested_c : (float, float)
        Lowest and highest temperature of the tests behind ``q10``, °C.

    Raises
    ------
    OutOfRange
        Outside the tested temperatures: nothing is scaled there, colder or warmer.

    Examples
    --------
    >>> round(time_at(23.03, at_c=60.0, wanted_c=70.0, q10=1.6, tested_c=(60.0, 80.0)), 2)
    14.39
    >>> time_at(5.0, at_c=20.0, wanted_c=5.0, q10=2.0, tested_c=(15.0, 25.0))
    Traceback (most recent call last):
    tersum.errors.OutOfRange: wanted_c is out of range: got 5; accepted: the tested temperatures, 15 to 25 °C.
    """
    low, high = (real("tested_c", one) for one in tested_c)
    for field, value in (("at_c", at_c), ("wanted_c", wanted_c)):
        if not low <= real(field, value) <= high:
            raise OutOfRange(field, float(value), N_("the tested temperatures, {low:g} to {high:g} °C"), low=low,
                             high=high)
    factor = math.pow(real("q10", q10, above=0.0), (at_c - wanted_c) / 10.0)
    return real("time_min", time_min, at_least=0.0) * factor

"""Uncertainty of a mixture: tolerances turned into standard uncertainties, and these put together (GUM)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.errors import N_, OutOfRange

_AT_LEAST_0 = N_("0 or more")


@dataclass(frozen=True)
class Quantity:
    """A value with its standard uncertainty, both in one unit."""

    value: float
    standard_uncertainty: float = 0.0

    @property
    def relative(self) -> float:
        """Standard uncertainty as a fraction of the value."""
        return self.standard_uncertainty / abs(self.value)

    @classmethod
    def with_relative(cls, value: float, relative: float) -> Quantity:
        """Return a quantity whose uncertainty is stated as a fraction of it.

        >>> Quantity.with_relative(50.0, 0.02)
        Quantity(value=50.0, standard_uncertainty=1.0)
        """
        return cls(value, abs(value) * relative)


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a value that may lie anywhere within a tolerance: a / sqrt(3).

    Source
    ------
    jcgm-100-2008, 4.3.7.

    Examples
    --------
    >>> round(rectangular(1.0), 4)
    0.5774
    """
    return number("half_width", half_width, _AT_LEAST_0, low=0.0) / math.sqrt(3.0)


def triangular(half_width: float) -> float:
    """Return the standard uncertainty of a value more likely near the middle of a tolerance: a / sqrt(6).

    Source
    ------
    jcgm-100-2008, 4.3.9; quam-2012, example A1, uses it for a flask.

    Examples
    --------
    >>> round(triangular(0.1), 4)
    0.0408
    """
    return number("half_width", half_width, _AT_LEAST_0, low=0.0) / math.sqrt(6.0)


def expansion(volume_ml: float, *, coefficient_per_k: float, half_width_k: float) -> float:
    """Return the standard uncertainty of a volume measured at a temperature known within a half-width, mL.

    Source
    ------
    quam-2012, example A1: 2.1e-4 1/K for water, rectangular.

    Examples
    --------
    >>> round(expansion(100.0, coefficient_per_k=2.1e-4, half_width_k=4.0), 4)
    0.0485
    """
    number("volume_ml", volume_ml, N_("above 0 mL"), above=0.0)
    number("coefficient_per_k", coefficient_per_k, _AT_LEAST_0, low=0.0)
    return rectangular(volume_ml * coefficient_per_k * number("half_width_k", half_width_k, _AT_LEAST_0, low=0.0))


def in_quadrature(uncertainties: Iterable[float]) -> float:
    """Return independent standard uncertainties of a sum put together: the root of the sum of their squares.

    >>> in_quadrature([3.0, 4.0])
    5.0
    """
    return math.hypot(*(number("uncertainty", one, _AT_LEAST_0, low=0.0) for one in uncertainties))


def quotient(over: Sequence[Quantity], under: Sequence[Quantity] = (), *, scale: float = 1.0) -> Quantity:
    """Return a product divided by a product, with its standard uncertainty.

    Parameters
    ----------
    over, under : sequence of Quantity
        Independent factors, none of them 0.
    scale : float
        An exact factor, such as one of a unit.

    Source
    ------
    jcgm-100-2008, 5.1.6: the squares of the relative uncertainties add. First order: for a divisor known to ±10 %
    (rectangular) it reads 0.7 % low, to ±30 % it reads 7 % low.

    Examples
    --------
    >>> made = quotient([Quantity(100.28, 0.05), Quantity(0.9999, 5.8e-5)], [Quantity(100.0, 0.07)], scale=1000.0)
    >>> round(made.value, 1), round(made.standard_uncertainty, 2)
    (1002.7, 0.86)
    """
    value, relatives = scale, []
    for one in (*over, *under):
        if not one.value:
            raise OutOfRange("factor", one.value, N_("other than 0"))
        number("factor", one.value, N_("a finite number"))
        relatives.append(number("uncertainty", one.standard_uncertainty, _AT_LEAST_0, low=0.0) / abs(one.value))
    for one in over:
        value *= one.value
    for one in under:
        value /= one.value
    return Quantity(value, abs(value) * math.hypot(*relatives))

"""What a rapid reading says of something else, such as a plate count: little, and this is how to show how little."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.arguments import real


@dataclass(frozen=True)
class PowerLaw:
    """How one quantity follows another: its exponent, and by what it grows where the other grows tenfold."""

    exponent: float
    ratio_per_tenfold: float


def youden_j(sensitivity: float, specificity: float) -> float:
    """Return how well a limit separates two kinds: 0 not at all, 1 wholly.

    Parameters
    ----------
    sensitivity, specificity : float
        Share of the dirty called dirty, and of the clean called clean, 0 to 1.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Youden 1950 (definition): ``sensitivity + specificity - 1``.

    Examples
    --------
    >>> round(youden_j(0.57, 0.57), 2)
    0.14
    """
    return _share("sensitivity", sensitivity) + _share("specificity", specificity) - 1.0


def likelihood_ratio_positive(sensitivity: float, specificity: float) -> float:
    """Return by how much a reading above the limit raises the odds of being dirty; infinite at specificity 1.

    Parameters
    ----------
    sensitivity, specificity : float
        As for :func:`youden_j`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    Definition: ``sensitivity / (1 - specificity)``.

    Examples
    --------
    >>> round(likelihood_ratio_positive(0.57, 0.57), 3)
    1.326
    """
    caught, missed = _share("sensitivity", sensitivity), 1.0 - _share("specificity", specificity)
    return caught / missed if missed else math.inf


def power_law_from_doubling(increase_pct: float) -> PowerLaw:
    """Return the power law of a quantity that grows by some percent where another doubles.

    Parameters
    ----------
    increase_pct : float
        Growth of the one when the other doubles, percent, above -100.

    Raises
    ------
    OutOfRange
        If the argument lies outside the range stated above.

    Source
    ------
    Power law: ``log2(1 + increase)``. A description of one data set; no conversion of readings into organisms.

    Examples
    --------
    >>> law = power_law_from_doubling(15.7)
    >>> round(law.exponent, 2), round(law.ratio_per_tenfold, 2)
    (0.21, 1.62)
    """
    exponent = math.log2(1.0 + real("increase_pct", increase_pct, above=-100.0) / 100.0)
    return PowerLaw(exponent, 10.0**exponent)


def _share(field: str, value: float) -> float:
    return real(field, value, at_least=0.0, at_most=1.0)

"""Checks at the door of the lethality room: numbers inside their range, never a truth value, never NaN."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.errors import N_, Faults, OutOfRange, TersumError

Array = NDArray[np.float64]

_WORDS = {
    (True, True, False, False): N_("above {low}"),
    (True, False, False, False): N_("{low} or more"),
    (True, True, True, True): N_("above {low} and below {high}"),
    (True, True, True, False): N_("above {low}, up to {high}"),
    (True, False, True, True): N_("{low} or more and below {high}"),
    (True, False, True, False): N_("{low} to {high}"),
    (False, False, True, True): N_("below {high}"),
    (False, False, True, False): N_("up to {high}"),
}


def reals(field: str, values: ArrayLike, *, above: float = -math.inf, at_least: float = -math.inf,
          below: float = math.inf, at_most: float = math.inf) -> Array:
    """Return ``values`` as an array of finite floats inside a range, or refuse the first that is not.

    Examples
    --------
    >>> reals("contact_min", [1, 5], at_least=0.0).tolist()
    [1.0, 5.0]
    >>> reals("contact_min", [True, 5])
    Traceback (most recent call last):
    tersum.errors.OutOfRange: contact_min is out of range: got [True, 5]; accepted: numbers.
    """
    array = np.asarray(values)
    if array.dtype.kind not in "iuf" or _holds_a_truth_value(values):
        raise OutOfRange(field, values, N_("numbers"))
    array = array.astype(np.float64)
    inside = np.isfinite(array)
    inside &= (array > above) if above > -math.inf else (array >= at_least)
    inside &= (array < below) if below < math.inf else (array <= at_most)
    if not np.all(inside):
        _refuse(field, float(array[~inside].flat[0]), above=above, at_least=at_least, below=below, at_most=at_most)
    return array


def real(field: str, value: float, *, above: float = -math.inf, at_least: float = -math.inf, below: float = math.inf,
         at_most: float = math.inf) -> float:
    """Return one number inside a range as a float."""
    array = reals(field, value, above=above, at_least=at_least, below=below, at_most=at_most)
    if array.ndim:
        raise OutOfRange(field, value, N_("one number"))
    return float(array)


def wholes(field: str, values: ArrayLike, *, at_least: int = 0) -> Array:
    """Return whole numbers, ``at_least`` or more, as an array of floats, so that they enter formulas as they are."""
    array = reals(field, values, at_least=at_least)
    odd = array != np.floor(array)
    if np.any(odd):
        raise OutOfRange(field, float(array[odd].flat[0]), N_("a whole number, {low} or more"), low=at_least)
    return array


def whole(field: str, value: int, *, at_least: int = 0) -> int:
    """Return one whole number, ``at_least`` or more."""
    array = wholes(field, value, at_least=at_least)
    if array.ndim:
        raise OutOfRange(field, value, N_("one number"))
    return int(array)


def row(field: str, values: ArrayLike, *, count: int = 1, above: float = -math.inf,
        at_least: float = -math.inf) -> Array:
    """Return a flat list of ``count`` numbers or more."""
    array = np.atleast_1d(reals(field, values, above=above, at_least=at_least))
    if array.ndim != 1 or array.size < count:
        raise OutOfRange(field, array.size, N_("a flat list of {count} values or more"), count=count)
    return array


def probability(field: str, value: float) -> float:
    """Return one number above 0 and below 1."""
    return real(field, value, above=0.0, below=1.0)


def together(faults: Sequence[TersumError]) -> None:
    """Raise what was found wrong: a single fault as itself, several as :class:`Faults`, none not at all."""
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(list(faults))


def _refuse(field: str, value: float, *, above: float, at_least: float, below: float, at_most: float) -> None:
    low, high = max(above, at_least), min(below, at_most)
    key = (low > -math.inf, above > -math.inf, high < math.inf, below < math.inf)
    raise OutOfRange(field, value, _WORDS.get(key, N_("a finite number")), low=f"{low:g}", high=f"{high:g}")


def _holds_a_truth_value(values: object) -> bool:
    """Tell whether True or False stands among numbers, where it would quietly become 1.0 or 0.0."""
    if isinstance(values, list | tuple):
        return any(map(_holds_a_truth_value, values))
    return isinstance(values, bool | np.bool_)

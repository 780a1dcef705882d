"""Checks at the door of a science: numbers inside their range, never a truth value, never NaN."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.errors import N_, Faults, OutOfRange, TersumError

Array = NDArray[np.float64]


def reals(
    field: str,
    values: ArrayLike,
    *,
    above: float = -math.inf,
    at_least: float = -math.inf,
    below: float = math.inf,
    at_most: float = math.inf,
    infinite: bool = False,
) -> Array:
    """Return ``values`` as an array of floats, or refuse them.

    Parameters
    ----------
    field : str
        The argument's name, for the refusal.
    values : array_like
        Numbers; truth values, text and NaN are refused.
    above, at_least, below, at_most : float
        The range; at most one of each pair is given.
    infinite : bool
        Whether plus or minus infinity is a value.

    Raises
    ------
    OutOfRange
        With the first value that is not accepted.

    Examples
    --------
    >>> reals("contact_min", [1, 5], at_least=0.0).tolist()
    [1.0, 5.0]
    >>> reals("contact_min", [True, 5])
    Traceback (most recent call last):
    tersum.errors.OutOfRange: contact_min is out of range: got [True, 5]; accepted: numbers.
    """
    if _plain(values) and _inside(float(values), above, at_least, below, at_most, infinite):  # type: ignore[arg-type]
        return np.asarray(float(values))  # type: ignore[arg-type]
    array = np.asarray(values)
    if array.dtype.kind not in "iuf" or _holds_a_truth_value(values):
        raise OutOfRange(field, values, N_("numbers"))
    array = array.astype(np.float64)
    inside = (array > above if above > -math.inf else array >= at_least)
    inside &= (array < below if below < math.inf else array <= at_most)
    inside &= ~np.isnan(array) if infinite else np.isfinite(array)
    if not np.all(inside):
        _refuse(field, float(array[~inside].flat[0]), above=above, at_least=at_least, below=below, at_most=at_most)
    return array


def real(field: str, value: float, *, above: float = -math.inf, at_least: float = -math.inf,
         below: float = math.inf, at_most: float = math.inf, infinite: bool = False) -> float:
    """Return one number as a float; the range is stated as for :func:`reals`."""
    if _plain(value) and _inside(float(value), above, at_least, below, at_most, infinite):
        return float(value)
    array = reals(field, value, above=above, at_least=at_least, below=below, at_most=at_most, infinite=infinite)
    if array.ndim:
        raise OutOfRange(field, value, N_("one number"))
    return float(array)


def wholes(field: str, values: ArrayLike, *, at_least: int = 0) -> Array:
    """Return whole numbers, ``at_least`` or more, as an array of floats, so that they enter formulas as they are."""
    array = reals(field, values, at_least=at_least)
    if type(values) is int:
        return array
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


def sample(field: str, values: ArrayLike, *, count: int, above: float = -math.inf) -> Array:
    """Return a flat list of ``count`` numbers or more."""
    array = reals(field, values, above=above)
    if array.ndim != 1 or array.size < count:
        raise OutOfRange(field, array.size, N_("a flat list of {count} values or more"), count=count)
    return array


def row(field: str, values: ArrayLike, *, count: int = 1, above: float = -math.inf,
        at_least: float = -math.inf) -> Array:
    """Return one number or a flat list as a flat list of ``count`` numbers or more."""
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


def _plain(value: object) -> bool:
    """Tell whether a value is one plain number, for which the way through an array costs ten times the check."""
    return type(value) is float or (type(value) is int and abs(value) < 2**53)


def _inside(value: float, above: float, at_least: float, below: float, at_most: float, infinite: bool) -> bool:
    return ((infinite and not math.isnan(value)) or math.isfinite(value)) and (
        (value > above or above == -math.inf) and (value < below or below == math.inf) and at_least <= value <= at_most)


def _refuse(field: str, value: float, *, above: float, at_least: float, below: float, at_most: float) -> None:
    """Raise OutOfRange with the range in words."""
    low, high = max(above, at_least), min(below, at_most)
    words = {
        (True, True, False, False): N_("above {low}"),
        (True, False, False, False): N_("{low} or more"),
        (True, True, True, True): N_("above {low} and below {high}"),
        (True, True, True, False): N_("above {low}, up to {high}"),
        (True, False, True, True): N_("{low} or more and below {high}"),
        (True, False, True, False): N_("{low} to {high}"),
        (False, False, True, True): N_("below {high}"),
        (False, False, True, False): N_("up to {high}"),
    }
    key = (low > -math.inf, above > -math.inf, high < math.inf, below < math.inf)
    raise OutOfRange(field, value, words.get(key, N_("a finite number")), low=f"{low:g}", high=f"{high:g}")


def _holds_a_truth_value(values: object) -> bool:
    """Tell whether True or False stands among numbers, where it would quietly become 1.0 or 0.0."""
    if isinstance(values, list | tuple):
        return any(map(_holds_a_truth_value, values))
    return isinstance(values, bool | np.bool_)

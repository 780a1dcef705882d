"""The smallest whole number from which on something fits."""

from __future__ import annotations

from collections.abc import Callable


def smallest_fitting(fits: Callable[[int], bool], *, low: int, most: int) -> int | None:
    """Return the smallest whole number that fits, for something that goes on fitting once it does.

    Parameters
    ----------
    fits : callable
        False below the number sought, True from it on.
    low, most : int
        Where to begin and where to stop, ``low`` not above ``most``.

    Returns
    -------
    int or None
        None where ``most`` does not fit either.

    Examples
    --------
    >>> smallest_fitting(lambda n: n * n >= 50, low=1, most=100)
    8
    """
    high = low
    while high < most and not fits(high):
        low, high = high + 1, min(2 * high + 1, most)
    if not fits(high):
        return None
    while low < high:
        middle = (low + high) // 2
        if fits(middle):
            high = middle
        else:
            low = middle + 1
    return low

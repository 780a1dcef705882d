"""Where something begins to fit, and where something changes its sign."""

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


def root(of: Callable[[float], float], start: float, step: float) -> float:
    """Return where a function changes its sign, sought from ``start`` outwards.

    Parameters
    ----------
    of : callable
        Changes its sign once on the way.
    start, step : float
        Where to begin, and the first step: its sign is the way to go if ``of(start)`` is below 0, the other way if not.

    Examples
    --------
    >>> round(root(lambda x: x * x - 2.0, 0.0, 0.1), 9)
    1.414213562
    """
    # Heavy, and wanted by fits alone.
    from scipy.optimize import brentq  # noqa: PLC0415

    near = of(start)
    if near == 0.0:
        return start
    stride = step if near < 0.0 else -step
    far = start + stride
    while near * of(far) > 0.0:
        stride *= 2.0
        far += stride
    return float(brentq(of, start, far, xtol=1e-13, rtol=1e-13))

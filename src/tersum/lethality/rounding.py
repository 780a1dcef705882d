"""Two significant digits as the conventions of plate counts round them."""

from __future__ import annotations

from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from tersum.arguments import real, whole
from tersum.errors import UnknownName

UP, TO_EVEN = "up", "to-even"
HALVES = (UP, TO_EVEN)


def significant(value: float, *, digits: int = 2, halves: str = UP) -> float:
    """Return a number rounded to significant digits.

    Parameters
    ----------
    value : float
        0 or more.
    digits : int
        To keep, 1 or more.
    halves : {"up", "to-even"}
        ``up``: halves go up. ``to-even``: the next digit alone decides, and a 5 makes the last digit kept even.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    ``to-even``: FDA BAM chapter 3 (read). ``up``: ISO (memory).

    Examples
    --------
    >>> [significant(one, halves="to-even") for one in (12700, 12400, 15500, 14500)]
    [13000.0, 12000.0, 16000.0, 14000.0]
    >>> significant(14500)
    15000.0
    """
    number = Decimal(repr(real("value", value, at_least=0.0)))
    kept = whole("digits", digits, at_least=1)
    if halves not in HALVES:
        raise UnknownName("halves", halves, HALVES)
    if number == 0:
        return 0.0
    last = Decimal(1).scaleb(number.adjusted() - kept + 1)
    if halves == UP:
        return float((number / last).quantize(Decimal(1), ROUND_HALF_UP) * last)
    tenths = int((number / last * 10).quantize(Decimal(1), ROUND_DOWN))
    steps, next_digit = divmod(tenths, 10)
    steps += next_digit > 5 or (next_digit == 5 and steps % 2 == 1)
    return float(steps * last)

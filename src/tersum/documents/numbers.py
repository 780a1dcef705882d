"""Numbers as people read them: few digits, the reader's decimal mark, and never two different ones that look alike."""

from __future__ import annotations

import math
import re

from tersum.documents.text import _

_MOST_DIGITS = 6


def number_text(value: float, *, digits: int = 3) -> str:
    """Return a number with at least ``digits`` significant digits, without trailing zeros or exponent.

    Examples
    --------
    >>> number_text(87.2346), number_text(1234.56), number_text(240.0), number_text(0.0512)
    ('87.2', '1235', '240', '0.0512')
    """
    if not math.isfinite(value):
        return "∞" if value > 0 else "-∞"
    if value == 0.0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", decimal_mark())


def apart(value: float, others: tuple[float, ...]) -> str:
    """Return a number with as many digits as it takes to look different from each other number that it is not.

    Examples
    --------
    >>> apart(240.3, (240.0, 139.0))
    '240.3'
    """
    for digits in range(3, _MOST_DIGITS + 1):
        text = number_text(value, digits=digits)
        if all(text != number_text(other, digits=digits) or other == value for other in others):
            break
    return text


def bounded_text(value: float | None, operator: str, *, others: tuple[float, ...] = ()) -> str:
    """Return a number that may be a bound: ``≤`` at most, ``≥`` at least; ``?`` where nothing is known.

    Examples
    --------
    >>> bounded_text(5.0, "<="), bounded_text(9999.0, ">="), bounded_text(None, "between")
    ('≤ 5', '≥ 9999', '?')
    """
    if value is None:
        return "?"
    sign = {"<=": "≤ ", ">=": "≥ ", "between": "≤ "}.get(operator, "")
    return sign + apart(value, others)


def decimal_mark() -> str:
    """Return the decimal mark of a language: what its translator wrote between 1 and 5."""
    found = re.search(r"1(\D+)5", _("1.5"))
    return found.group(1) if found else "."

"""A log10 reduction with its operator: equal, more than, at least, less than, at most, between, or cannot tell."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.arguments import real
from tersum.errors import N_, OutOfRange, TersumError

MET = "met"
NOT_MET = "not-met"
CANNOT_TELL = "cannot-tell"
OPERATORS = ("=", ">", ">=", "<", "<=", "between", "?")
_DIGITS = 9  # a sum of a few logs is the same on every machine to here

_TEXT = re.compile(r"\s*(>=|<=|=|>|<|≥|≤)?\s*([+-]?[0-9]+(?:\.[0-9]+)?)\s*")


@dataclass(frozen=True)
class LogReduction:
    """What is known of a log10 reduction: it lies between ``low`` and ``high``, an open end not included.

    A measured number has both ends alike. A bound has an infinite end; with both ends infinite nothing is known. There
    is no order between two of them that Python could sort by: :meth:`sort_key` sorts by what is *shown*, and
    :meth:`reaches` compares with a requirement.
    """

    low: float
    high: float
    low_open: bool = False
    high_open: bool = False

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high) or self.low > self.high or self.low == math.inf \
                or self.high == -math.inf:
            raise OutOfRange("log_reduction", f"{self.low:g} to {self.high:g}", N_("a low end not above the high end"))
        if self.low == self.high and (self.low_open or self.high_open):
            raise OutOfRange("log_reduction", f"{self.low:g}", N_("two ends apart, or one number with no end open"))
        # An infinite end is never reached.
        object.__setattr__(self, "low_open", self.low_open or self.low == -math.inf)
        object.__setattr__(self, "high_open", self.high_open or self.high == math.inf)

    @property
    def operator(self) -> str:
        """One of ``=``, ``>``, ``>=``, ``<``, ``<=``, ``between`` and ``?``."""
        if self.low == self.high:
            return "="
        if self.high < math.inf:
            return "between" if self.low > -math.inf else "<" if self.high_open else "<="
        if self.low == -math.inf:
            return "?"
        return ">" if self.low_open else ">="

    @property
    def value(self) -> float:
        """The number after the operator; NaN where there is none (``between`` has two, ``?`` has none)."""
        if self.operator in ("between", "?"):
            return math.nan
        return self.high if self.operator.startswith("<") else self.low

    @property
    def sort_key(self) -> tuple[float, float]:
        """What is shown at least, then at most: to sort a list by, never to compare two treatments by."""
        return self.low, self.high

    def __add__(self, other: LogReduction) -> LogReduction:
        """Two steps one after the other: logs add, and a bound stays a bound."""
        return _ends(self.low + other.low, self.high + other.high, self.low_open or other.low_open,
                     self.high_open or other.high_open)

    def __neg__(self) -> LogReduction:
        return LogReduction(-self.high, -self.low, self.high_open, self.low_open)

    def __sub__(self, other: LogReduction) -> LogReduction:
        return self + -other

    def times(self, factor: float) -> LogReduction:
        """Return it multiplied by a number above 0."""
        by = real("factor", factor, above=0.0)
        return _ends(self.low * by, self.high * by, self.low_open, self.high_open)

    def reaches(self, required: float) -> str:
        """Return whether a requirement is ``met``, ``not-met`` or ``cannot-tell``.

        Examples
        --------
        >>> more_than(5.38).reaches(5.0), exactly(4.7).reaches(5.0), more_than(4.2).reaches(5.0)
        ('met', 'not-met', 'cannot-tell')
        """
        wanted = round(real("required", required), _DIGITS)
        low, high = round(self.low, _DIGITS), round(self.high, _DIGITS)
        if low >= wanted:
            return MET
        return NOT_MET if high < wanted or (high == wanted and self.high_open) else CANNOT_TELL

    def text(self, digits: int = 2) -> str:
        """Return it as a report writes it; ends are rounded away from any claim: low ends down, high ends up.

        Examples
        --------
        >>> more_than(5.3861).text(), exactly(4.7).text(1), at_most(3.201).text()
        ('> 5.38', '= 4.7', '<= 3.21')
        """
        low, high = _rounded(self.low, digits, math.floor), _rounded(self.high, digits, math.ceil)
        if self.operator == "=":
            return f"= {self.low:.{digits}f}"
        if self.operator == "between":
            return f"{low} to {high}"
        return "?" if self.operator == "?" else f"{self.operator} {high if self.operator.startswith('<') else low}"

    def __str__(self) -> str:
        return self.text()

    def as_dict(self) -> dict[str, object]:
        """Return it as JSON keeps it: the operator and its number, or its two ends."""
        if self.operator == "between":
            return {"operator": "between", "low": self.low, "high": self.high, "low_open": self.low_open,
                    "high_open": self.high_open}
        return {"operator": self.operator} if self.operator == "?" else {"operator": self.operator, "log10": self.value}


UNKNOWN = LogReduction(-math.inf, math.inf)


def exactly(log10: float) -> LogReduction:
    """Return a measured reduction."""
    value = real("log10", log10)
    return LogReduction(value, value)


def more_than(log10: float) -> LogReduction:
    """Return ``>``: what a clean plate shows."""
    return LogReduction(real("log10", log10), math.inf, low_open=True)


def at_least(log10: float) -> LogReduction:
    """Return ``>=``."""
    return LogReduction(real("log10", log10), math.inf)


def less_than(log10: float) -> LogReduction:
    """Return ``<``: what a crowded plate shows."""
    return LogReduction(-math.inf, real("log10", log10), high_open=True)


def at_most(log10: float) -> LogReduction:
    """Return ``<=``."""
    return LogReduction(-math.inf, real("log10", log10))


_MAKERS = {"=": exactly, ">": more_than, ">=": at_least, "<": less_than, "<=": at_most}


def parse_log_reduction(text: str, *, field: str = "log_reduction") -> LogReduction:
    """Return the reduction that a text states: ``> 5.38``, ``>= 5.2``, ``4.7``; a bare number is a measured one.

    Examples
    --------
    >>> parse_log_reduction("≥ 5.2").as_dict()
    {'operator': '>=', 'log10': 5.2}
    """
    found = _TEXT.fullmatch(text)
    if found is None:
        raise OutOfRange(field, text, N_("an operator and a number, such as > 5.38"))
    sign = {"≥": ">=", "≤": "<=", None: "="}.get(found.group(1), found.group(1))
    return _MAKERS[sign](float(found.group(2)))


def from_dict(kept: Mapping[str, object], *, field: str = "log_reduction") -> LogReduction:
    """Return what :meth:`LogReduction.as_dict` kept; a reduction without its operator is refused."""
    operator = kept.get("operator")
    if operator == "?":
        return UNKNOWN
    numbers = [kept.get(name) for name in (("low", "high") if operator == "between" else ("log10",))]
    if operator not in OPERATORS or any(isinstance(one, bool) or not isinstance(one, int | float) for one in numbers):
        raise OutOfRange(field, str(dict(kept)), N_("an operator with its number"))
    values = [float(one) for one in numbers if isinstance(one, int | float)]
    if operator == "between":
        return LogReduction(values[0], values[1], kept.get("low_open") is True, kept.get("high_open") is True)
    return _MAKERS[str(operator)](values[0])


def difference(before: LogReduction, after: LogReduction) -> LogReduction:
    """Return log before minus log after; both are given as bounds of a log10 density."""
    return before - after


def mean(values: Sequence[LogReduction]) -> LogReduction:
    """Return the mean of several reductions: one bound makes the mean a bound.

    Examples
    --------
    >>> mean([exactly(4.0), more_than(5.0)]).text()
    '> 4.50'
    """
    if not values:
        raise OutOfRange("values", 0, N_("one reduction or more"))
    total = values[0]
    for one in values[1:]:
        total = total + one
    return total.times(1.0 / len(values))


def least(values: Sequence[LogReduction]) -> LogReduction:
    """Return the smallest of several reductions, as far as it is known.

    Examples
    --------
    >>> least([exactly(6.0), more_than(5.0)]).text(), least([exactly(4.7), more_than(5.0)]).text()
    ('5.00 to 6.00', '= 4.70')
    """
    if not values:
        raise OutOfRange("values", 0, N_("one reduction or more"))
    low = min(one.low for one in values)
    high = min(one.high for one in values)
    # The end is part of the answer only where some value attains it; at the top every value must stay at or above it.
    low_open = all(one.low_open for one in values if one.low == low)
    high_open = any(one.high_open for one in values if one.high == high)
    return _ends(low, high, low_open, high_open)


def refused_log(field: str, value: float) -> TersumError:
    """Return the refusal of a logarithm of nothing: a count of zero is a bound, not a number."""
    return OutOfRange(field, value, N_("a count above 0; none found is reported as below the detection limit"))


def _ends(low: float, high: float, low_open: bool, high_open: bool) -> LogReduction:
    if low == high:
        return LogReduction(low, high)
    return LogReduction(low, high, low_open, high_open)


def _rounded(value: float, digits: int, towards: object) -> str:
    if math.isinf(value):
        return ""
    steps = round(value * 10**digits, _DIGITS - digits)
    whole = math.floor(steps) if towards is math.floor else math.ceil(steps)
    return f"{whole / 10**digits:.{digits}f}"

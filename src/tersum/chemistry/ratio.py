"""How much concentrate and how much water: the ratio a label states, read one way only, and shown three ways."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tersum.errors import N_, OutOfRange, TersumError, UnknownName
from tersum.units import coded, parse_decimal

READINGS = ("parts", "whole")

_NUMBER = r"([^\s+:/%A-Za-z]+)"
_SHAPES = {
    "parts": re.compile(rf"{_NUMBER}\s*\+\s*{_NUMBER}", re.ASCII),
    "whole": re.compile(rf"{_NUMBER}\s*(?:in\s|/)\s*{_NUMBER}", re.ASCII | re.IGNORECASE),
    "either": re.compile(rf"{_NUMBER}\s*(?::|to\s)\s*{_NUMBER}", re.ASCII | re.IGNORECASE),
    "percent": re.compile(rf"{_NUMBER}\s*%(?:\s*v/v)?", re.ASCII | re.IGNORECASE),
}
_LONGEST = 60


@dataclass(frozen=True)
class Ratio:
    """The share of concentrate in the finished solution, by volume, above 0 and up to 1.

    ``stated_as`` is how it was given: ``parts`` (concentrate + water), ``whole`` (one in so many) or ``percent``. It
    does not count when two ratios are compared.
    """

    concentrate_frac: float
    stated_as: str = field(default="whole", compare=False)

    def __post_init__(self) -> None:
        frac = self.concentrate_frac
        if isinstance(frac, bool) or not isinstance(frac, int | float) or not 0.0 < frac <= 1.0:
            raise OutOfRange("concentrate_frac", frac, N_("above 0, up to 1"))

    @property
    def parts_water(self) -> float:
        """Parts of water to one part of concentrate."""
        return 1.0 / self.concentrate_frac - 1.0

    @property
    def percent(self) -> float:
        """Concentrate in the finished solution, % v/v."""
        return 100.0 * self.concentrate_frac

    @property
    def one_in(self) -> float:
        """Parts of finished solution that hold one part of concentrate."""
        return 1.0 / self.concentrate_frac

    def then(self, second: Ratio) -> Ratio:
        """Return the ratio of this solution diluted again: the fractions multiply.

        >>> Ratio(0.1).then(Ratio(0.05)).concentrate_frac
        0.005000000000000001
        """
        return Ratio(self.concentrate_frac * second.concentrate_frac)


def parse_ratio(text: str, *, reading: str | None = None, field: str = "ratio") -> Ratio:
    """Return the ratio in a text; one with two readings is asked about, never guessed.

    Parameters
    ----------
    text : str
        ``1+20`` (parts of concentrate + parts of water), ``1 in 21`` or ``1/21`` (parts of the whole), ``4.8 %`` or
        ``4.8 % v/v``; and, where ``reading`` says how the product means it, ``1:20`` or ``1 to 20``.
    reading : {"parts", "whole"}, optional
        How "1:20" is meant: ``parts`` for 1 + 20, ``whole`` for 1 in 20.
    field : str
        What to call it in a refusal.

    Raises
    ------
    TersumError
        ``ambiguous-ratio`` for ``1:20`` without a reading: 4.76 % or 5 %, 5 % apart; at 1:4 it is 25 %.
        ``not-a-ratio`` for another text. OutOfRange for no concentrate, or more than all of it.

    Source
    ------
    cdc-gics-2019, appendix E, example 3: parts of water = ratio of the whole - 1.

    Examples
    --------
    >>> parse_ratio("1+20") == parse_ratio("1 in 21")
    True
    >>> round(parse_ratio("1+20").percent, 4), parse_ratio("1 in 20").parts_water, parse_ratio("5 %").one_in
    (4.7619, 19.0, 20.0)
    >>> parse_ratio("1:20", reading="parts") == parse_ratio("1+20")
    True
    >>> parse_ratio("1:20")
    Traceback (most recent call last):
    tersum.errors.TersumError: ratio has two readings: got 1:20; is it 1+20 (4.76 %) or 1 in 20 (5 %)?
    """
    if reading is not None and reading not in READINGS:
        raise UnknownName("reading", reading, READINGS)
    bare = text.strip(" \t\r\n")
    for shape, pattern in _SHAPES.items():
        found = pattern.fullmatch(bare) if len(bare) <= _LONGEST else None
        if found:
            first, *others = (float(parse_decimal(number, field=field)) for number in found.groups())
            second = others[0] if others else 100.0
            if shape == "either" and reading is None:
                raise _asked(field, text, first, second)
            stated = str(reading) if shape == "either" else shape
            return _ratio(_share(first, second, stated), stated, field, text)
    raise coded("not-a-ratio", N_("{field} is not a ratio: got {value}; accepted: {accepted}."), field, text,
                N_("1+20, 1 in 21 or 4.8 %"))


def _share(first: float, second: float, shape: str) -> float | None:
    """Return the fraction of concentrate, or None where the parts make no solution."""
    whole = first + second if shape == "parts" else second
    return first / whole if 0.0 < first <= whole and second >= 0.0 else None


def _ratio(share: float | None, stated: str, field: str, text: str) -> Ratio:
    if share is None or not 0.0 < share <= 1.0:
        raise OutOfRange(field, text, N_("some concentrate, and no more of it than of the whole"))
    return Ratio(share, stated)


def _asked(field: str, text: str, first: float, second: float) -> TersumError:
    both = [_share(first, second, shape) for shape in READINGS]
    shown = [f"{100.0 * share:.3g}" if share else "?" for share in both]
    return coded("ambiguous-ratio", N_("{field} has two readings: got {value}; is it {accepted}?"), field, text,
                 N_("{first:g}+{second:g} ({parts_pct} %) or {first:g} in {second:g} ({whole_pct} %)"),
                 first=first, second=second, parts_pct=shown[0], whole_pct=shown[1])

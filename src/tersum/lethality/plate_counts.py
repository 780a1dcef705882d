"""Colonies on plates of a dilution series to a count per mL or g, by a named convention, with its operator."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import real, together, whole
from tersum.catalogue import load
from tersum.errors import N_, OutOfRange, TersumError, UnknownName
from tersum.lethality.count_scatter import dispersion, poisson_interval
from tersum.lethality.rounding import significant

ISO = "ISO 7218"
BAM = "BAM"
TOO_MANY = math.inf  # colonies that cannot be counted

ESTIMATED = "estimated"
PRESENT = "present"
DIFFER = "plates-differ"
INCONSISTENT = "dilutions-do-not-agree"


@dataclass(frozen=True)
class Convention:
    """A rule set of plate counts: its range, how low counts are reported, how it rounds, and how that is known."""

    name: str
    lower: float
    upper: float
    estimate_from: float | None
    digits: int
    halves: str
    single_plates: bool
    known: str


@dataclass(frozen=True)
class Plates:
    """Parallel plates of one dilution: 0.01 for 10^-2; counts may be :data:`TOO_MANY`."""

    dilution: float
    counts: tuple[float, ...]
    volume_ml: float = 1.0

    def __post_init__(self) -> None:
        real("dilution", self.dilution, above=0.0, at_most=1.0)
        real("volume_ml", self.volume_ml, above=0.0)
        if not self.counts:
            raise OutOfRange("counts", 0, N_("one plate or more"))
        for one in self.counts:
            if one != TOO_MANY or isinstance(one, bool):
                whole("counts", one)  # type: ignore[arg-type]

    @property
    def mean(self) -> float:
        """Mean count of a plate."""
        return sum(self.counts) / len(self.counts)


@dataclass(frozen=True)
class PlateCount:
    """A count per mL or g of the sample.

    ``operator`` is ``=``, ``<`` or ``>``; ``unrounded`` is the number to compute with (for a bound, the bound),
    ``reported`` the rounded one. ``low`` and ``high`` are the Poisson interval at 95 % of what was counted, NaN for a
    bound. ``used`` are the plates that entered. ``flags``: ``estimated``, ``present`` (some grew, too few for a
    number), ``plates-differ``, ``dilutions-do-not-agree``. A bound has no logarithm of its own.
    """

    operator: str
    unrounded: float
    reported: float
    colonies: float
    low: float
    high: float
    used: tuple[Plates, ...]
    convention: Convention
    flags: tuple[str, ...]

    @property
    def text(self) -> str:
        """As it is reported: ``19000``, ``<2500``, ``>30000``.

        >>> plate_count([Plates(0.01, (18,)), Plates(0.001, (2,))], convention=convention("BAM")).text
        '<2500'
        """
        return f"{'' if self.operator == '=' else self.operator}{self.reported:.10g}"


def convention(name: str) -> Convention:
    """Return a rule set by name: ``ISO 7218`` or ``BAM``.

    Examples
    --------
    >>> convention("ISO 7218").upper, convention("BAM").lower
    (300.0, 25.0)
    """
    rules = load.table("count_rules")
    if name not in rules:
        raise UnknownName("convention", name, tuple(rules))
    one = rules[name]
    low = one["estimate_from"].number if "estimate_from" in one else None
    return Convention(name, one["lower"].number, one["upper"].number, low, int(one["digits"].number),
                      str(one.labels["halves"]), one.labels["counts_single_plates"] is True, one["lower"].known)


def plate_count(plates: Sequence[Plates], *, convention: Convention) -> PlateCount:
    """Return the count of a dilution series.

    Parameters
    ----------
    plates : sequence of Plates
        One entry for each dilution, all with one volume; successive ones tenfold.
    convention : Convention
        From :func:`convention`: the two differ 25-fold on an empty plate.

    Raises
    ------
    OutOfRange
        For no plates, dilutions that repeat or are not tenfold, and plates of different volumes.

    Source
    ------
    Weighted mean N = sum C / [V (n1 + 0.1 n2) d]: ISO 4833/7218 over two successive dilutions (ISO 7218:2007 by a
    textbook); FDA BAM chapter 3 over the plates within 25 to 250 (read).

    Examples
    --------
    >>> series = [Plates(0.01, (235, 282)), Plates(0.001, (31, 39))]
    >>> found = plate_count(series, convention=convention("ISO 7218"))
    >>> round(found.unrounded, 1), found.text
    (26681.8, '27000')
    """
    series = _checked(plates)
    counted = _single_plates(series, convention) if convention.single_plates else _dilutions(series, convention)
    if counted:
        return _weighted(counted, convention, ())
    least = series[0]
    if all(count < convention.lower for one in series for count in one.counts):
        return _below(least, convention)
    return _above_or_between(series, convention)


def _checked(plates: Sequence[Plates]) -> list[Plates]:
    faults: list[TersumError] = []
    if not plates:
        raise OutOfRange("plates", 0, N_("one dilution or more"))
    series = sorted(plates, key=lambda one: -one.dilution)
    for before, after in zip(series, series[1:], strict=False):
        if not math.isclose(before.dilution, 10.0 * after.dilution, rel_tol=1e-6):
            faults.append(OutOfRange("dilution", after.dilution, N_("a tenth of the one before, {before:g}"),
                                     before=before.dilution))
        if before.volume_ml != after.volume_ml:
            faults.append(OutOfRange("volume_ml", after.volume_ml, N_("one volume for all plates")))
    together(faults)
    return series


def _dilutions(series: list[Plates], rule: Convention) -> list[Plates]:
    """Return two successive dilutions: the first that can be counted whole and holds enough, and the next."""
    for place, one in enumerate(series):
        if max(one.counts) <= rule.upper and max(one.counts) >= rule.lower:
            return series[place:place + 2]
    return []


def _single_plates(series: list[Plates], rule: Convention) -> list[Plates]:
    """Return the plates within the range, of two successive dilutions."""
    kept = [Plates(one.dilution, tuple(count for count in one.counts if rule.lower <= count <= rule.upper),
                   one.volume_ml)
            for one in series if any(rule.lower <= count <= rule.upper for count in one.counts)]
    return [one for one in kept[:2] if one.dilution >= kept[0].dilution / 10.0 * 0.999]


def _weighted(counted: list[Plates], rule: Convention, flags: tuple[str, ...]) -> PlateCount:
    first = counted[0]
    weight = sum(len(one.counts) * one.dilution / first.dilution for one in counted)
    colonies = sum(count for one in counted for count in one.counts)
    per_colony = 1.0 / (first.volume_ml * weight * first.dilution)
    low, high = (float(end) * per_colony for end in poisson_interval(colonies))
    number = colonies * per_colony
    return PlateCount("=", number, significant(number, digits=rule.digits, halves=rule.halves), colonies, low, high,
                      tuple(counted), rule, (*flags, *_doubts(counted)))


def _doubts(counted: list[Plates]) -> list[str]:
    flags = [DIFFER] if any(len(one.counts) > 1 and any(one.counts) and dispersion(one.counts).flagged
                            for one in counted) else []
    if len(counted) == 2:
        # The two dilutions are counts of one density: more apart than chance allows in 1 of 100 is said.
        totals = [sum(one.counts) for one in counted]
        shares = [len(one.counts) * one.dilution for one in counted]
        if _apart(totals, shares):
            flags.append(INCONSISTENT)
    return flags


def _apart(totals: list[float], shares: list[float]) -> bool:
    expected = [sum(totals) * share / sum(shares) for share in shares]
    if min(expected) < 1.0:
        return False
    index = sum((seen - mean) ** 2 / mean for seen, mean in zip(totals, expected, strict=True))
    return index > 6.635  # chi-square, one degree of freedom, 1 %


def _below(least: Plates, rule: Convention) -> PlateCount:
    per_colony = 1.0 / (least.volume_ml * least.dilution)
    colonies = sum(least.counts)
    if rule.estimate_from is None:
        return _bound("<", rule.lower * per_colony, colonies, least, rule, ())
    if least.mean >= rule.estimate_from:
        return _weighted([least], rule, (ESTIMATED,))
    if colonies:
        return _bound("<", rule.estimate_from * per_colony, colonies, least, rule, (PRESENT,))
    return _bound("<", per_colony, colonies, least, rule, ())


def _above_or_between(series: list[Plates], rule: Convention) -> PlateCount:
    last = series[-1]
    if min(last.counts) > rule.upper:
        return _bound(">", rule.upper / (last.volume_ml * last.dilution), sum(last.counts), last, rule, ())
    # No dilution lies inside the range as a whole: the one nearest the upper end is estimated from, and says so.
    finite = [one for one in series if max(one.counts) < TOO_MANY]
    if not finite:
        return _bound(">", rule.upper / (last.volume_ml * last.dilution), TOO_MANY, last, rule, (DIFFER,))
    nearest = min(finite, key=lambda one: abs(one.mean - rule.upper))
    return _weighted([nearest], rule, (ESTIMATED,))


def _bound(operator: str, number: float, colonies: float, plates: Plates, rule: Convention,
           flags: tuple[str, ...]) -> PlateCount:
    return PlateCount(operator, number, significant(number, digits=rule.digits, halves=rule.halves), colonies, math.nan,
                      math.nan, (plates,), rule, flags)

"""What every efficacy test says: met, not met, invalid, or cannot tell; with its rules and how far they are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from tersum.catalogue import load
from tersum.catalogue.load import Entry, Sourced
from tersum.errors import UnknownName
from tersum.lethality.log_reduction import CANNOT_TELL, MET, NOT_MET, LogReduction

INVALID = "invalid"
NOT_ASSESSABLE = "not-assessable"
SCRAPES_PAST = "within-the-spread-between-laboratories"
LOWER_LIMIT_BELOW = "lower-limit-below-the-requirement"
ANSWERS = (MET, NOT_MET, CANNOT_TELL, NOT_ASSESSABLE, INVALID)


@dataclass(frozen=True)
class Requirement:
    """The log10 reduction a test asks for, its step in the European scheme, its target, and how it is known."""

    name: str
    required_log10: float
    step: str
    target: str
    known: str
    source: str
    where: str


@dataclass(frozen=True)
class Failing:
    """One validity condition that a test does not keep: what, its value, and the accepted range."""

    code: str
    value: float
    least: float
    most: float


@dataclass(frozen=True)
class Efficacy:
    """One evaluated test.

    ``answer`` is ``met``, ``not-met``, ``cannot-tell``, ``not-assessable`` (the control was too low to show it) or
    ``invalid``: a control or count out of range makes no test of it, neither passed nor failed; ``failing`` says why.
    ``from_memory`` names the rules used that are known from memory only. ``between_laboratories_log10`` is the
    published range of standard deviations between laboratories, to stand beside a result that scrapes past.
    """

    test: str
    answer: str
    reduction: LogReduction
    required_log10: float
    failing: tuple[Failing, ...]
    flags: tuple[str, ...]
    from_memory: tuple[str, ...]
    between_laboratories_log10: tuple[float, float]
    details: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


def requirement(test: str) -> Requirement:
    """Return what a test asks for, by its name such as ``EN 13727 bactericidal surface``.

    Examples
    --------
    >>> found = requirement("EN 13697 bactericidal")
    >>> found.required_log10, found.step, found.known
    (4.0, '2/2', 'secondary')
    """
    tests = load.table("efficacy_requirements")
    if test not in tests:
        raise UnknownName("test", test, tuple(tests))
    one = tests[test]
    wanted = one["required"]
    return Requirement(test, wanted.number, str(one.labels["step"]), str(one.labels["target"]), wanted.known,
                       wanted.source, wanted.where)


def requirements() -> tuple[str, ...]:
    """Return the names of all tests."""
    return tuple(load.table("efficacy_requirements"))


def rules_of(method: str) -> Entry:
    """Return the numbers of a method."""
    methods = load.table("efficacy_methods")
    if method not in methods:
        raise UnknownName("method", method, tuple(methods))
    return methods[method]


def memorised(rules: Sequence[Sourced | Requirement]) -> tuple[str, ...]:
    """Return the names of the rules that are known from memory only."""
    return tuple(dict.fromkeys(one.name for one in rules if one.known == "memory"))


def outside(code: str, value: float, least: float, most: float) -> list[Failing]:
    """Return a failing condition where a value lies outside its range; none where it lies inside."""
    return [] if least <= value <= most else [Failing(code, value, least, most)]


def evaluated(wanted: Requirement, reduction: LogReduction, *, failing: Sequence[Failing] = (),
              flags: Sequence[str] = (), rules: Sequence[Sourced] = (),
              details: Mapping[str, float] | None = None) -> Efficacy:
    """Return the answer of a test from its reduction and its validity."""
    spread = between_laboratories()
    answer = INVALID if failing else reduction.reaches(wanted.required_log10)
    told = list(dict.fromkeys(flags))
    if answer == MET and reduction.operator == "=" and reduction.low - wanted.required_log10 < spread[1]:
        told.append(SCRAPES_PAST)
    return Efficacy(wanted.name, answer, reduction, wanted.required_log10, tuple(failing), tuple(told),
                    memorised([wanted, *rules]), spread, MappingProxyType(dict(details or {})))


def between_laboratories() -> tuple[float, float]:
    """Return the smallest and largest published standard deviation of a log10 reduction between laboratories.

    Source
    ------
    Tilt & Hamilton 1999, J. AOAC Int. 82:384, abstract (read).

    Examples
    --------
    >>> between_laboratories()
    (0.31, 1.54)
    """
    one = rules_of("between laboratories")
    return one["reproducibility_low"].number, one["reproducibility_high"].number


def with_answer(found: Efficacy, answer: str) -> Efficacy:
    """Return a result with another answer, for a rule beside the reduction; what is invalid stays so.

    Examples
    --------
    >>> from tersum.lethality.log_reduction import exactly
    >>> with_answer(evaluated(requirement("EN 13697 bactericidal"), exactly(5.0)), NOT_MET).answer
    'not-met'
    """
    return found if found.answer == INVALID else replace(found, answer=answer)

"""The decision at each point: what a rule says of its readings, and the words every room uses for it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

DONE = "done"
SWAB_AGAIN = "swab-again"
CLEAN_AGAIN = "clean-again"
NOT_COUNTED = "not-counted"
NOT_READ = "not-read"
NO_LIMIT_YET = "no-limit-yet"
COULD_NOT = "could-not-be-brought-below"
VERDICTS = (DONE, SWAB_AGAIN, CLEAN_AGAIN, NOT_COUNTED, NOT_READ, NO_LIMIT_YET, COULD_NOT)


@dataclass(frozen=True)
class Reason:
    """Why: a code with its parameters (numbers and names, never prose)."""

    code: str
    parameters: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True)
class ReductionStatement:
    """How far a point came down from as found, with its interval.

    ``log10`` and ``low``/``high`` (its 95 % interval, log10) come with ``operator``: ``=``, ``>=`` (at least), ``<=``
    (at most) or ``?`` (cannot tell). ``met`` is ``met``, ``not-met``, ``too-clean-at-the-start``, ``cannot-tell`` or
    None where no target was agreed.
    """

    factor: float | None
    percent: float | None
    log10: float | None
    low: float | None
    high: float | None
    operator: str
    met: str | None


@dataclass(frozen=True)
class LimitInForce:
    """The limit a point is judged by and whose limit it is."""

    rlu: float
    origin: str  # "option", "file", "plan", ...
    basis: str = ""  # who set it: the instrument's own document, an agreement, a baseline


@dataclass(frozen=True)
class Decision:
    """One point under one rule. Logs are log10 of net RLU; None where there is no such number."""

    point: str
    stage: str
    verdict: str
    reason: Reason
    n: int  # counted swabs of the round that decides
    round: int
    geometric_mean_rlu: float | None
    mean_operator: str  # "=", "<=", ">=" or "between": what kind of number the mean is
    p_conform: float | None
    limit_rlu: float | None
    release_level_rlu: float | None
    looks_left: int
    reduction: ReductionStatement | None
    remarks: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class Terms:
    """What was agreed before any reading: the rule, its numbers and the looks.

    ``spread_log10`` with ``degrees_of_freedom`` (infinity: taken as known) is the repeatability of one swab;
    ``spread_basis`` says where it is from: ``book``, ``duplicates`` or ``stated``.
    """

    rule: str = "limit"  # "limit", "limit and reduction" or "plain limit"
    version: int = 1
    stage: str = "cleaned"
    looks: int = 2
    spread_log10: float = 0.205
    degrees_of_freedom: float = math.inf
    spread_basis: str = "book"
    risk: float = 0.05
    reduction_target_log10: float | None = None
    clean_agains: int = 2
    detection_rlu: float | None = None  # the instrument's own detection level, net RLU

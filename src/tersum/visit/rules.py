"""Rules by name and version: the only way from readings to a verdict."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from tersum.errors import N_, Faults, OutOfRange, TersumError, UnknownName
from tersum.visit import rule_v1
from tersum.visit.decision import Decision, LimitInForce, Terms
from tersum.visit.readings import STAGES, Reading

LATEST = {name: rule_v1.VERSION for name in rule_v1.RULES}
_VERSIONS: dict[int, Callable[..., Decision]] = {1: rule_v1.decide_point}


def decide_point(
    point: str,
    readings: Sequence[Reading],
    *,
    terms: Terms,
    limit: LimitInForce | None,
    fresh_area_left: bool | None = None,
    planned_duplicate: bool = False,
    as_found_planned: bool = False,
) -> Decision:
    """Return the decision at one point under the rule and version that its terms name.

    Parameters and result are those of the rule's own version, :func:`tersum.visit.rule_v1.decide_point`. Check the
    terms once with :func:`check_terms` before deciding many points.
    """
    decide = _VERSIONS[terms.version]
    return decide(point, readings, terms=terms, limit=limit, fresh_area_left=fresh_area_left,
                  planned_duplicate=planned_duplicate, as_found_planned=as_found_planned)


def check_terms(terms: Terms) -> None:
    """Raise :class:`Faults` with everything about the terms that no rule accepts."""
    faults: list[TersumError] = []
    if terms.rule not in LATEST:
        faults.append(UnknownName("rule", terms.rule, list(LATEST)))
    if terms.version not in _VERSIONS:
        faults.append(UnknownName("rule version", str(terms.version), [str(one) for one in _VERSIONS]))
    if terms.stage not in STAGES[1:]:
        faults.append(UnknownName("deciding stage", terms.stage, list(STAGES[1:])))
    if not 1 <= terms.looks <= 5:
        faults.append(OutOfRange("looks", terms.looks, N_("1 to 5")))
    if not _between(terms.spread_log10, 0.0, 2.0):
        faults.append(OutOfRange("spread_log10", terms.spread_log10, N_("above 0, to 2")))
    if not terms.degrees_of_freedom >= 1:
        faults.append(OutOfRange("degrees_of_freedom", terms.degrees_of_freedom, N_("1 or more")))
    if not 0 <= terms.clean_agains <= 2:
        faults.append(OutOfRange("clean_agains", terms.clean_agains, N_("0 to 2")))
    if not _between(terms.risk, 0.0, 0.5):
        faults.append(OutOfRange("risk", terms.risk, N_("above 0, to 0.5")))
    target = terms.reduction_target_log10
    if target is not None and not _between(target, 0.0, 8.0):
        faults.append(OutOfRange("reduction_target_log10", target, N_("above 0, to 8")))
    if target is None and terms.rule == "limit and reduction":
        faults.append(OutOfRange("reduction_target_log10", "nothing", N_("a reduction, since the rule asks for one")))
    if faults:
        raise Faults(faults)


def _between(value: float, above: float, most: float) -> bool:
    return math.isfinite(value) and above < value <= most

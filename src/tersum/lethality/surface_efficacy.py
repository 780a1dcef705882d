"""Carriers and fields: the reduction against a water control after the same time, and what the wipe carries on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import real
from tersum.errors import N_, OutOfRange
from tersum.lethality.carriers import NO_REPLICATES, mean_of_logs
from tersum.lethality.efficacy import (
    LOWER_LIMIT_BELOW,
    NOT_ASSESSABLE,
    Efficacy,
    Failing,
    Requirement,
    evaluated,
    outside,
    rules_of,
    with_answer,
)
from tersum.lethality.log_reduction import CANNOT_TELL, MET, NOT_MET, LogReduction, exactly, less_than, mean

SPREAD = "spread"
DISTRIBUTION_NOT_MET = "distribution-not-met"
MOST_LOGS = 15.0  # CFU of a control that show no reduction at all, but are a usual logarithm of one


@dataclass(frozen=True)
class Recovered:
    """What came off one carrier or field, CFU; 0 is below ``limit``, the count of one colony, CFU above 0."""

    cfu: float
    limit: float = 1.0

    @property
    def log10(self) -> LogReduction:
        """As a log10 with its operator: below the limit where nothing grew."""
        found, least = real("cfu", self.cfu, at_least=0.0), real("limit", self.limit, above=0.0)
        return exactly(math.log10(found)) if found > 0.0 else less_than(math.log10(least))


@dataclass(frozen=True)
class CarriersReduction:
    """Mean reduction of carriers, the mean of the water control, and the one-sided 95 % limit over replicates.

    NaN where there is no limit: for a bound, and without replicates.
    """

    reduction: LogReduction
    water_log10: float
    se_log10: float
    lower_log10: float


def surface_test(wanted: Requirement, water: Sequence[Recovered], treated: Sequence[Recovered]) -> Efficacy:
    """Return the evaluation of a surface test without wiping.

    Parameters
    ----------
    wanted : Requirement
        Of a 2/2 test.
    water : sequence of Recovered
        Carriers with water in place of the product, recovered after the same time, so that drying is not credited.
    treated : sequence of Recovered
        Carriers with product; their logs are averaged, and one without growth makes the mean a bound.

    Raises
    ------
    OutOfRange
        For no carriers, and for a water control from which nothing came.

    Source
    ------
    EN 13697, EN 17387 (memory): lg R = lg water control - lg test. Where the control lies less than the requirement
    above the detection limit, the test could not have shown it: not assessable.

    Examples
    --------
    >>> from tersum.lethality.efficacy import requirement
    >>> found = surface_test(requirement("EN 13697 bactericidal"), [Recovered(4.0e6)], [Recovered(0, 10.0)])
    >>> found.answer, found.reduction.text()
    ('met', '> 5.60')
    """
    found = carriers_reduction(water, treated)
    start = found.water_log10
    given = evaluated(wanted, found.reduction, flags=_flags(wanted, found), details=_details(found))
    limit = max(math.log10(one.limit) for one in treated)
    if given.answer == CANNOT_TELL and start - limit < wanted.required_log10:
        return with_answer(given, NOT_ASSESSABLE)
    return given


def carriers_reduction(water: Sequence[Recovered], treated: Sequence[Recovered]) -> CarriersReduction:
    """Return the mean reduction of carriers against their water control, with its lower limit where it was measured.

    Examples
    --------
    >>> found = carriers_reduction([Recovered(4.0e6), Recovered(5.0e6)], [Recovered(40), Recovered(70)])
    >>> found.reduction.text(), round(found.lower_log10, 2)
    ('= 4.93', 4.37)
    """
    start = _mean_log("water", water)
    if start.operator != "=":
        raise OutOfRange("water", 0, N_("a water control from which something was recovered"))
    if all(one.cfu <= MOST_LOGS for one in water):
        raise OutOfRange("water", max(one.cfu for one in water), N_("CFU recovered, not their logarithm"))
    reduction = start - _mean_log("treated", treated)
    spread = mean_of_logs([one.log10.value for one in water], [one.log10.value for one in treated],
                          censored=reduction.operator != "=")
    return CarriersReduction(reduction, start.value, spread.se_log10, spread.lower_log10)


def wipe_test(wanted: Requirement, found: CarriersReduction, *, spread_cfu_25cm2: float,
              transfer_cfu_field: float) -> Efficacy:
    """Return the evaluation of a four-field wipe test.

    Parameters
    ----------
    wanted : Requirement
        Of EN 16615.
    found : CarriersReduction
        On the first field, from :func:`carriers_reduction` or :func:`reported`.
    spread_cfu_25cm2 : float
        Mean of fields 2 to 4 after wiping with product, CFU per 25 cm2, 0 or more.
    transfer_cfu_field : float
        Mean of fields 2 to 4 after wiping with water, CFU a field, 0 or more: it shows that a wipe carries on at all.

    Source
    ------
    EN 16615: reduction (secondary) and at most 50 CFU per 25 cm2 on fields 2 to 4; water control at least 10 (memory).

    Examples
    --------
    >>> from tersum.lethality.efficacy import requirement
    >>> found = wipe_test(requirement("EN 16615 bactericidal"), reported(exactly(5.4)), spread_cfu_25cm2=62.0,
    ...                   transfer_cfu_field=200.0)
    >>> found.answer, found.flags[0]
    ('not-met', 'spread')
    """
    rules = rules_of("EN 16615")
    most, least = rules["most_spread"], rules["least_transfer"]
    spread = real("spread_cfu_25cm2", spread_cfu_25cm2, at_least=0.0)
    failing = outside("transfer-control", real("transfer_cfu_field", transfer_cfu_field, at_least=0.0), least.number,
                      math.inf)
    spreads = spread > most.number
    given = evaluated(wanted, found.reduction, failing=failing, flags=[*([SPREAD] if spreads else []),
                                                                       *_flags(wanted, found)],
                      rules=[most, least], details={**_details(found), "spread_cfu_25cm2": spread})
    return with_answer(given, NOT_MET) if spreads else given


def room_test(wanted: Requirement, found: CarriersReduction, *, room_m3: float,
              distribution_met: bool | None) -> Efficacy:
    """Return the evaluation of an airborne test in a room.

    Parameters
    ----------
    wanted : Requirement
        Of EN 17272.
    found : CarriersReduction
        Of the efficacy test, from :func:`carriers_reduction` or :func:`reported`.
    room_m3 : float
        Of the test room: below 4, or 30 to 150 m3.
    distribution_met : bool or None
        Whether the distribution test, with carriers in the corners, was met; None where none was run: invalid.

    Source
    ------
    EN 17272: efficacy and distribution both (memory); sizes of rooms (secondary).

    Examples
    --------
    >>> from tersum.lethality.efficacy import requirement
    >>> wanted = requirement("EN 17272 medical bactericidal")
    >>> room_test(wanted, reported(exactly(5.6)), room_m3=40.0, distribution_met=None).answer
    'invalid'
    """
    rules = rules_of("EN 17272")
    size = real("room_m3", room_m3, above=0.0)
    failing: list[Failing] = []
    if size >= rules["small_chamber"].number:
        failing += outside("room-size", size, rules["least_room"].number, rules["most_room"].number)
    if distribution_met is None:
        failing.append(Failing("distribution-test-missing", math.nan, math.nan, math.nan))
    uneven = distribution_met is False
    given = evaluated(wanted, found.reduction, failing=failing,
                      flags=[*([DISTRIBUTION_NOT_MET] if uneven else []), *_flags(wanted, found)],
                      rules=[rules[name] for name in rules], details={**_details(found), "room_m3": size})
    return with_answer(given, NOT_MET) if uneven else given


def reported(reduction: LogReduction) -> CarriersReduction:
    """Return a reduction that is known without its carriers: it has no interval."""
    return CarriersReduction(reduction, math.nan, math.nan, math.nan)


def _flags(wanted: Requirement, found: CarriersReduction) -> list[str]:
    if found.reduction.operator != "=":
        return []
    if math.isnan(found.lower_log10):
        return [NO_REPLICATES]
    below = found.reduction.reaches(wanted.required_log10) == MET and found.lower_log10 < wanted.required_log10
    return [LOWER_LIMIT_BELOW] if below else []


def _details(found: CarriersReduction) -> dict[str, float]:
    return {"water_log10": found.water_log10, "se_log10": found.se_log10, "lower_log10": found.lower_log10}


def _mean_log(field: str, carriers: Sequence[Recovered]) -> LogReduction:
    if not carriers:
        raise OutOfRange(field, 0, N_("one carrier or more"))
    return mean([one.log10 for one in carriers])

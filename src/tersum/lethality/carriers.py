"""The United States' carrier tests: growth or none on sixty carriers, and mean reductions over replicates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv, stdtrit

from tersum.arguments import Array, probability, real, row, whole
from tersum.catalogue.load import Entry
from tersum.errors import N_, OutOfRange
from tersum.lethality.efficacy import (
    INVALID,
    LOWER_LIMIT_BELOW,
    Efficacy,
    Failing,
    Requirement,
    evaluated,
    memorised,
    outside,
    rules_of,
)
from tersum.lethality.log_reduction import (
    MET,
    NOT_MET,
    UNKNOWN,
    LogReduction,
    at_least,
    at_most,
    exactly,
    more_than,
)

CENSORED = "carriers-without-growth-taken-at-their-limit"
MEAN_OF_LOGS = "mean-of-logs"
LOG_OF_MEAN = "log-of-mean"
NO_REPLICATES = "no-replicates"
DENSITY_NOT_JUDGED = "range-of-carrier-density-not-known"


@dataclass(frozen=True)
class GrowthOnCarriers:
    """A test by growth or none.

    ``survivors`` is the mean number of survivors a carrier behind the share of carriers with growth; where none grew
    (operator ``<``) it is the upper 95 % limit. ``reduction`` starts from the carriers' density; ``lower_log10`` is its
    one-sided 95 % limit from the number of carriers alone (Clopper & Pearson), NaN where no end exists.
    """

    method: str
    answer: str
    positive: int
    carriers: int
    most_positive: int
    survivors: float
    survivors_operator: str
    reduction: LogReduction
    failing: tuple[Failing, ...]
    flags: tuple[str, ...]
    from_memory: tuple[str, ...]
    lower_log10: float


@dataclass(frozen=True)
class MeanReduction:
    """Mean reduction over replicate carriers.

    ``definition`` is ``mean-of-logs`` or ``log-of-mean``; the two differ by more than a log on uneven carriers, and the
    latter is what a risk goes by. ``lower_log10`` is the one-sided 95 % limit by Student's t (NaN for a bound or
    without replicates): a reduction of 5.1 in one test does not show 5.
    """

    reduction: LogReduction
    se_log10: float
    lower_log10: float
    degrees_of_freedom: float
    definition: str
    flags: tuple[str, ...]


def survivors_per_carrier(positive: int, carriers: int) -> float:
    """Return the mean number of survivors a carrier behind a share of carriers with growth.

    Source
    ------
    Poisson zero term: -ln(1 - x/n). For survivors that lie singly.

    Examples
    --------
    >>> round(survivors_per_carrier(3, 60), 5)
    0.05129
    """
    grown, of = _share(positive, carriers)
    if grown == of:
        raise OutOfRange("positive", grown, N_("fewer than all carriers: all grown has no upper end"))
    return -math.log1p(-grown / of)


def growth_on_carriers(method: str, positive: int, *, log10_density: float | None,
                       carriers: int | None = None) -> GrowthOnCarriers:
    """Return the evaluation of a use-dilution or spray test.

    Parameters
    ----------
    method : str
        ``use-dilution, S. aureus``, ``use-dilution, P. aeruginosa`` or ``germicidal spray``.
    positive : int
        Carriers with growth, 0 to ``carriers``.
    log10_density : float or None
        Control carriers, log10 CFU; None where they were not counted: the test is invalid.
    carriers : int, optional
        Tested; another number than the method's is invalid.

    Raises
    ------
    UnknownName
        For another method.
    OutOfRange
        For more carriers with growth than carriers.

    Source
    ------
    Use-dilution, at most 3 and 6 of 60 carriers of 6 to 7 log10: Tomasino et al. 2014, abstract (read). Spray: 1 of 60
    (memory). One of three batches on three days; the older rule of at most 1 passed ineffective products in 9 to 24 %
    and failed highly effective ones in 18 to 23 % of tests (same abstract).

    Examples
    --------
    >>> found = growth_on_carriers("use-dilution, S. aureus", 3, log10_density=6.5)
    >>> found.answer, found.reduction.text()
    ('met', '= 7.79')
    >>> growth_on_carriers("use-dilution, S. aureus", 0, log10_density=6.5).reduction.text()
    '> 7.80'
    """
    rules = rules_of(method)
    wanted = rules["carriers"].number
    grown, of = _share(positive, int(wanted) if carriers is None else carriers)
    failing = outside("carriers", of, wanted, wanted) + _density_failings(rules, log10_density)
    most = int(rules["most_positive"].number)
    survivors, operator, found = _survivors(grown, of, log10_density)
    answer = INVALID if failing else MET if grown <= most else NOT_MET
    return GrowthOnCarriers(method, answer, grown, of, most, survivors, operator, found, tuple(failing),
                            () if "lowest_density" in rules else (DENSITY_NOT_JUDGED,),
                            memorised([rules[name] for name in rules]), _lower(grown, of, log10_density))


def mean_reduction(control_log10: Sequence[float], treated_cfu: Sequence[float], *, limit_cfu: float = 1.0,
                   definition: str = LOG_OF_MEAN, confidence: float = 0.95) -> MeanReduction:
    """Return the mean reduction over replicate carriers from their counts.

    Parameters
    ----------
    control_log10 : sequence of float
        Control carriers, log10 CFU, one or more.
    treated_cfu : sequence of float
        Treated carriers, CFU, 0 or more; none grown counts as ``limit_cfu`` and makes the result a bound.
    limit_cfu : float
        Of detection, CFU a carrier, above 0.
    definition : {"log-of-mean", "mean-of-logs"}
        Of the treated carriers; the controls are averaged as logs.
    confidence : float
        Of the one-sided lower limit, above 0 and below 1.

    Source
    ------
    DeVries & Hamilton 1999 (not seen) for the two definitions; SE = sqrt(s_c^2/n_c + s_t^2/n_t) (KSA-SM-07, read), with
    Welch's degrees of freedom. The SE is that of the logs, and given for ``mean-of-logs`` alone.

    Examples
    --------
    >>> uneven = [10.0, 10.0, 10.0, 10000.0]
    >>> [round(mean_reduction([6.5], uneven, definition=one).reduction.value, 2) for one in (MEAN_OF_LOGS, LOG_OF_MEAN)]
    [4.75, 3.1]
    """
    treated = row("treated_cfu", treated_cfu, at_least=0.0)
    limit = real("limit_cfu", limit_cfu, above=0.0)
    held = np.where(treated < limit, limit, treated)
    if definition == MEAN_OF_LOGS:
        return mean_of_logs(control_log10, np.log10(held).tolist(), censored=bool((treated < limit).any()),
                            confidence=confidence)
    if definition != LOG_OF_MEAN:
        raise OutOfRange("definition", definition, "{names}", names=f"{LOG_OF_MEAN}, {MEAN_OF_LOGS}")
    control = row("control_log10", control_log10)
    value = float(control.mean()) - math.log10(float(held.mean()))
    censored = bool((treated < limit).any())
    return MeanReduction(at_least(value) if censored else exactly(value), math.nan, math.nan, math.nan, LOG_OF_MEAN,
                         (CENSORED,) if censored else ())


def mean_of_logs(control_log10: Sequence[float], treated_log10: Sequence[float], *, censored: bool = False,
                 confidence: float = 0.95) -> MeanReduction:
    """Return the mean reduction of logs with its standard error and one-sided lower limit.

    Examples
    --------
    >>> found = mean_of_logs([6.42, 6.55, 6.48], [1.3, 2.1, 1.75, 0.95, 1.6])
    >>> found.reduction.text(3), round(found.se_log10, 4), round(found.lower_log10, 2)
    ('= 4.943', 0.1994, 4.53)
    """
    control, treated = row("control_log10", control_log10), row("treated_log10", treated_log10)
    value = float(control.mean() - treated.mean())
    tail = probability("confidence", confidence)
    if censored:
        return MeanReduction(at_least(value), math.nan, math.nan, math.nan, MEAN_OF_LOGS, (CENSORED,))
    if min(control.size, treated.size) < 2:
        return MeanReduction(exactly(value), math.nan, math.nan, math.nan, MEAN_OF_LOGS, (NO_REPLICATES,))
    parts = [_variance(one) / one.size for one in (control, treated)]
    se = math.sqrt(sum(parts))
    if se == 0.0:
        return MeanReduction(exactly(value), 0.0, value, math.inf, MEAN_OF_LOGS, ())
    freedom = sum(parts) ** 2 / (parts[0] ** 2 / (control.size - 1) + parts[1] ** 2 / (treated.size - 1))
    lower = value - float(stdtrit(freedom, tail)) * se
    return MeanReduction(exactly(value), se, lower, freedom, MEAN_OF_LOGS, ())


def carrier_efficacy(wanted: Requirement, found: MeanReduction) -> Efficacy:
    """Return the answer of a quantitative carrier test.

    The mean is held against the requirement, as the methods do; where the lower limit over the carriers lies below it,
    or is not known, the result says so.

    Examples
    --------
    >>> from tersum.lethality.efficacy import requirement
    >>> close = mean_of_logs([6.5, 6.6, 6.4], [3.1, 3.6, 3.4])
    >>> found = carrier_efficacy(requirement("OCSPP 810.2300 non-food-contact sanitiser"), close)
    >>> found.answer, found.flags[0]
    ('met', 'lower-limit-below-the-requirement')
    """
    flags = list(found.flags)
    if found.reduction.reaches(wanted.required_log10) == MET and found.lower_log10 < wanted.required_log10:
        flags.append(LOWER_LIMIT_BELOW)
    return evaluated(wanted, found.reduction, flags=flags,
                     details={"se_log10": found.se_log10, "lower_log10": found.lower_log10})


def _density_failings(rules: Entry, log10_density: float | None) -> list[Failing]:
    if log10_density is None:
        return [Failing("control-carriers-missing", math.nan, math.nan, math.nan)]
    density = real("log10_density", log10_density)
    if "lowest_density" not in rules:
        return []
    return outside("carrier-density", density, rules["lowest_density"].number, rules["highest_density"].number)


def _survivors(grown: int, of: int, log10_density: float | None) -> tuple[float, str, LogReduction]:
    if grown == of:  # 95 % limit of a share of which all grew
        least = -math.log1p(-math.pow(0.05, 1.0 / of))
        return least, ">", UNKNOWN if log10_density is None else at_most(log10_density - math.log10(least))
    if not grown:
        most = -math.log(0.05) / of
        return most, "<", UNKNOWN if log10_density is None else more_than(log10_density - math.log10(most))
    survivors = survivors_per_carrier(grown, of)
    return survivors, "=", UNKNOWN if log10_density is None else exactly(log10_density - math.log10(survivors))


def _lower(grown: int, of: int, log10_density: float | None) -> float:
    if grown == of or log10_density is None:
        return math.nan
    highest_share = float(betaincinv(grown + 1.0, of - grown, 0.95))
    return log10_density - math.log10(-math.log1p(-highest_share))


def _share(positive: int, carriers: int) -> tuple[int, int]:
    of = whole("carriers", carriers, at_least=1)
    grown = whole("positive", positive)
    if grown > of:
        raise OutOfRange("positive", grown, N_("no more than there are carriers, {of}"), of=of)
    return grown, of


def _variance(values: Array) -> float:
    return float(((values - values.mean()) ** 2).sum() / (values.size - 1))

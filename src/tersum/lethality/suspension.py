"""The European suspension test by dilution and neutralisation: density, controls, what is left, reduction."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import real, together, whole
from tersum.catalogue.load import Entry, Sourced
from tersum.errors import N_, OutOfRange, TersumError
from tersum.lethality.count_scatter import Quotient, dilution_quotient
from tersum.lethality.efficacy import (
    LOWER_LIMIT_BELOW,
    Efficacy,
    Failing,
    Requirement,
    evaluated,
    outside,
    rules_of,
)
from tersum.lethality.log_reduction import MET, LogReduction, at_most, exactly, less_than, more_than
from tersum.lethality.rounding import significant

BACTERIA = "EN suspension, bacteria"
FUNGI = "EN suspension, fungi"

MIXED_PLATES = "one-plate-below-the-range"
ONE_PLATE_ABOVE = "one-plate-above-the-range"
DILUTIONS_DISAGREE = "dilutions-do-not-agree"
COUNTING_ALONE = "interval-of-counting-alone"
LOG10_E = math.log10(math.e)
NORMAL_ONE_SIDED_95 = 1.6448536269514722


@dataclass(frozen=True)
class Density:
    """Density of a test suspension: CFU/mL, rounded as reported, log10 of it in the mixture, and colonies behind it."""

    cfu_per_ml: float
    reported: float
    log10_in_mixture: float
    quotient: Quotient | None
    colonies: int = 0


@dataclass(frozen=True)
class Residual:
    """What is left after the contact time: log10 CFU/mL with its operator, as it is reported, colonies behind it."""

    log10: LogReduction
    report: str
    flags: tuple[str, ...]
    colonies: int = 0


@dataclass(frozen=True)
class Controls:
    """Validation controls, CFU/mL: suspension, conditions (A), neutraliser (B), method (C).

    ``strong_suspension`` is the denser suspension that newer editions run B with; B is then held against it.
    """

    suspension: float
    conditions: float
    neutraliser: float
    method: float
    strong_suspension: float | None = None


def suspension_density(first: Sequence[float], second: Sequence[float], *, dilution_first: float,
                       volume_ml: float = 1.0, method: str = BACTERIA) -> Density:
    """Return the density of a test suspension from plates of two successive tenfold dilutions.

    Parameters
    ----------
    first, second : sequence of int
        Colonies on the plates of each dilution, 0 or more; the second may be empty. Plates out of the range of the
        method are left out.
    dilution_first : float
        Such as 1e-6, above 0.
    volume_ml : float
        On each plate, mL, above 0.
    method : str
        :data:`BACTERIA` or :data:`FUNGI`.

    Raises
    ------
    OutOfRange
        If an argument lies outside the range stated above.

    Source
    ------
    EN 13727, EN 1276 (memory): weighted mean, two digits; a tenth of it stands in the mixture.

    Examples
    --------
    >>> found = suspension_density([168, 213], [20, 25], dilution_first=1e-6)
    >>> found.reported, round(found.log10_in_mixture, 2)
    (190000000.0, 7.28)
    """
    counts = [_plates("first", first), _plates("second", second)]
    if not counts[0]:
        raise OutOfRange("first", 0, N_("one plate or more"))
    diluted = real("dilution_first", dilution_first, above=0.0, at_most=1.0) * real("volume_ml", volume_ml, above=0.0)
    rules = rules_of(method)
    low, high = rules["lowest_count"].number, rules["highest_count"].number
    pooled = [[one for one in plates if low <= one <= high] for plates in counts]
    if not any(pooled):
        raise OutOfRange("first", ", ".join(f"{one:g}" for one in (*counts[0], *counts[1])),
                         N_("at least one plate of {low} to {high} colonies"), low=f"{low:g}", high=f"{high:g}")
    colonies = sum(map(sum, pooled))
    density = colonies / (diluted * (len(pooled[0]) + 0.1 * len(pooled[1])))
    reported = significant(density)
    quotient = None
    if counts[1] and any(counts[1]) and any(counts[0]):
        quotient = dilution_quotient(sum(counts[0]) / len(counts[0]), sum(counts[1]) / len(counts[1]))
    return Density(density, reported, math.log10(reported * rules["test_share"].number), quotient,
                   int(colonies))


def residual(counts: Sequence[float], *, method: str = BACTERIA, volume_ml: float = 1.0) -> Residual:
    """Return what is left after the contact time from parallel plates of the neutralised mixture.

    Parameters
    ----------
    counts : sequence of int
        Colonies on each plate, 0 or more; infinity where they cannot be counted.
    method : str
        :data:`BACTERIA` or :data:`FUNGI`: it sets the range of counts.
    volume_ml : float
        On each plate, mL, above 0.

    Returns
    -------
    Residual
        ``<`` where every plate lies below the range, ``>`` where every plate lies above. Where plates lie on both sides
        of an end the less favourable reading is taken and flagged, until the edition in force is at hand.

    Source
    ------
    EN 13727, EN 1276 (memory): 10 times the mean; below 14 and above 330 colonies a bound.

    Examples
    --------
    >>> [residual(one).report for one in ([3, 8], [35, 41], [400, 500])]
    ['<140', '380', '>3300']
    """
    seen = _plates("counts", counts, uncountable=True)
    if not seen:
        raise OutOfRange("counts", 0, N_("one plate or more"))
    rules = rules_of(method)
    low, high = rules["lowest_count"].number, rules["highest_count"].number
    per_colony = rules["neutralisation"].number / real("volume_ml", volume_ml, above=0.0)
    if max(seen) < low:
        return Residual(less_than(math.log10(low * per_colony)), f"<{low * per_colony:.10g}", ())
    if min(seen) > high:
        return Residual(more_than(math.log10(high * per_colony)), f">{high * per_colony:.10g}", ())
    if max(seen) > high:
        # At least one plate is beyond counting: no more is known than that the mean is above that of the others.
        least = sum(min(one, high) for one in seen) / len(seen) * per_colony
        return Residual(more_than(math.log10(least)), f">{least:.10g}", (ONE_PLATE_ABOVE,))
    if min(seen) < low:
        most = max(seen) * per_colony
        return Residual(at_most(math.log10(most)), f"<={most:.10g}", (MIXED_PLATES,))
    number = significant(sum(seen) / len(seen) * per_colony)
    return Residual(exactly(math.log10(number)), f"{number:.10g}", (), int(sum(seen)))


def control_failings(controls: Controls, *, method: str = BACTERIA) -> list[Failing]:
    """Return which validation controls lie outside their ranges.

    Source
    ------
    EN 13727, EN 1276 (memory): suspension 30 to 160, A, B and C each at least half of it; newer editions hold B against
    a denser suspension.

    Examples
    --------
    >>> [one.code for one in control_failings(Controls(96, 60, 47, 52))]
    ['control-b']
    """
    rules = rules_of(method)
    _check_controls(controls)
    found = outside("validation-suspension", controls.suspension, rules["lowest_validation"].number,
                    rules["highest_validation"].number)
    least = rules["control_share"].number * controls.suspension
    found += outside("control-a", controls.conditions, least, math.inf)
    strong = controls.strong_suspension
    found += outside("control-b", controls.neutraliser,
                     least if strong is None else rules["strong_control_share"].number * strong, math.inf)
    return found + outside("control-c", controls.method, least, math.inf)


def suspension_test(wanted: Requirement, density: Density, left: Residual, controls: Controls | None, *,
                    method: str = BACTERIA, density_range: tuple[float, float] | None = None) -> Efficacy:
    """Return the evaluation of one test organism at one strength and time.

    Parameters
    ----------
    wanted : Requirement
        From :func:`tersum.lethality.efficacy.requirement`.
    density, left, controls
        From :func:`suspension_density`, :func:`residual`, and :class:`Controls`; a test without controls is invalid.
    method : str
        :data:`BACTERIA` or :data:`FUNGI`.
    density_range : tuple of float, optional
        Least and greatest density of the test suspension, CFU/mL, from the edition at hand; the method's if left out.

    Returns
    -------
    Efficacy
        For a measured reduction ``lower_log10`` is its one-sided 95 % limit from the colonies counted alone: no more
        of the scatter can be seen in one run.

    Source
    ------
    EN 13727, EN 1276 (memory): lg R = lg N0 - lg Na. Counting: SE = log10(e) sqrt(1/K + 1/K'), K colonies (Poisson).

    Examples
    --------
    >>> from tersum.lethality.efficacy import requirement
    >>> start = suspension_density([168, 213], [20, 25], dilution_first=1e-6)
    >>> found = suspension_test(requirement("EN 13727 bactericidal surface"), start, residual([35, 41]),
    ...                         Controls(96, 60, 52, 52))
    >>> found.answer, found.reduction.text()
    ('not-met', '= 4.70')
    """
    rules = rules_of(method)
    failing = density_failings(density, method=method, within=density_range)
    if controls is None:
        failing.append(Failing("controls-missing", math.nan, math.nan, math.nan))
    else:
        failing += control_failings(controls, method=method)
    flags = list(left.flags)
    if density.quotient is not None and not density.quotient.acceptable:
        flags.append(DILUTIONS_DISAGREE)
    found = exactly(density.log10_in_mixture) - left.log10
    se = counting_se(density.colonies, left.colonies) if found.operator == "=" else math.nan
    lower = found.low - NORMAL_ONE_SIDED_95 * se
    if not math.isnan(se):
        flags.append(COUNTING_ALONE)
        if found.reaches(wanted.required_log10) == MET and lower < wanted.required_log10:
            flags.append(LOWER_LIMIT_BELOW)
    used = _used(rules, stated=density_range is not None, strong=_is_strong(controls))
    return evaluated(wanted, found, failing=failing, flags=flags, rules=used, details={
        "log10_in_mixture": density.log10_in_mixture, "se_log10": se, "lower_log10": lower})


def counting_se(*colonies: int) -> float:
    """Return the standard error, log10, that counting so many colonies brings; NaN where a count is none.

    Examples
    --------
    >>> round(counting_se(426, 76), 3)
    0.054
    """
    return LOG10_E * math.sqrt(sum(1.0 / one for one in colonies)) if all(colonies) else math.nan


def density_failings(density: Density, *, method: str = BACTERIA,
                     within: tuple[float, float] | None = None) -> list[Failing]:
    """Return whether a test suspension is too thin or too dense, by the method or within a range of one's own."""
    rules = rules_of(method)
    least, most = within or (rules["lowest_suspension"].number, rules["highest_suspension"].number)
    return outside("test-suspension", density.reported, least, most)


def _used(rules: Entry, *, stated: bool, strong: bool) -> list[Sourced]:
    """Return the rules that entered; a range of the suspension that was stated is none from memory."""
    return [rules[name] for name in rules
            if not (name == "strong_control_share" and not strong or name.endswith("_suspension") and stated)]


def _is_strong(controls: Controls | None) -> bool:
    return controls is not None and controls.strong_suspension is not None


def _plates(field: str, counts: Sequence[float], *, uncountable: bool = False) -> list[float]:
    return [math.inf if uncountable and one == math.inf else float(whole(field, one))  # type: ignore[arg-type]
            for one in counts]


def _check_controls(controls: Controls) -> None:
    faults: list[TersumError] = []
    for name in ("suspension", "conditions", "neutraliser", "method", "strong_suspension"):
        value = getattr(controls, name)
        try:
            if value is not None:
                real(name, value, at_least=0.0)
        except OutOfRange as fault:
            faults.append(fault)
    together(faults)

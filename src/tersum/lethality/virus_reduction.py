"""Reduction of a virus titre: control less test, what toxicity hides, and whether a test could have shown it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.arguments import real
from tersum.errors import N_, OutOfRange
from tersum.lethality.log_reduction import (
    CANNOT_TELL,
    MET,
    LogReduction,
    at_most,
    exactly,
    more_than,
)
from tersum.lethality.titre import NORMAL_95, Titre

NOT_ASSESSABLE = "not-assessable"
# Half-width at 95 % up to which an assay is taken as good enough.
WIDEST_ASSAY_LOG10 = 0.5
WIDE_ASSAY = "assay-wider-than-half-a-log"
SCRAPES_PAST = "lower-limit-below-the-requirement"


@dataclass(frozen=True)
class VirusReduction:
    """Reduction of a titre, log10.

    ``answer`` is ``met``, ``not-met``, ``cannot-tell`` or ``not-assessable``: the control was too low above the
    detection limit to show the required reduction, whatever the product did. ``half_width_log10`` is that of the 95 %
    interval, NaN for a bound. ``shown_at_least`` is the lower end of the interval for a measured reduction, or the
    bound.
    """

    reduction: LogReduction
    answer: str
    required_log10: float
    half_width_log10: float
    shown_at_least: float
    most_showable: float
    flags: tuple[str, ...]


def detection_limit_log10(first_readable_log10: float, *, step: float, inoculum_ml: float) -> float:
    """Return the titre per mL, log10, that a titration cannot go below.

    Parameters
    ----------
    first_readable_log10 : float
        Log10 of the strongest dilution whose wells are not poisoned by the product itself, 0 or less.
    step : float
        Between dilutions, log10, above 0.
    inoculum_ml : float
        In each well, mL, above 0.

    Source
    ------
    Spearman-Kaerber with the next stronger dilution taken as all positive: toxicity hides what lies there.

    Examples
    --------
    >>> detection_limit_log10(-2.0, step=1.0, inoculum_ml=0.1)
    2.5
    """
    first = real("first_readable_log10", first_readable_log10, at_most=0.0)
    return -(first + real("step", step, above=0.0) / 2.0) - math.log10(real("inoculum_ml", inoculum_ml, above=0.0))


def virus_reduction(control: Titre, test: Titre, *, required_log10: float) -> VirusReduction:
    """Return the reduction of a titre against a requirement.

    Parameters
    ----------
    control : Titre
        After the same time without product; measured, or a lower bound.
    test : Titre
        After the product, from the dilutions that can be read; a bound where no well showed an effect.
    required_log10 : float
        Above 0.

    Raises
    ------
    OutOfRange
        For a control without any effect: there is nothing to reduce.

    Source
    ------
    R = log titre of the control at the same time - log titre of the test; variances add. The assay is wide where its
    95 % limits lie beyond 0.5 log (USP 1050, appendix 3, read).

    Examples
    --------
    >>> def titre(log10, operator="=", se=0.25):
    ...     return Titre(log10, operator, se, log10 - 2 * se, log10 + 2 * se, -log10, "spearman-kaerber", ())
    >>> virus_reduction(titre(7.0), titre(2.5, "<"), required_log10=4.0).reduction.text()
    '>= 4.50'
    >>> virus_reduction(titre(6.0), titre(2.5, "<"), required_log10=4.0).answer
    'not-assessable'
    """
    wanted = real("required_log10", required_log10, above=0.0)
    if control.operator == "<":
        raise OutOfRange("control", f"< {control.log10_per_ml:.2f}", N_("a control with a titre that was measured"))
    found = _bounds(control) - _bounds(test)
    half = NORMAL_95 * math.hypot(control.se_log10, test.se_log10) if found.operator == "=" else math.nan
    most = control.log10_per_ml - test.log10_per_ml if test.operator == "<" else math.inf
    answer = found.reaches(wanted)
    if answer == CANNOT_TELL and test.operator == "<" and control.operator == "=":
        answer = NOT_ASSESSABLE
    flags = {*control.flags, *test.flags}
    if any(NORMAL_95 * one.se_log10 > WIDEST_ASSAY_LOG10 for one in (control, test) if one.operator == "="):
        flags.add(WIDE_ASSAY)
    shown = found.low if math.isnan(half) else found.low - half
    if answer == MET and not math.isnan(half) and shown < wanted:
        flags.add(SCRAPES_PAST)
    return VirusReduction(found, answer, wanted, half, shown, most, tuple(sorted(flags)))


def _bounds(titre: Titre) -> LogReduction:
    """Return a titre as bounds of a log; at or below the limit where no well showed an effect."""
    if titre.operator == "<":
        return at_most(titre.log10_per_ml)
    return exactly(titre.log10_per_ml) if titre.operator == "=" else more_than(titre.log10_per_ml)


"""What a number of swabs lets one say, in sentences."""

from __future__ import annotations

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.evidence.point_sampling import PointStatement, SeriesPlans


def statement_line(found: PointStatement) -> str:
    """Return what swabbing some points lets one say of all listed ones."""
    return ngettext("{found} of {swabbed} swabbed points was above its limit; with {sure} % confidence at most {most} "
                    "of the {points} listed are.",
                    "{found} of {swabbed} swabbed points were above their limit; with {sure} % confidence at most "
                    "{most} of the {points} listed are.", found.found).format(
                        found=found.found, swabbed=found.swabbed, sure=number_text(100.0 * found.confidence),
                        most=found.failing_at_most, points=found.points)


def needed_line(needed: int | None, failing: int, points: int, confidence: float) -> str:
    """Return how many swabs would find at least one of so many failing points."""
    if needed is None:
        return _("Not even all {points} swabs would find one of {failing} failing points with {sure} % confidence: "
                 "swabs that miss so much need a second look.").format(points=points, failing=failing,
                                                                 sure=number_text(100.0 * confidence))
    return _("{needed} of {points} points, drawn at random, find at least one of {failing} failing with {sure} % "
             "confidence.").format(needed=needed, points=points, failing=failing, sure=number_text(100.0 * confidence))


def series_lines(found: SeriesPlans, good: float, bad: float) -> list[str]:
    """Return the fixed and the sequential plan."""
    near = {name: min(range(len(found.failing_frac)), key=lambda place, share=share: abs(  # type: ignore[misc]
        found.failing_frac[place] - share)) for name, share in (("good", good), ("bad", bad))}
    first = found.sequential.first_that_can_accept
    return [
        _("Fixed: look at {n}, accept with {c} failing or fewer.").format(n=found.n, c=found.failures_allowed),
        _("One after the other: accept without a failure at {first}; stop at {stop} at the latest.").format(
            first=first, stop=found.stop_at),
        _("On average {a} looked at where {good} % fail, {b} where {bad} % do.").format(
            a=number_text(found.mean_looked_at[near["good"]], digits=2),
            b=number_text(found.mean_looked_at[near["bad"]], digits=2), good=number_text(100.0 * good),
            bad=number_text(100.0 * bad)),
        _("For series of many alike. It says nothing of the one vehicle in front of a customer: for that see tersum "
          "sampling points."),
    ]


def surface_line() -> str:
    """Return the caution of every statement about points."""
    return _("It holds for points drawn at random from the list, and for what a swab shows; points not swabbed were "
             "not measured.")

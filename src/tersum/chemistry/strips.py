"""A test strip read against its colour steps: an interval, never a number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.uncertainty import rectangular
from tersum.errors import N_, OutOfRange

MEETS, BELOW, CANNOT_TELL = "meets", "below", "cannot-tell"


@dataclass(frozen=True)
class StripReading:
    """Strength between two bounds, mg/L; ``high_mg_l`` is infinite at the top step.

    ``standard_uncertainty_mg_l`` is that of a rectangle between the bounds, infinite at the top. ``answers_to`` names
    what the strip answers to together, where that is more than one substance.
    """

    low_mg_l: float
    high_mg_l: float
    standard_uncertainty_mg_l: float
    answers_to: tuple[str, ...] = ()

    def against(self, floor_mg_l: float) -> str:
        """Return whether a least strength is met: ``meets``, ``below`` or ``cannot-tell``."""
        if self.low_mg_l >= floor_mg_l:
            return MEETS
        return BELOW if self.high_mg_l < floor_mg_l else CANNOT_TELL


def strip_reading(steps_mg_l: Sequence[float], shown_mg_l: float, *,
                  answers_to: Sequence[str] = ()) -> StripReading:
    """Return what a colour step says: somewhere between half way to the step below and half way to the one above.

    Parameters
    ----------
    steps_mg_l : sequence of float
        The steps printed on the strip's tube, two or more, rising, from 0 up.
    shown_mg_l : float
        The step whose colour matched.
    answers_to : sequence of str
        What the strip answers to; many answer to peracid and peroxide together.

    Raises
    ------
    OutOfRange
        For steps that do not rise, and a step that is not among them.

    Source
    ------
    Rectangular interval (jcgm-100-2008, 4.3.7) between the midpoints to the neighbouring steps; at the top step nothing
    bounds it above. Matching a colour to the nearest of two steps is a habit, not a measurement (practice).

    Examples
    --------
    >>> found = strip_reading((0, 500, 1000, 2000), 1000)
    >>> found.low_mg_l, found.high_mg_l, found.against(1000), found.against(700)
    (750.0, 1500.0, 'cannot-tell', 'meets')
    """
    checks = Checks()
    for place, step in enumerate(steps_mg_l, start=1):
        checks.number(f"step {place}", step, N_("0 to 1 000 000 mg/L"), low=0.0, high=1e6)
    checks.done()
    if len(steps_mg_l) < 2 or any(low >= high for low, high in zip(steps_mg_l, steps_mg_l[1:], strict=False)):
        raise OutOfRange("steps_mg_l", ", ".join(f"{one:g}" for one in steps_mg_l), N_("two or more rising steps"))
    if shown_mg_l not in steps_mg_l:
        raise OutOfRange("shown_mg_l", shown_mg_l, "{steps}", steps=", ".join(f"{one:g}" for one in steps_mg_l))
    place = list(steps_mg_l).index(shown_mg_l)
    low = 0.5 * (steps_mg_l[place - 1] + shown_mg_l) if place else 0.0
    if place == len(steps_mg_l) - 1:
        return StripReading(low, float("inf"), float("inf"), tuple(answers_to))
    high = 0.5 * (shown_mg_l + steps_mg_l[place + 1])
    return StripReading(low, high, rectangular(0.5 * (high - low)), tuple(answers_to))

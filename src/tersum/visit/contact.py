"""Contact time of a step, met or not, from what was seen wet; and when to wet again so that it does not dry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from tersum.errors import N_, OutOfRange
from tersum.lethality.wet_time import DRY, WET, WetTime, contact_met, wet_time

NOT_RECORDED = "not-recorded"
# A surface is wetted again with a fifth of its drying time to spare: common practice, no source.
_SPARE_FRAC = 0.2
_MOST_COATS = 20
_DIGITS = 9


@dataclass(frozen=True)
class WetMark:
    """What was seen at one moment: the surface ``wet`` (or wetted again) or ``dry``."""

    at: datetime
    surface: str


@dataclass(frozen=True)
class StepContact:
    """The contact time of one step: ``met``, ``not-met``, ``cannot-tell`` (it dried unseen) or ``not-recorded``.

    The longest unbroken wet time lies between ``low_min`` and ``high_min``; ``times_dried`` is how often the time
    started again; ``coats`` how often to wet in all so that it is met, 0 where no number is known.
    """

    step: str
    answer: str
    asked_min: float
    low_min: float | None = None
    high_min: float | None = None
    times_dried: int = 0
    coats: int = 0


def seen_wet(marks: Sequence[WetMark], started: datetime, finished: datetime, *, watched: bool = False) -> WetTime:
    """Return the longest unbroken time the surface was observed wet within a step.

    Wetted again before it dries, a surface has stayed wet; once dried, the time starts again. Only what lies between
    two looks was observed: after the last mark nobody looked, and before or after the step nothing counts.

    Parameters
    ----------
    watched : bool
        True takes a ``dry`` mark for the moment of drying; False for a look that found it dry.
    """
    inside = sorted((one for one in marks if started <= one.at <= finished), key=lambda one: one.at)
    seen = [((one.at - started).total_seconds() / 60.0, DRY if one.surface == "dry" else WET) for one in inside]
    return wet_time(seen, ended_min=seen[-1][0] if seen else 0.0, watched=watched)


def step_contact(step: str, contact_min: float, marks: Sequence[WetMark], started: datetime, finished: datetime, *,
                 watched: bool = False) -> StepContact:
    """Return whether the contact time of a step was met by what was seen.

    Parameters
    ----------
    contact_min : float
        What the plan asks for, minutes, above 0; never less than the label.
    """
    if not marks:
        return StepContact(step, NOT_RECORDED, contact_min)
    met = contact_met(seen_wet(marks, started, finished, watched=watched), contact_min)
    return StepContact(step, met.answer, contact_min, met.wet.low_min, met.wet.high_min, met.wet.times_dried, met.coats)


def wet_again_at(contact_min: float, dries_min: float) -> tuple[float, ...] | None:
    """Return when to wet a surface again, minutes from its first coat, so that it stays wet for the contact time.

    Parameters
    ----------
    contact_min, dries_min : float
        The contact time, and how long one coat stays wet, minutes, above 0.

    Returns
    -------
    tuple of float, or None
        Empty where one coat is enough; None where more than 20 coats would be needed: then it dries too fast here.

    Source
    ------
    Wetted before it dries it has stayed wet; with a fifth of the drying time to spare (common practice, no source).

    Examples
    --------
    >>> wet_again_at(5.0, 8.0), wet_again_at(10.0, 4.0), wet_again_at(60.0, 1.0)
    ((), (3.2, 6.4), None)
    """
    for name, value in (("contact_min", contact_min), ("dries_min", dries_min)):
        if not (math.isfinite(value) and value > 0.0):
            raise OutOfRange(name, value, N_("above 0"))
    every = (1.0 - _SPARE_FRAC) * dries_min
    coats = math.ceil(round((contact_min - dries_min) / every, _DIGITS)) if contact_min > dries_min else 0
    if coats > _MOST_COATS:
        return None
    return tuple(round(every * (place + 1), 2) for place in range(coats))

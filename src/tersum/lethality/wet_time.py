"""Observed wet time against the label's time: wetted again before dry is still wet, once dried it starts again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.arguments import real
from tersum.errors import N_, OutOfRange, UnknownName

WET, DRY, WIPED = "wet", "dry", "wiped"
SURFACES = (WET, DRY, WIPED)
MET = "met"
NOT_MET = "not-met"
CANNOT_TELL = "cannot-tell"
_DIGITS = 9


@dataclass(frozen=True)
class WetTime:
    """The longest unbroken time that a surface was wet, minutes: between ``low_min`` and ``high_min``.

    The two differ where nobody watched it dry: it dried somewhere between the last look that found it wet and the look
    that found it dry. ``times_dried`` counts how often the time started again.
    """

    low_min: float
    high_min: float
    times_dried: int


@dataclass(frozen=True)
class ContactMet:
    """Whether the label's time was met: ``met``, ``not-met`` or ``cannot-tell`` (dried unseen).

    ``coats`` is how often to wet in all so that the surface stays wet for the label's time, where it was not met: a
    work instruction, no proof, since strength and soil change between coats. 0 where no number of coats is known.
    """

    answer: str
    wet: WetTime
    label_min: float
    coats: int


def wet_time(marks: Sequence[tuple[float, str]], *, ended_min: float, watched: bool = True) -> WetTime:
    """Return the longest unbroken wet time from what was seen.

    Parameters
    ----------
    marks : sequence of (minutes, "wet" | "dry" | "wiped")
        What was seen and when, in minutes from any start, in the order of time; wetting again is ``wet`` too.
    ended_min : float
        When the step ended, not before the last mark; a surface not seen dry counts as wet until then.
    watched : bool
        True where ``dry`` marks the moment of drying; False where it only says that it was found dry.

    Raises
    ------
    OutOfRange
        For marks out of order and times that are no numbers; :class:`UnknownName` for another word.

    Source
    ------
    The definition of contact time on product labels: wet for the whole time (common practice, no source). Taken at the
    spot that dries first.

    Examples
    --------
    >>> wet_time([(0, "wet"), (3, "wet"), (6, "dry"), (7, "wet")], ended_min=10).low_min
    6.0
    >>> wet_time([(0, "wet"), (3, "wet"), (6, "dry")], ended_min=10, watched=False)
    WetTime(low_min=3.0, high_min=6.0, times_dried=1)
    """
    _check(marks, ended_min)
    low = high = 0.0
    since: float | None = None
    last_wet, dried = 0.0, 0
    for minute, surface in marks:
        if surface == WET:
            since = minute if since is None else since
            last_wet = minute
        elif since is not None:
            seen = watched or surface == WIPED  # wiping off is done, not found
            low = max(low, (minute if seen else last_wet) - since)
            high = max(high, minute - since)
            since, dried = None, dried + 1
    if since is not None:
        low, high = max(low, ended_min - since), max(high, ended_min - since)
    return WetTime(float(low), float(high), dried)


def contact_met(wet: WetTime, label_min: float) -> ContactMet:
    """Return whether the label's contact time was met.

    Parameters
    ----------
    wet : WetTime
        From :func:`wet_time`.
    label_min : float
        Contact time of the label, minutes, above 0.

    Examples
    --------
    >>> found = contact_met(WetTime(3.0, 3.0, 1), 10.0)
    >>> found.answer, found.coats
    ('not-met', 4)
    """
    label = real("label_min", label_min, above=0.0)
    if round(wet.low_min, _DIGITS) >= round(label, _DIGITS):
        return ContactMet(MET, wet, label, 1)
    answer = NOT_MET if round(wet.high_min, _DIGITS) < round(label, _DIGITS) else CANNOT_TELL
    # From the time that is certain: a coat that may last longer is not counted on.
    coats = math.ceil(round(label / wet.low_min, _DIGITS)) if wet.low_min > 0.0 else 0
    return ContactMet(answer, wet, label, coats)


def film_wet_min(film_g_m2: float, evaporation_g_m2_h: float) -> float:
    """Return about how long a film stays wet, minutes: to plan with, never for a record.

    Parameters
    ----------
    film_g_m2 : float
        Liquid put on, g/m2, above 0.
    evaporation_g_m2_h : float
        Loss by evaporation at this air and surface, g/(m2 h), above 0.

    Source
    ------
    Mass balance of a film. Run-off, soaking in and a rate that changes as it dries are left out: a wet time is
    observed, per product, surface and climate.

    Examples
    --------
    >>> film_wet_min(20.0, 240.0)
    5.0
    """
    return 60.0 * real("film_g_m2", film_g_m2, above=0.0) / real("evaporation_g_m2_h", evaporation_g_m2_h, above=0.0)


def _check(marks: Sequence[tuple[float, str]], ended_min: float) -> None:
    before = -math.inf
    for minute, surface in marks:
        if surface not in SURFACES:
            raise UnknownName("surface", surface, SURFACES)
        if real("minute", minute) < before:
            raise OutOfRange("minute", float(minute), N_("a time not before the one above it"))
        before = minute
    if real("ended_min", ended_min) < before:
        raise OutOfRange("ended_min", float(ended_min), N_("a time not before the last mark"))

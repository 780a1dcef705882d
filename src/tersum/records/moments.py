"""Moments as people and spreadsheets write them, turned into one instant in UTC, or refused."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, tzinfo

from tersum.errors import N_, OutOfRange, TersumError
from tersum.records.intake import refusal

ALLOWANCE_MIN = 5  # two clocks that are both right enough may differ by as much

_FORM = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?) ?(Z|[+-]\d{2}:\d{2})?)?",
                   re.ASCII)
_ACCEPTED = N_("date and time with the zone, such as 2026-03-05T14:30:00Z or 2026-03-05 15:30+01:00")


def moment(text: str, *, field: str, now: datetime, zone: tzinfo | None = None) -> str:
    """Return a moment as RFC 3339 in UTC.

    Parameters
    ----------
    text : str
        ``2026-03-05T14:30:00Z``; a blank for the T, an offset for the Z, and no seconds are accepted too.
    field : str
        What to call it in a refusal.
    now : datetime
        The present, with its zone; a moment more than five minutes later is in the future.
    zone : tzinfo or None
        The zone of a time written without one; None: such a time is refused.

    Raises
    ------
    TersumError
        ``in-the-future``, ``no-zone``, ``not-a-moment``, or ``ambiguous-moment`` for an hour that the clocks of the
        zone skip or show twice.

    Examples
    --------
    >>> from datetime import datetime, UTC
    >>> moment("2026-03-05 15:30+01:00", field="at", now=datetime(2026, 3, 6, tzinfo=UTC))
    '2026-03-05T14:30:00Z'
    """
    day, clock, offset = _parts(field, text)
    # Before the zone is asked for: no zone on Earth is more than a day ahead.
    if day.replace(tzinfo=UTC) > now + timedelta(days=1):
        raise _in_the_future(field, text)
    if clock is None:
        raise refusal("no-time", N_("{field} has no time of day: got {value}; accepted: {accepted}."), field, text,
                      _ACCEPTED)
    instant = clock.replace(tzinfo=offset) if offset is not None else _local(clock, zone, field, text)
    try:
        instant = instant.astimezone(UTC)
    except OverflowError:
        raise OutOfRange(field, text, _ACCEPTED) from None
    if instant > now + timedelta(minutes=ALLOWANCE_MIN):
        raise _in_the_future(field, text)
    return instant.isoformat(timespec="microseconds" if instant.microsecond else "seconds").replace("+00:00", "Z")


def _parts(field: str, text: str) -> tuple[datetime, datetime | None, tzinfo | None]:
    """Return the day, the day with its clock time if there is one, and the offset if there is one."""
    found = _FORM.fullmatch(text.strip(" \t"))
    try:
        if found is not None:
            day, clock, offset = found.groups()
            return (datetime.fromisoformat(day), datetime.fromisoformat(f"{day}T{clock}") if clock else None,
                    datetime.fromisoformat(f"{day}T00:00{offset}").tzinfo if offset else None)
    except ValueError:
        pass  # a 31 February, an hour 25: told below
    raise refusal("not-a-moment", N_("{field} is not a date and time: got {value}; accepted: {accepted}."), field,
                  text, _ACCEPTED)


def _local(clock: datetime, zone: tzinfo | None, field: str, text: str) -> datetime:
    """Return the instant that a local clock showed, if there is exactly one."""
    if zone is None:
        raise refusal("no-zone", N_("{field} has no zone: got {value}; accepted: {accepted}."), field, text, _ACCEPTED)
    first, second = clock.replace(tzinfo=zone, fold=0), clock.replace(tzinfo=zone, fold=1)
    # Where the clocks change, the two readings of one local time differ: it was shown twice, or never.
    if first.utcoffset() != second.utcoffset():
        raise refusal("ambiguous-moment", N_("{field} was shown twice or not at all when the clocks changed: got "
                                             "{value}; accepted: {accepted}."), field, text, _ACCEPTED)
    return first


def _in_the_future(field: str, text: str) -> TersumError:
    return refusal("in-the-future", N_("{field} is in the future: got {value}; accepted: {accepted}."), field, text,
                   N_("a moment up to now (a clock may be {minutes} minutes ahead)"), minutes=ALLOWANCE_MIN)

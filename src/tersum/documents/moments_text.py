"""Days and clock times as people read them on paper: ISO order, the clock of the place, its offset said once."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo


def day(at: datetime, zone: str) -> str:
    """Return the day at the place.

    >>> from datetime import UTC
    >>> day(datetime(2026, 3, 2, 23, 30, tzinfo=UTC), "Europe/Rome")
    '2026-03-03'
    """
    return at.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d")


def clock(at: datetime, zone: str) -> str:
    """Return the time of day at the place, to the minute.

    >>> from datetime import UTC
    >>> clock(datetime(2026, 3, 2, 9, 14, tzinfo=UTC), "Europe/Rome")
    '10:14'
    """
    return at.astimezone(ZoneInfo(zone)).strftime("%H:%M")


def moment(at: datetime, zone: str) -> str:
    """Return day, time and offset at the place.

    >>> from datetime import UTC
    >>> moment(datetime(2026, 3, 2, 9, 14, tzinfo=UTC), "Europe/Rome")
    '2026-03-02 10:14 (UTC+01:00)'
    """
    there = at.astimezone(ZoneInfo(zone))
    return f"{there:%Y-%m-%d %H:%M} (UTC{there.strftime('%z')[:3]}:{there.strftime('%z')[3:]})"


def span(start: datetime, end: datetime, zone: str) -> str:
    """Return from when to when on one day, or with both days where it went past midnight.

    >>> from datetime import UTC
    >>> span(datetime(2026, 3, 2, 9, 14, tzinfo=UTC), datetime(2026, 3, 2, 9, 30, tzinfo=UTC), "UTC")
    '09:14–09:30'
    """
    if day(start, zone) == day(end, zone):
        return f"{clock(start, zone)}–{clock(end, zone)}"
    return f"{day(start, zone)} {clock(start, zone)} – {day(end, zone)} {clock(end, zone)}"

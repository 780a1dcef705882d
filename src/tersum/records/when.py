"""Moments as facts hold them: UTC to the microsecond, the IANA zone of the place, and its offset at that moment."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tersum.errors import N_, OutOfRange

Clock = Callable[[], datetime]


@dataclass(frozen=True)
class When:
    """A moment: ``utc`` as text, ``zone`` as IANA name, ``offset`` as ``+HH:MM``."""

    utc: str
    zone: str
    offset: str


def when(moment: datetime, zone: str) -> When:
    """Return a moment as a fact holds it.

    Parameters
    ----------
    moment : datetime
        With a time zone of its own; a naive one is refused, because nobody could say which hour it means.
    zone : str
        IANA name of the zone of the place, such as ``Europe/Lisbon``.

    Examples
    --------
    >>> when(datetime(2026, 3, 2, 9, 14, tzinfo=UTC), "Europe/Lisbon")
    When(utc='2026-03-02T09:14:00.000000Z', zone='Europe/Lisbon', offset='+00:00')
    """
    if moment.utcoffset() is None:
        raise OutOfRange("when", moment.isoformat(), N_("a moment with its time zone"))
    try:
        there = moment.astimezone(ZoneInfo(zone))
    except (OSError, ValueError, LookupError) as unknown:  # ZoneInfoNotFoundError is a LookupError
        raise OutOfRange("zone", zone, N_("an IANA time zone name such as Europe/Lisbon")) from unknown
    return When(utc_text(moment), zone, _offset(there.utcoffset() or timedelta()))


def utc_text(moment: datetime) -> str:
    """Return a moment in UTC to the microsecond.

    Examples
    --------
    >>> utc_text(datetime(2026, 3, 2, 9, 14, tzinfo=UTC))
    '2026-03-02T09:14:00.000000Z'
    """
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def now() -> datetime:
    """Return the moment by the clock of this machine."""
    return datetime.now(UTC)


def local_zone() -> str:
    """Return the IANA name of this machine's zone; ``Etc/UTC`` where it does not say, which is then the true zone of
    the time written beside it."""
    for name in (os.environ.get("TERSUM_ZONE", ""), os.environ.get("TZ", "").lstrip(":"), _linked("/etc/localtime")):
        if name and _is_zone(name):
            return name
    return "Etc/UTC"


def _linked(path: str) -> str:
    try:
        target = Path(path).resolve().as_posix()
    except OSError:
        return ""
    return target.partition("zoneinfo/")[2]


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (OSError, ValueError, LookupError):
        return False
    return True


def _offset(offset: timedelta) -> str:
    minutes = round(offset.total_seconds() / 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"

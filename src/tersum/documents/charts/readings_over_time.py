"""Readings over time: one small picture for each point, all on the same scales, gaps left as gaps."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from tersum.documents import fonts
from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition, Theme
from tersum.documents.charts.layers import Axis, pixels
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext, speaking
from tersum.documents.verdict_marks import MARKS
from tersum.errors import N_, OutOfRange
from tersum.visit.decision import NOT_COUNTED
from tersum.visit.readings import Reading, fault

_SMALL = 12.0
_TALL, _FOOT = 84.0, 14.0
_STEPS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080, 20160, 43200, 131400, 525600)


def readings_over_time(readings: Sequence[Reading], *, limits: Mapping[str, float] | None = None,
                       zone: str = "UTC", width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return readings by time as a Vega-Lite definition, one panel a point in the order in which points appear.

    Parameters
    ----------
    readings : sequence of Reading
        With ``at``, RFC 3339; those without it are counted in the text below, not drawn.
    limits : mapping of point to RLU, optional
        The limit of each point, drawn as a line where there is one.
    zone : str
        IANA name of the zone that clock times are shown in.

    Raises
    ------
    OutOfRange
        If the zone is not known or a time is no time.
    """
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        return _Picture(readings, dict(limits or {}), zone_named(zone), float(width_px), look).definition()


def zone_named(name: str) -> ZoneInfo:
    """Return a zone of the time zone database, or refuse the name."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        raise OutOfRange("zone", name, N_("an IANA zone, as Europe/Rome")) from None


class _Picture:
    def __init__(self, readings: Sequence[Reading], limits: Mapping[str, float], zone: ZoneInfo, width: float,
                 look: Theme):
        self.timed = [(reading, _local(reading, zone)) for reading in readings if reading.at]
        self.without_time = len(readings) - len(self.timed)
        self.points = list(dict.fromkeys(reading.point for reading, _at in self.timed))
        self.limits, self.zone, self.width, self.look = limits, zone, width, look
        self.columns = max(1, min(len(self.points), int(width // 300)))
        self.wide = (width - 24.0 * (self.columns - 1)) / self.columns
        rows = math.ceil(len(self.points) / self.columns)
        self.names = [fonts.wrapped(point, 14.0, self.wide - 76.0, weight=600) for point in self.points]
        self.head = 8.0 + 17.0 * max((len(lines) for lines in self.names), default=1)
        self.bottom = rows * (self.head + _TALL + _FOOT)
        self.height = self.bottom + 64.0
        self.rlu = self._rlu()
        self.times = [at for _reading, at in self.timed]

    def _rlu(self) -> tuple[float, float]:
        known = [one for reading, _at in self.timed for one in (reading.low_rlu, reading.high_rlu)
                 if 0 < one < math.inf]
        known += [self.limits[point] for point in self.points if point in self.limits]
        low, high = (min(known) / 1.5, max(known) * 1.5) if known else (1.0, 1000.0)
        middle = math.sqrt(low * high)
        return (low, high) if high / low >= 30.0 else (middle / math.sqrt(30.0), middle * math.sqrt(30.0))

    def definition(self) -> Definition:
        """Return the whole picture."""
        drawn = drawing.base(self.look, width_px=int(self.width), height_px=self.height, description=ngettext(
            "Readings over time at {points} point.", "Readings over time at {points} points.", len(self.points)
        ).format(points=len(self.points)))
        drawn["layer"] = [*({"layer": self._panel(place, point)} for place, point in enumerate(self.points)),
                          *self._below()]
        drawn["resolve"] = {"scale": {"x": "independent", "y": "independent"}}
        return drawn

    def _panel(self, place: int, point: str) -> list[Definition]:
        left = (place % self.columns) * (self.wide + 24.0)
        top = (place // self.columns) * (self.head + _TALL + _FOOT)
        across = Axis(self._span(), (left + 44.0, left + self.wide - 8.0), kind="linear")
        up = Axis(self.rlu, (top + self.head + _TALL, top + self.head), kind="log")
        last = place >= len(self.points) - self.columns
        first = top + self.head - 14.0 - 17.0 * (len(self.names[place]) - 1)
        name = [{"x": left, "y": first + 17.0 * line, "t": text} for line, text in enumerate(self.names[place])]
        return [*layers.texts(name, color=self.look.ink, weight=600),
                *self._grid(across, up, left, with_times=last), *self._limit(point, across, up),
                *self._marks(point, across, up)]

    def _grid(self, across: Axis, up: Axis, left: float, *, with_times: bool) -> list[Definition]:
        first, last = across.range_px
        decades = [10.0**power for power in range(math.ceil(math.log10(self.rlu[0])),
                                                  math.floor(math.log10(self.rlu[1])) + 1)]
        rows = [{"v": tick, "a": first, "b": last, "x": first - 6.0, "t": number_text(tick)} for tick in decades]
        ticks = [{"v": value, "t": text, "y": up.range_px[0] + 12.0} for value, text in self._clock(last - first)]
        return [*layers.lines(rows, x=pixels("a"), x2="b", y=up.encoding("v"), color=self.look.faint),
                *layers.texts(rows, x=pixels("x"), y=up.encoding("v"), align="right", size=_SMALL,
                              color=self.look.quiet),
                *(layers.texts(ticks, x=across.encoding("v"), align="center", size=_SMALL, color=self.look.quiet)
                  if with_times else [])]

    def _limit(self, point: str, across: Axis, up: Axis) -> list[Definition]:
        if point not in self.limits:
            return []
        limit = self.limits[point]
        row = {"v": limit, "a": across.range_px[0], "b": across.range_px[1], "x": across.range_px[1],
               "t": _("limit {rlu}").format(rlu=number_text(limit))}
        label = row | {"y": up.range_px[1] - 12.0}
        return [*layers.lines([row], x=pixels("a"), x2="b", y=up.encoding("v"), color=self.look.ink, width=2.0),
                *layers.texts([label], color=self.look.quiet, size=_SMALL, align="right")]

    def _marks(self, point: str, across: Axis, up: Axis) -> list[Definition]:
        """Return hollow marks as found, solid ones after; an arrow head for a bound; a struck dash for not counted."""
        shapes: dict[tuple[str, str], list[Definition]] = {}
        for reading, at in self.timed:
            if reading.point == point:
                shape, value = _shape(reading)
                fill = self.look.ground if reading.stage == "as_found" else self.look.ink
                shapes.setdefault((shape, fill), []).append({"x": at.timestamp(), "v": value or self.rlu[0]})
        return [layer for (shape, fill), rows in shapes.items() for layer in layers.points(
            rows, shape=shape, x=across.encoding("x"), y=up.encoding("v"), stroke=self.look.ink, fill=fill, size=70.0)]

    def _below(self) -> list[Definition]:
        """Return the key, and the days and the zone that the clock times belong to."""
        if not self.points:
            return layers.texts([{"x": 0.0, "y": 20.0, "t": _("No readings with a time to show.")}],
                                color=self.look.ink)
        y = self.bottom + 20.0
        found = _("as found")
        x = 14.0 + fonts.face().width(found, _SMALL) + 28.0
        words = [{"x": 14.0, "y": y, "t": found},
                 {"x": x + 10.0, "y": y, "t": _("after cleaning; an arrow: at most, at least; RLU, log scale")}]
        first, last = min(self.times).date().isoformat(), max(self.times).date().isoformat()
        days = first if first == last else f"{first} – {last}"
        below = f"{days}, {self.zone.key}"
        if self.without_time:
            below += "; " + ngettext("{n} reading without a time", "{n} readings without a time", self.without_time
                                     ).format(n=self.without_time)
        words.append({"x": 0.0, "y": y + 20.0, "t": below})
        marks = [(4.0, self.look.ground), (x, self.look.ink)]
        return [*(layer for place, fill in marks for layer in layers.points(
            [{"x": place + 1.0, "y": y}], shape="circle", x=pixels("x"), y=pixels("y"), stroke=self.look.ink, fill=fill,
            size=60.0)), *layers.texts(words, size=_SMALL, color=self.look.quiet)]

    def _span(self) -> tuple[float, float]:
        first, last = min(self.times).timestamp(), max(self.times).timestamp()
        room = max(0.04 * (last - first), 60.0)
        return first - room, last + room

    def _clock(self, wide: float) -> list[tuple[float, str]]:
        """Return round times for the scale, as many as have room."""
        first, last = (datetime.fromtimestamp(one, UTC) for one in self._span())
        for minutes in _STEPS_MIN:
            step = timedelta(minutes=minutes)
            room = 80.0 if minutes >= 1440 else 44.0
            start = datetime(first.year, first.month, first.day, tzinfo=UTC)
            ticks = [start + step * n for n in range(math.ceil((first - start) / step),
                                                     min(math.floor((last - start) / step), 10_000) + 1)]
            if len(ticks) * room <= wide:
                form = "%Y-%m-%d" if minutes >= 1440 else "%H:%M"
                return [(tick.timestamp(), tick.strftime(form)) for tick in ticks]
        return []


def _shape(reading: Reading) -> tuple[str, float]:
    """Return the mark of a reading and the RLU it stands at."""
    value = reading.low_rlu if math.isinf(reading.high_rlu) else reading.high_rlu
    if fault(reading) is not None:
        return MARKS[NOT_COUNTED].path, value
    if math.isinf(reading.high_rlu):
        return "triangle-up", value
    return ("circle" if reading.low_rlu == reading.high_rlu else "triangle-down"), value


def _local(reading: Reading, zone: ZoneInfo) -> datetime:
    """Return the clock time at the place, written as if it were UTC, so that no machine's own zone enters."""
    try:
        at = datetime.fromisoformat(str(reading.at))
    except ValueError:
        raise OutOfRange("at", reading.at, N_("date and time with their offset, as 2026-03-02T10:02:00+01:00")
                         ) from None
    at = at.replace(tzinfo=UTC) if at.tzinfo is None else at
    return at.astimezone(zone).replace(tzinfo=UTC)

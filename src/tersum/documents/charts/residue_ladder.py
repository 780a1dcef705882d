"""The residue ladder: one row per point, worst first, from as found to the latest swabs, against one limit line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.documents import fonts
from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition, Theme
from tersum.documents.charts.ladder_rows import LadderRow, Level, ladder_rows
from tersum.documents.charts.layers import Axis, pixels
from tersum.documents.numbers import bounded_text, number_text
from tersum.documents.sentences import verdict_word
from tersum.documents.text import _, speaking
from tersum.documents.verdict_marks import MARKS
from tersum.visit.outcome import ORDER

__all__ = ["Ladder", "LadderRow", "Level", "in_pages", "ladder_rows", "residue_ladder"]

NARROW_PX = 560  # below this, the name stands above its row and not beside it
_SIZE, _SMALL = 14.0, 12.0
_LINE = 17.0
_GAP = 12.0
_SIGN = 22.0  # what a verdict's mark takes before its word
# What a mark looks like: a circle is a number, an arrow head points to where the number may lie.
_SHAPES = {"=": "circle", "<=": "triangle-left", "between": "triangle-left", ">=": "triangle-right"}


@dataclass(frozen=True)
class Ladder:
    """A ladder laid out: its definition, and how large it came out."""

    definition: Definition
    width_px: int
    height_px: float


def residue_ladder(rows: Sequence[LadderRow], *, width_px: int = 640, theme: str = "light", lang: str = "en",
                   with_key: bool = True, among: Sequence[LadderRow] = ()) -> Ladder:
    """Return the ladder of these rows, in their order, as a Vega-Lite definition.

    Parameters
    ----------
    rows : sequence of LadderRow
        As :func:`ladder_rows` gives them. None: a ladder that says so.
    width_px : int
        256 to 2400; below 560 each name stands above its row.
    theme : {"light", "dark", "paper"}
    lang : str
        Language tag; English where there is no translation.
    with_key : bool
        Whether the marks are explained below the scale.
    among : sequence of LadderRow
        All rows of the visit, where these are a part of them: the parts then share one scale.

    Notes
    -----
    Where all limits are the same, or there is none, the scale is RLU. Where they differ, each row is drawn in times of
    its own limit, so that one line is the limit of all; the numbers beside the rows stay RLU.

    Examples
    --------
    >>> rows = [LadderRow("seat", "done", Level(38.0), Level(1140.0), 2.0, 240.0)]
    >>> ladder = residue_ladder(rows, width_px=390)
    >>> ladder.width_px, ladder.definition["width"]
    (390, 390)
    """
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        places = _Places(rows, float(width_px), among or rows)
        return Ladder(_Picture(places, look, with_key).definition(), width_px, places.height(with_key))


def in_pages(rows: Sequence[LadderRow], *, width_px: int, first_px: float, rest_px: float) -> list[list[LadderRow]]:
    """Return rows in groups whose ladders are no higher than given, the first one and the rest; none: one group."""
    at = _Places(rows, float(width_px), rows)
    groups: list[list[LadderRow]] = [[]]
    room = first_px - at.height(with_key=True) + sum(at.row_high)
    for row, high in zip(rows, at.row_high, strict=True):
        if groups[-1] and room < high:
            groups.append([])
            room = rest_px - at.height(with_key=True) + sum(at.row_high)
        groups[-1].append(row)
        room -= high
    return groups


class _Places:
    """Where everything goes: all positions are known before anything is drawn."""

    def __init__(self, rows: Sequence[LadderRow], width: float, among: Sequence[LadderRow]):
        self.rows, self.width, self.among = rows, width, among
        limits = {row.limit_rlu for row in among if row.limit_rlu is not None}
        self.in_limits = len(limits) > 1
        self.limit = 1.0 if self.in_limits else next(iter(limits), None)
        self.narrow = width < NARROW_PX
        most = 0.36 * width if self.narrow else 130.0
        self.verdicts = [fonts.wrapped(verdict_word(row.verdict), _SIZE, most, weight=600) for row in rows]
        self.shown = [self._shown(row) for row in rows]
        self.heading = _("RLU of limit") if self.in_limits else "RLU"
        self._columns()
        self._lines()

    def _shown(self, row: LadderRow) -> str:
        if row.latest is None:
            return "–"
        others = tuple(one for one in (row.limit_rlu, row.limit_rlu and row.limit_rlu / (row.guard or 1.0)) if one)
        text = bounded_text(row.latest.rlu, row.latest.operator, others=others)
        if self.in_limits and row.limit_rlu:
            return _("{value} of {limit}").format(value=text, limit=number_text(row.limit_rlu))
        return text

    def _columns(self) -> None:
        """Set the x positions of names, track, numbers and verdicts; a browser's own font may be 5 % wider."""
        verdict = _SIGN + 1.05 * max((fonts.face(600).width(line, _SIZE) for lines in self.verdicts for line in lines),
                                     default=0.0)
        numbers = 1.05 * max(fonts.face().width(text, _SIZE) for text in [*self.shown, self.heading])
        self.verdict_x = self.width - verdict
        if self.narrow:
            self.name_most = self.verdict_x - _GAP
            self.number_x, first = self.width, 6.0
        else:
            longest = max((fonts.face().width(row.point, _SIZE) for row in self.rows), default=0.0)
            self.name_most = min(max(1.05 * longest, 60.0), 0.3 * self.width)
            self.number_x, first = self.verdict_x - 1.5 * _GAP, self.name_most + 1.5 * _GAP
        self.track = Axis(self._domain(), (first, self.number_x - numbers - _GAP))

    def _lines(self) -> None:
        """Set the y position of every row: names wrap, and a row is as high as its highest column."""
        self.names = [fonts.wrapped(row.point, _SIZE, self.name_most / 1.04) for row in self.rows]
        self.top = 36.0
        self.head_y: list[float] = []  # the first line of name and verdict
        self.row_y: list[float] = []  # the marks
        self.row_high: list[float] = []
        bottom = self.top
        for name, verdict in zip(self.names, self.verdicts, strict=True):
            high = max(len(name), len(verdict)) * _LINE
            self.row_y.append(bottom + high + 14.0 if self.narrow else bottom + high / 2.0 + 3.0)
            self.head_y.append(bottom + _LINE / 2.0 + 3.0 if self.narrow else self.row_y[-1])
            self.row_high.append(high + (36.0 if self.narrow else 6.0))
            bottom += self.row_high[-1]
        self.bottom = bottom + (0.0 if self.rows else 30.0)

    def height(self, with_key: bool) -> float:
        """Return how high the picture is."""
        return self.bottom + 40.0 + ((66.0 if self.narrow else 26.0) if with_key and self.rows else 0.0)

    def first_line(self, place: int, lines: Sequence[str]) -> float:
        """Return where the first of some lines stands: below each other from the head, or about the middle of a row."""
        return self.head_y[place] - (0.0 if self.narrow else (len(lines) - 1) * _LINE / 2.0)

    def on_scale(self, row: LadderRow, rlu: float | None) -> float | None:
        """Return a number on the scale: RLU, or times its own limit; None where the row has no place on it."""
        if not rlu or not self.in_limits:
            return rlu or None
        return rlu / row.limit_rlu if row.limit_rlu else None

    def _domain(self) -> tuple[float, float]:
        known = [self.limit] if self.limit else []
        for row in self.among:
            for level, guard in ((row.latest, row.guard or 1.0), (row.as_found, 1.0)):
                place = self.on_scale(row, level.rlu) if level else None
                known += [place / guard, place * guard] if place else []
        known = known or [1.0, 1000.0]
        low, high = min(known) / 1.6, max(known) * 1.6
        if high / low < 30.0:  # at least a decade and a half, so that a small scatter does not look like a large one
            middle = math.sqrt(low * high)
            low, high = middle / math.sqrt(30.0), middle * math.sqrt(30.0)
        return low, high


class _Picture:
    """The layers of a ladder, the quiet ones first."""

    def __init__(self, at: _Places, look: Theme, with_key: bool):
        self.at, self.look, self.with_key = at, look, with_key and bool(at.rows)
        self.each = list(zip(at.rows, at.row_y, strict=True))

    def definition(self) -> Definition:
        """Return the whole picture."""
        done = sum(row.verdict == "done" for row in self.at.rows)
        described = _("Residue ladder, {points} points, {done} done. The table beside it has the same numbers.").format(
            points=len(self.at.rows), done=done)
        drawn = drawing.base(self.look, width_px=int(self.at.width), height_px=self.at.height(self.with_key),
                             description=described)
        scale = [*self._scale(), *self._limit_line(), *self._masks(), *self._scale_texts()] if self.at.rows else []
        drawn["layer"] = [*scale, *self._spans(), *self._marks(), *self._columns(),
                          *(self._key() if self.with_key else [])]
        return drawn

    def _scale(self) -> list[Definition]:
        rows = [{"v": tick, "a": self.at.top - 4.0, "b": self.at.bottom} for tick in self._ticks()]
        return layers.lines(rows, x=self.at.track.encoding("v"), y=pixels("a"), y2="b", color=self.look.faint)

    def _limit_line(self) -> list[Definition]:
        if self.at.limit is None:
            return []
        row = {"v": self.at.limit, "a": self.at.top - 10.0, "b": self.at.bottom}
        return layers.lines([row], x=self.at.track.encoding("v"), y=pixels("a"), y2="b", color=self.look.ink, width=2)

    def _masks(self) -> list[Definition]:
        """Keep the lines off the names where these stand above their rows."""
        if not self.at.narrow:
            return []
        rows = [{"x": 0.0, "x2": self.at.width, "y": head - _LINE / 2.0 - 4.0, "y2": row - 11.0}
                for head, row in zip(self.at.head_y, self.at.row_y, strict=True)]
        return layers.boxes(rows, color=self.look.ground)

    def _scale_texts(self) -> list[Definition]:
        ticks = self._ticks()
        shown = ticks if len(ticks) <= 7 else ticks[::2]
        labels = [{"v": tick, "t": self._tick_text(tick), "y": self.at.bottom + 11.0} for tick in shown]
        title = _("times the limit of each point, log scale") if self.at.in_limits else _("RLU, log scale")
        first = self.at.track.range_px[0]
        return [*layers.texts(labels, color=self.look.quiet, size=_SMALL, align="center",
                              x=self.at.track.encoding("v")),
                *layers.texts([{"x": first, "y": self.at.bottom + 28.0, "t": title}], color=self.look.quiet,
                              size=_SMALL),
                *self._limit_text()]

    def _limit_text(self) -> list[Definition]:
        if self.at.limit is None:
            return []
        text = _("limit") if self.at.in_limits else _("limit {rlu}").format(rlu=number_text(self.at.limit))
        (low, high), (first, last) = self.at.track.domain, self.at.track.range_px
        place = first + (last - first) * math.log(self.at.limit / low) / math.log(high / low)
        half = fonts.face(600).width(text, 13.0) / 2.0 + 2.0
        place = min(max(place, first + half), max(last + _GAP - half, first + half))
        return layers.texts([{"x": place, "y": self.at.top - 19.0, "t": text}], color=self.look.ink, size=13.0,
                            weight=600, align="center")

    def _ticks(self) -> list[float]:
        first, last = self.at.track.range_px
        return _ticks(*self.at.track.domain, fewest=2 if last - first < 300 else 3)

    def _tick_text(self, tick: float) -> str:
        return f"1/{round(1 / tick)}" if self.at.in_limits and tick < 1 else number_text(tick)

    def _spans(self) -> list[Definition]:
        """Return the lines: from as found to latest, open ends, and the interval bars with their upper ends."""
        ways, opens, bars, caps = [], [], [], []
        for row, y in self.each:
            found, last = self._place(row, row.as_found), self._place(row, row.latest)
            ways += [{"a": found, "b": last, "y": y}] if found and last else []
            opens += [end | {"y": y} for level in (row.as_found, row.latest) for end in self._open_end(row, level)]
            if last and row.latest and row.guard:
                low, high = self._bar(last, row.latest.operator, row.guard)
                bars.append({"a": low, "b": high, "y": y, "c": self._tone(row)})
                caps += [{"v": high, "a": y - 6.0, "b": y + 6.0}] if row.latest.operator != ">=" else []
        a, v = self.at.track.encoding("a"), self.at.track.encoding("v")
        return [*layers.lines(ways, x=a, x2="b", y=pixels("y"), color=self.look.quiet),
                *layers.lines(opens, x=a, x2="b", y=pixels("y"), color=self.look.quiet, dash=(2, 3)),
                *layers.lines(bars, x=a, x2="b", y=pixels("y"), width=5.0),
                *layers.lines(caps, x=v, y=pixels("a"), y2="b", color=self.look.ink, width=1.5)]

    def _bar(self, last: float, operator: str, guard: float) -> tuple[float, float]:
        if operator == ">=":
            return last / guard, self.at.track.domain[1]
        return (last / guard if operator == "=" else last), last * guard

    def _open_end(self, row: LadderRow, level: Level | None) -> list[Definition]:
        """Return a dashed line to the edge where a number is only a bound, and to both where there is not even that."""
        if level is None or level.operator == "=" or (self.at.in_limits and not row.limit_rlu):
            return []
        place, (low, high) = self._place(row, level), self.at.track.domain
        if place is None:
            return [{"a": low, "b": high}]
        return [{"a": place, "b": high if level.operator == ">=" else low}]

    def _marks(self) -> list[Definition]:
        """Return the marks by shape: hollow as found, solid latest, an arrow head where the number is a bound."""
        shapes: dict[tuple[str, bool], list[Definition]] = {}
        swabs = []
        for row, y in self.each:
            for level, solid in ((row.as_found, False), (row.latest, True)):
                if level is not None and (place := self._place(row, level)):
                    shapes.setdefault((_SHAPES[level.operator], solid), []).append(
                        {"v": place, "y": y, "c": self._tone(row) if solid else self.look.ground})
            if len(row.swabs_rlu) > 1:
                swabs += [{"v": place, "a": y - 4.0, "b": y + 4.0} for swab in row.swabs_rlu
                          if (place := self.at.on_scale(row, swab))]
        v = self.at.track.encoding("v")
        ticks = layers.lines(swabs, x=v, y=pixels("a"), y2="b", color=self.look.ink)
        return ticks + [layer for (shape, solid), rows in shapes.items() for layer in layers.points(
            rows, shape=shape, x=v, y=pixels("y"), stroke=self.look.ink, size=90.0 if solid else 80.0)]

    def _columns(self) -> list[Definition]:
        """Return names, numbers and verdicts, each in its column."""
        names, words, numbers = [], [], []
        signs: dict[str, list[Definition]] = {verdict: [] for verdict in ORDER}
        for place, (row, y) in enumerate(self.each):
            name, verdict = self.at.names[place], self.at.verdicts[place]
            names += _stacked(0.0, self.at.first_line(place, name), name)
            words += _stacked(self.at.verdict_x + _SIGN, self.at.first_line(place, verdict), verdict)
            numbers.append({"x": self.at.number_x, "y": y, "t": self.at.shown[place]})
            signs[row.verdict].append({"x": self.at.verdict_x + 8.0, "y": self.at.first_line(place, verdict)})
        if not self.at.rows:
            names = [{"x": 0.0, "y": self.at.top + 12.0, "t": _("No points to show.")}]
        heading = [{"x": self.at.number_x, "y": self.at.top - 19.0, "t": self.at.heading}] if self.at.rows else []
        ink, quiet = self.look.ink, self.look.quiet
        return [*layers.texts(names, color=ink), *layers.texts(words, color=ink, weight=600),
                *layers.texts(numbers, color=ink, align="right"),
                *layers.texts(heading, color=quiet, align="right", size=_SMALL),
                *(layer for verdict, rows in signs.items() for layer in self._signs(verdict, rows))]

    def _signs(self, verdict: str, rows: list[Definition]) -> list[Definition]:
        mark = MARKS[verdict]
        return layers.points(rows, shape=mark.path, x=pixels("x"), y=pixels("y"), stroke=self.look.ink, size=190.0,
                             fill=self.look.tone(mark.tone) if mark.filled else "transparent", width=1.0)

    def _key(self) -> list[Definition]:
        """Return what the marks mean, each beside its mark."""
        parts = [("hollow", _("as found")), ("solid", _("latest swabs"))]
        if self.at.limit is not None:
            parts.append(("bar", _("interval: done when it ends at or left of the limit")))
        widths = [30.0 + fonts.face().width(text, _SMALL) * 1.05 + _GAP for _kind, text in parts]
        start = self.at.track.range_px[0]
        x = 0.0 if self.at.narrow or start + sum(widths) > self.at.width else start
        y, drawn, words = self.at.bottom + 50.0, [], []
        for (kind, text), width in zip(parts, widths, strict=True):
            row = [{"x": x if kind == "bar" else x + 5.0, "x2": x + 24.0, "y": y}]
            drawn += (layers.lines(row, x=pixels("x"), x2="x2", y=pixels("y"), color=self.look.quiet, width=5.0)
                      if kind == "bar" else layers.points(
                          row, shape="circle", x=pixels("x"), y=pixels("y"), stroke=self.look.ink, size=70.0,
                          fill=self.look.ground if kind == "hollow" else self.look.quiet))
            step = 30.0 if kind == "bar" else 16.0
            words.append({"x": x + step, "y": y, "t": text})
            x, y = (x, y + 20.0) if self.at.narrow else (x + width, y)
        return [*drawn, *layers.texts(words, color=self.look.quiet, size=_SMALL)]

    def _place(self, row: LadderRow, level: Level | None) -> float | None:
        return self.at.on_scale(row, level.rlu) if level else None

    def _tone(self, row: LadderRow) -> str:
        return self.look.tone(MARKS[row.verdict].tone)


def _stacked(x: float, y: float, lines: Sequence[str]) -> list[Definition]:
    return [{"x": x, "y": y + place * _LINE, "t": line} for place, line in enumerate(lines)]


def _ticks(low: float, high: float, *, fewest: int) -> list[float]:
    """Return the decades inside the scale, with 2 and 5 between them where there are few."""
    first, last = math.ceil(math.log10(low) - 1e-9), math.floor(math.log10(high) + 1e-9)
    decades = [10.0**power for power in range(first, last + 1)]
    if len(decades) >= fewest:
        return decades
    finer = [step * 10.0**power for power in range(first - 1, last + 1) for step in (1.0, 2.0, 5.0)]
    return [tick for tick in finer if low <= tick <= high]

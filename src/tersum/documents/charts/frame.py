"""The frame that plain charts share: two axes with round ticks, faint guides, and a title at each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tersum.documents import fonts
from tersum.documents.charts import layers
from tersum.documents.charts.drawing import Definition, Theme
from tersum.documents.charts.layers import Axis, pixels
from tersum.documents.numbers import number_text

SMALL = 12.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 14.0, 34.0, 50.0
Ticks = Sequence[tuple[float, str]]


@dataclass(frozen=True)
class Frame:
    """Where a chart's numbers lie on the page."""

    width: float
    height: float
    across: Axis
    up: Axis
    look: Theme

    @classmethod
    def of(cls, width: float, look: Theme, across: tuple[float, float], up: tuple[float, float]) -> Frame:
        """Return the frame of a chart whose numbers span so much."""
        height = min(max(0.62 * width, 260.0), 460.0)
        return cls(width, height, Axis(across, (_LEFT, width - _RIGHT), kind="linear"),
                   Axis(up, (height - _BOTTOM, _TOP), kind="linear"), look)

    def grid(self, across: Ticks, up: Ticks, title_across: str, title_up: str) -> list[Definition]:
        """Return guides, ticks and titles."""
        (left, right), bottom = self.across.range_px, self.up.range_px[0]
        level = [{"v": value, "a": left, "b": right, "t": text, "x": left - 8.0} for value, text in up]
        place = [{"v": value, "a": bottom, "b": bottom + 5.0, "t": text, "y": bottom + 14.0} for value, text in across]
        x, y = self.across.encoding("v"), self.up.encoding("v")
        base = [{"x": left, "x2": right, "y": bottom}]
        titles = [{"x": left, "y": bottom + 34.0 + 14.0 * row, "t": text} for row, text in enumerate(
            fonts.wrapped(title_across, SMALL, right - left)[:1])]
        titles.append({"x": 0.0, "y": 12.0, "t": fonts.wrapped(title_up, SMALL, self.width)[0]})
        return [*layers.lines(level, x=pixels("a"), x2="b", y=y, color=self.look.faint),
                *layers.lines(base, x=pixels("x"), x2="x2", y=pixels("y"), color=self.look.ink),
                *layers.lines(place, x=x, y=pixels("a"), y2="b", color=self.look.ink),
                *layers.texts(level, x=pixels("x"), y=y, align="right", size=SMALL, color=self.look.quiet),
                *layers.texts(place, x=x, align="center", size=SMALL, color=self.look.quiet),
                *layers.texts(titles, size=SMALL, color=self.look.quiet)]

    def line(self, points: Sequence[tuple[float, float]], *, color: str, width: float = 2.0,
             dash: tuple[int, ...] = (), step: bool = False) -> list[Definition]:
        """Return a line through points; one that is not a number ends it."""
        rows = [{"v": x, "s": y} for x, y in points if math.isfinite(y)]
        if len(rows) < 2:
            return []
        mark: Definition = {"type": "line", "color": color, "strokeWidth": width}
        mark |= ({"strokeDash": list(dash)} if dash else {}) | ({"interpolate": "step"} if step else {})
        return [{"data": {"values": rows}, "mark": mark,
                 "encoding": {"x": self.across.encoding("v"), "y": self.up.encoding("s")}}]

    def marks(self, points: Sequence[tuple[float, float]], *, shape: str, fill: str, size: float = 50.0,
              ) -> list[Definition]:
        """Return marks at points, outlined in ink."""
        rows = [{"v": x, "s": y} for x, y in points]
        return layers.points(rows, shape=shape, x=self.across.encoding("v"), y=self.up.encoding("s"),
                             stroke=self.look.ink, fill=fill, size=size)

    def x(self, value: float) -> float:
        """Return the pixel across."""
        return _pixel(self.across, value)

    def y(self, value: float) -> float:
        """Return the pixel up."""
        return _pixel(self.up, value)


def round_ticks(low: float, high: float, *, most: int = 6) -> list[tuple[float, str]]:
    """Return round numbers within a span, few enough to be read.

    Examples
    --------
    >>> round_ticks(0.0, 24.0)
    [(0.0, '0'), (5.0, '5'), (10.0, '10'), (15.0, '15'), (20.0, '20')]
    """
    raw = max(high - low, 1e-12) / most
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * times for times in (1.0, 2.0, 5.0, 10.0) if power * times >= raw - 1e-12)
    first = math.ceil(low / step - 1e-9)
    values = [step * place for place in range(first, math.floor(high / step + 1e-9) + 1)]
    return [(round(value, 10) + 0.0, number_text(round(value, 10)).replace("-", "−")) for value in values]


def rlu_ticks(low_log10: float, high_log10: float) -> list[tuple[float, str]]:
    """Return round RLU on a log10 axis.

    Examples
    --------
    >>> [text for _value, text in rlu_ticks(0.9, 2.4)]
    ['10', '20', '50', '100', '200']
    """
    wide = high_log10 - low_log10
    within = {0.9: (1.0, 1.5, 2.0, 3.0, 5.0, 7.0), 2.2: (1.0, 2.0, 5.0), 4.0: (1.0, 3.0), math.inf: (1.0,)}
    times = next(one for most, one in within.items() if wide < most)
    values = [time * 10.0**power for power in range(math.floor(low_log10) - 1, math.ceil(high_log10) + 1)
              for time in times]
    return [(math.log10(value), number_text(value)) for value in values
            if low_log10 <= math.log10(value) <= high_log10]


def _pixel(axis: Axis, value: float) -> float:
    (low, high), (first, last) = axis.domain, axis.range_px
    return first + (last - first) * (min(max(value, low), high) - low) / (high - low)

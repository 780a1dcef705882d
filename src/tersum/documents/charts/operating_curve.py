"""The operating curve of a plan: what share of points it releases, by how dirty they really are."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tersum.documents import fonts
from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition, Theme
from tersum.documents.charts.layers import Axis, pixels
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext, speaking
from tersum.evidence.looks import first_time_share, within_looks_share
from tersum.visit.decision import Terms

_SMALL = 12.0
_STEPS = 81
_LEAST, _MOST = 0.05, 2.0


@dataclass(frozen=True)
class OperatingCurve:
    """Share released at the first look and within all looks, for true levels as fractions of the limit."""

    true_frac: tuple[float, ...]
    first_look_frac: tuple[float, ...]
    within_looks_frac: tuple[float, ...]
    looks: int
    risk_frac: float


def operating_curve(terms: Terms) -> OperatingCurve:
    """Return the curve of what was agreed: its looks, its repeatability and its accepted risk."""
    truths = np.geomspace(_LEAST, _MOST, _STEPS)
    first, within = (
        tuple(np.asarray(share(truths, spread_log10=terms.spread_log10, degrees_of_freedom=terms.degrees_of_freedom,
                               looks=terms.looks, risk=terms.risk)).tolist())
        for share in (first_time_share, within_looks_share))
    return OperatingCurve(tuple(truths.tolist()), first, within, terms.looks, terms.risk)


def curve_chart(curve: OperatingCurve, *, width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return the curve as a Vega-Lite definition: true level across, share released up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        return _Picture(curve, float(width_px), look).definition()


class _Picture:
    def __init__(self, curve: OperatingCurve, width: float, look: Theme):
        self.curve, self.width, self.look = curve, width, look
        self.height = min(max(0.62 * width, 240.0), 420.0)
        self.across = Axis((_LEAST, _MOST), (46.0, width - 14.0))
        self.up = Axis((0.0, 1.0), (self.height - 50.0, 34.0), kind="linear")
        self._limit_x = self._x(0.0)

    def definition(self) -> Definition:
        """Return the whole picture."""
        curve = self.curve
        at_a_fifth = float(np.interp(math.log(0.2), np.log(curve.true_frac), curve.first_look_frac))
        drawn = drawing.base(self.look, width_px=int(self.width), height_px=self.height, description=_(
            "Operating curve: a point at a fifth of its limit is released at the first look in {share} % of cases."
        ).format(share=number_text(100.0 * at_a_fifth, digits=2)))
        drawn["layer"] = [*self._grid(), *self._curve(curve.within_looks_frac, self.look.quiet, (5, 3)),
                          *self._curve(curve.first_look_frac, self.look.done, ()), *self._names(), *self._risk()]
        return drawn

    def _grid(self) -> list[Definition]:
        ticks = [(0.05, "1/20"), (0.1, "1/10"), (0.2, "1/5"), (1 / 3, "1/3"), (0.5, "1/2"), (1.0, _("limit")),
                 (2.0, "2")]
        if self.width < 400:
            ticks = [tick for tick in ticks if tick[0] not in (0.05, 1 / 3)]
        left, right = self.across.range_px
        bottom, top = self.up.range_px
        shares = [{"v": share, "a": left, "b": right, "t": f"{100.0 * share:.0f} %", "x": left - 8.0}
                  for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
        levels = [{"v": level, "t": name, "a": bottom, "b": top, "y": bottom + 14.0} for level, name in ticks]
        limit = [row for row in levels if row["v"] == 1.0]
        x, y = self.across.encoding("v"), self.up.encoding("v")
        titles = [{"x": left, "y": bottom + 34.0, "t": _("true level of the point, in times its limit, log scale")},
                  {"x": 0.0, "y": 12.0, "t": _("share of points released")}]
        return [*layers.lines(shares, x=pixels("a"), x2="b", y=y, color=self.look.faint),
                *layers.lines(levels, x=x, y=pixels("a"), y2="b", color=self.look.faint),
                *layers.lines(limit, x=x, y=pixels("a"), y2="b", color=self.look.ink, width=2.0),
                *layers.texts(shares, x=pixels("x"), y=y, align="right", size=_SMALL, color=self.look.quiet),
                *layers.texts(levels, x=x, align="center", size=_SMALL, color=self.look.quiet),
                *layers.texts(titles, size=_SMALL, color=self.look.quiet)]

    def _curve(self, shares: tuple[float, ...], color: str, dash: tuple[int, ...]) -> list[Definition]:
        rows = [{"v": level, "s": round(share, 5)} for level, share in zip(self.curve.true_frac, shares, strict=True)]
        mark: Definition = {"type": "line", "color": color, "strokeWidth": 2.5} | (
            {"strokeDash": list(dash)} if dash else {})
        return [{"data": {"values": rows}, "mark": mark,
                 "encoding": {"x": self.across.encoding("v"), "y": self.up.encoding("s")}}]

    def _names(self) -> list[Definition]:
        """Name each curve beside it: the first to its left, the other to its right where that keeps off the limit."""
        first = _("at the first look")
        y, x = self._on_curve(self.curve.first_look_frac, 0.4)
        width = fonts.face(600).width(first, 13.0)
        rows = [{"x": max(x - 10.0 - width, self.across.range_px[0]), "y": y, "t": first}]
        if self.curve.looks > 1:
            text = ngettext("within {looks} look", "within {looks} looks", self.curve.looks).format(
                looks=self.curve.looks)
            width = fonts.face(600).width(text, 13.0)
            places = [self._on_curve(self.curve.within_looks_frac, height) for height in (0.6, 0.75, 0.85, 0.94)]
            y, x = next((place for place in places if place[1] + 16.0 + width <= self._limit_x), places[-1])
            rows.append({"x": x + 10.0, "y": y, "t": text})
        return layers.texts(rows, size=13.0, weight=600, color=self.look.ink)

    def _risk(self) -> list[Definition]:
        """Mark the accepted risk: what is released of points that lie exactly at their limit."""
        row = {"v": 1.0, "s": self.curve.risk_frac}
        text = _("accepted risk {risk} %").format(risk=number_text(100.0 * self.curve.risk_frac))
        lines = fonts.wrapped(text, _SMALL, self.across.range_px[1] - self._limit_x - 8.0)
        bottom = self.up.range_px[0] - 26.0
        words = [{"x": self._limit_x + 8.0, "y": bottom - 14.0 * (len(lines) - 1 - place), "t": line}
                 for place, line in enumerate(lines)]
        return [*layers.points([row], shape="circle", x=self.across.encoding("v"), y=self.up.encoding("s"),
                               stroke=self.look.ink, fill=self.look.ground),
                *layers.texts(words, size=_SMALL, color=self.look.ink)]

    def _on_curve(self, shares: tuple[float, ...], height: float) -> tuple[float, float]:
        """Return the y and x at which a falling curve passes a height, in pixels."""
        level = float(np.interp(-height, -np.asarray(shares), np.log(self.curve.true_frac)))
        bottom, top = self.up.range_px
        return bottom + (top - bottom) * height, self._x(level)

    def _x(self, log_level: float) -> float:
        (low, high), (first, last) = self.across.domain, self.across.range_px
        return first + (last - first) * (log_level - math.log(low)) / math.log(high / low)

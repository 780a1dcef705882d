"""The comparisons of a trial in one picture: each ratio with its interval on a log scale, against 1 and the margin."""

from __future__ import annotations

import math

from tersum.documents import fonts
from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition, Theme
from tersum.documents.charts.frame import SMALL, rlu_ticks
from tersum.documents.charts.layers import Axis, pixels
from tersum.documents.numbers import apart, number_text
from tersum.documents.text import _, speaking
from tersum.evidence import comparison
from tersum.evidence.comparison import Comparison, Contrast

_SIDE, _TOP, _BOTTOM = 16.0, 34.0, 58.0
_LINE, _MARK = 18.0, 26.0  # height of a line of a name, and of the interval below it
_FURTHEST_LOG10 = 4.0  # an interval that goes on beyond is drawn to the edge; its numbers stand in the text
# What is shown has a shape of its own, so that the colours say it a second time only.
_SHAPES = {comparison.LESS: "circle", comparison.MORE: "square", comparison.NOT_SHOWN: "diamond"}


def comparison_chart(found: Comparison, *, width_px: int = 640, theme: str = "light",
                     lang: str = "en") -> Definition:
    """Return the comparisons as a Vega-Lite definition, in their order, one below the other."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        return _Picture(found, float(width_px), look).definition()


class _Picture:
    def __init__(self, found: Comparison, width: float, look: Theme):
        self.found, self.width, self.look = found, width, look
        self.names = [fonts.wrapped(_name(one), 13.0, width - 2.0 * _SIDE) for one in found.contrasts]
        self.tops = [_TOP + 8.0]
        for lines in self.names:
            self.tops.append(self.tops[-1] + _LINE * len(lines) + _MARK)
        self.bottom = self.tops[-1] + 4.0
        self.height = self.bottom + _BOTTOM
        low, high = self._span()
        self.across = Axis((low, high), (_SIDE, width - _SIDE), kind="linear")

    def definition(self) -> Definition:
        """Return the whole picture."""
        drawn = drawing.base(self.look, width_px=int(self.width), height_px=self.height, description=_(
            "Ratios of what treatments leave, with intervals: {names}.").format(
                names="; ".join(_name(one) for one in self.found.contrasts)))
        drawn["layer"] = [*self._grid(), *self._rows()]
        return drawn

    def _span(self) -> tuple[float, float]:
        ends = [0.0, *(self._margins()), *(end for one in self.found.contrasts if one.verdict != comparison.CANNOT_TELL
                                           for end in (one.low_log10, one.high_log10))]
        low, high = max(min(ends), -_FURTHEST_LOG10), min(max(ends), _FURTHEST_LOG10)
        return min(low - 0.08, -0.35), max(high + 0.08, 0.35)

    def _margins(self) -> list[float]:
        margin = self.found.asked.margin_log10
        return [] if margin is None else [-margin, margin]

    def _grid(self) -> list[Definition]:
        ticks = [{"v": value, "t": text, "y": self.bottom + 14.0, "a": self.bottom, "b": _TOP}
                 for value, text in rlu_ticks(*self.across.domain)]
        margins = [{"v": value, "a": self.bottom, "b": _TOP} for value in self._margins()]
        one = [{"v": 0.0, "a": self.bottom, "b": _TOP - 4.0}]
        x, middle = self.across.encoding("v"), self._pixel(0.0)
        sides = [("right", {"x": middle - 8.0, "y": 14.0, "t": _("leaves less")}),
                 ("left", {"x": middle + 8.0, "y": 14.0, "t": _("leaves more")})]
        titles = [{"x": _SIDE, "y": self.bottom + 34.0, "t": _("ratio of what is left, log scale")}]
        if margins:
            text = _("dashed: the margin, a factor of {margin}").format(margin=number_text(10.0 ** self._margins()[1]))
            titles.append({"x": _SIDE, "y": self.bottom + 50.0, "t": text})
        return [*layers.lines(ticks, x=x, y=pixels("a"), y2="b", color=self.look.faint),
                *layers.lines(margins, x=x, y=pixels("a"), y2="b", color=self.look.ink, dash=(5, 4)),
                *layers.lines(one, x=x, y=pixels("a"), y2="b", color=self.look.ink, width=2.0),
                *layers.texts(ticks, x=x, align="center", size=SMALL, color=self.look.quiet),
                *layers.texts(titles, size=SMALL, color=self.look.quiet),
                *(layer for align, row in sides for layer in layers.texts([row], align=align, size=SMALL,
                                                                          color=self.look.quiet))]

    def _rows(self) -> list[Definition]:
        drawn: list[Definition] = []
        x, y = self.across.encoding("v"), pixels("y")
        for one, lines, top in zip(self.found.contrasts, self.names, self.tops, strict=False):
            heights = [top + 9.0 + _LINE * place for place in range(len(lines))]
            words = [{"x": _SIDE, "y": y_px, "t": line} for y_px, line in zip(heights, lines, strict=True)]
            behind = [{"x": _SIDE - 2.0, "x2": _SIDE + fonts.face(600).width(line, 13.0) + 4.0, "y": y_px - 8.0,
                       "y2": y_px + 8.0} for y_px, line in zip(heights, lines, strict=True)]
            drawn += [*layers.boxes(behind, color=self.look.ground),
                      *layers.texts(words, size=13.0, weight=600, color=self.look.ink)]
            if one.verdict == comparison.CANNOT_TELL:
                continue
            middle = top + _LINE * len(lines) + 9.0
            bar = [{"v": max(one.low_log10, self.across.domain[0]), "w": min(one.high_log10, self.across.domain[1]),
                    "y": middle}]
            fill = {comparison.LESS: self.look.done, comparison.MORE: self.look.work}.get(one.verdict, self.look.ground)
            drawn += [*layers.lines(bar, x=x, x2="w", y=y, color=self.look.ink, width=2.5),
                      *layers.points([{"v": one.difference_log10, "y": middle}], shape=_SHAPES[one.verdict], x=x, y=y,
                                     stroke=self.look.ink, fill=fill, size=130.0)]
        return drawn

    def _pixel(self, value: float) -> float:
        (low, high), (first, last) = self.across.domain, self.across.range_px
        return first + (last - first) * (value - low) / (high - low)


def _name(one: Contrast) -> str:
    words = {"arm": one.arm, "other": one.other}
    if one.verdict == comparison.CANNOT_TELL or not math.isfinite(one.difference_log10):
        return _("{arm} against {other}: cannot tell").format(**words)
    low, high = one.ratio_interval
    words |= {"number": number_text(one.ratio, digits=2), "low": apart(low, (1.0,)), "high": apart(high, (1.0,))}
    return _("{arm} against {other}: {number} ({low} to {high})").format(**words)

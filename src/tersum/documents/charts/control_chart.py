"""The control chart of one stream: each visit, what the rule follows, its limits, and where it signals."""

from __future__ import annotations

import math

from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import SMALL, Frame, rlu_ticks, round_ticks
from tersum.documents.text import _, ngettext, speaking
from tersum.evidence.watching import CUSUM, EWMA, Watched


def control_chart(name: str, found: Watched, *, width_px: int = 640, theme: str = "light",
                  lang: str = "en") -> Definition:
    """Return the chart of a stream as a Vega-Lite definition: visits across, level up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        frame = _frame(found, float(width_px), look)
        signals = len(found.signals)
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=ngettext(
            "Control chart of {stream}: {count} visit outside the limits.",
            "Control chart of {stream}: {count} visits outside the limits.", signals).format(
                stream=name or _("all readings"), count=signals))
        drawn["layer"] = [*_grid(found, frame), *_limits(found, frame), *_values(found, frame)]
    return drawn


def _frame(found: Watched, width: float, look: drawing.Theme) -> Frame:
    levels = [value for value in (*found.drawn, *found.lower, *found.upper) if math.isfinite(value)]
    if found.kind != CUSUM:
        levels += found.values
    low, high = min(levels), max(levels)
    room = max(0.06 * (high - low), 0.05)
    return Frame.of(width, look, (0.0, len(found.values) + 1.0), (low - room, high + 2.5 * room))


def _grid(found: Watched, frame: Frame) -> list[Definition]:
    low, high = frame.up.domain
    up = round_ticks(low, high) if found.kind == CUSUM else rlu_ticks(low, high)
    title = {CUSUM: _("running sum, in standard deviations"), EWMA: _("level of a visit and its weighted mean, RLU")}
    return frame.grid([tick for tick in round_ticks(1.0, len(found.values)) if tick[0] == int(tick[0])], up,
                      _("visit"), title.get(found.kind, _("level of a visit, RLU, log scale")))


def _limits(found: Watched, frame: Frame) -> list[Definition]:
    ink, places = frame.look.ink, range(1, len(found.values) + 1)
    drawn: list[Definition] = []
    for ends in (found.lower, found.upper):
        for part in (slice(0, found.baseline), slice(found.baseline, None)):
            drawn += frame.line(list(zip(places, ends, strict=True))[part], color=ink, width=1.5, dash=(5, 3))
    center = 0.0 if found.kind == CUSUM else found.center
    drawn += frame.line([(1.0, center), (float(len(found.values)), center)], color=frame.look.quiet, width=1.0)
    if len(found.values) < found.baseline:
        return drawn
    edge = frame.x(found.baseline + 0.5)
    (bottom, top), left = frame.up.range_px, frame.across.range_px[0]
    text = _("first {count} set the limits").format(count=found.baseline)
    return [*drawn, *layers.lines([{"x": edge, "y": bottom, "y2": top - 6.0}], x=layers.pixels("x"),
                                  y=layers.pixels("y"), y2="y2", color=frame.look.quiet),
            *layers.texts([{"x": left + 4.0, "y": top - 2.0, "t": text}], size=SMALL, color=frame.look.quiet)]


def _values(found: Watched, frame: Frame) -> list[Definition]:
    look = frame.look
    drawn = list(enumerate(found.drawn, 1))
    values = list(enumerate(found.values, 1))
    signals = [drawn[place] for place in found.signals]
    center = 0.0 if found.kind == CUSUM else found.center
    rest = [one for place, one in enumerate(values) if place not in found.signals or found.kind == EWMA]
    shown = [] if found.kind == CUSUM else frame.marks(rest, shape="circle", fill=look.ground, size=34.0)
    line = [] if found.kind not in (CUSUM, EWMA) else [
        layer for part in (slice(0, found.baseline), slice(found.baseline, None))
        for layer in frame.line(drawn[part], color=look.ink, width=2.0)]
    return [*shown, *line,
            *frame.marks([one for one in signals if one[1] >= center], shape="triangle-up", fill=look.work, size=95.0),
            *frame.marks([one for one in signals if one[1] < center], shape="triangle-down", fill=look.work,
                         size=95.0)]

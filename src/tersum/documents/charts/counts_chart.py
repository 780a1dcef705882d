"""The chart of shares or counts: each visit against its own limits."""

from __future__ import annotations

from tersum.documents.charts import drawing
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import Frame, round_ticks
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext, speaking
from tersum.evidence.watching_counts import SHARE, WatchedCounts


def counts_chart(found: WatchedCounts, *, width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return the chart as a Vega-Lite definition: visits across, share or count up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        numbers = [value for value in (*found.values, *found.upper) if value == value]
        frame = Frame.of(float(width_px), look, (0.0, len(found.values) + 1.0), (0.0, 1.1 * max(max(numbers), 1e-6)))
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=ngettext(
            "{count} visit outside the limits.", "{count} visits outside the limits.", len(found.signals)).format(
                count=len(found.signals)))
        places = [float(place) for place in range(1, len(found.values) + 1)]
        seen = list(zip(places, found.values, strict=True))
        ticks = round_ticks(0.0, frame.up.domain[1])
        if found.kind == SHARE:
            ticks = [(value, f"{number_text(100.0 * value)} %") for value, _text in ticks]
        signals = [seen[place] for place in found.signals]
        drawn["layer"] = [
            *frame.grid([tick for tick in round_ticks(1.0, len(places)) if tick[0] == int(tick[0])], ticks, _("visit"),
                        _("share of a visit, and its limits") if found.kind == SHARE else
                        _("count of a visit, and its limits")),
            *(layer for ends in (found.lower, found.upper)
              for layer in frame.line(list(zip(places, ends, strict=True)), color=look.ink, width=1.5, dash=(5, 3),
                                      step=True)),
            *frame.line([(places[0], found.center), (places[-1], found.center)] if places else [], color=look.quiet,
                        width=1.0),
            *frame.line(seen, color=look.quiet, width=1.0),
            *frame.marks([one for place, one in enumerate(seen) if place not in found.signals], shape="circle",
                         fill=look.ground, size=34.0),
            *frame.marks([one for one in signals if one[1] >= found.center], shape="triangle-up", fill=look.work,
                         size=95.0),
            *frame.marks([one for one in signals if one[1] < found.center], shape="triangle-down", fill=look.work,
                         size=95.0)]
    return drawn

"""Soiling again between visits: what was found after so many days, and when the upper prediction meets the limit."""

from __future__ import annotations

from collections.abc import Sequence

from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import SMALL, Frame, rlu_ticks, round_ticks
from tersum.documents.numbers import number_text
from tersum.documents.text import _, speaking
from tersum.evidence.resoiling import Resoiling


def resoiling_chart(found: Resoiling, seen: Sequence[tuple[float, float]], *, limit_log10: float, width_px: int = 640,
                    theme: str = "light", lang: str = "en") -> Definition:
    """Return the picture as a Vega-Lite definition: days since the visit across, level up.

    ``seen`` holds days and log10 level of each reading, those left by a visit at 0 days.
    """
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        levels = [level for _days, level in seen] + [*found.mean, *found.upper, limit_log10]
        low, high = min(levels), max(levels)
        room = max(0.06 * (high - low), 0.05)
        frame = Frame.of(float(width_px), look, (-0.02 * found.longest_days, 1.04 * found.longest_days),
                         (low - room, high + room))
        meets = next((day for day, level in zip(found.days, found.upper, strict=True) if level >= limit_log10), None)
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=_(
            "Soiling again over {days} days against the limit.").format(days=number_text(found.longest_days)))
        drawn["layer"] = [
            *frame.grid(round_ticks(0.0, found.longest_days), rlu_ticks(*frame.up.domain), _("days since the visit"),
                        _("level, RLU, log scale")),
            *_limit(frame, limit_log10),
            *frame.marks(list(seen), shape="circle", fill=look.ground, size=34.0),
            *frame.line(list(zip(found.days, found.mean, strict=True)), color=look.ink),
            *frame.line(list(zip(found.days, found.upper, strict=True)), color=look.ink, dash=(5, 3)),
            *_named(frame, found),
            *(frame.marks([(meets, limit_log10)], shape="triangle-up", fill=look.work, size=120.0)
              if meets is not None else []),
        ]
    return drawn


def _limit(frame: Frame, limit_log10: float) -> list[Definition]:
    left, right = frame.across.range_px
    y = frame.y(limit_log10)
    return [*layers.lines([{"x": left, "x2": right, "y": y}], x=layers.pixels("x"), x2="x2", y=layers.pixels("y"),
                          color=frame.look.ink, width=2.0),
            *layers.texts([{"x": left + 6.0, "y": y - 9.0, "t": _("limit")}], size=SMALL, weight=600,
                          color=frame.look.ink)]


def _named(frame: Frame, found: Resoiling) -> list[Definition]:
    """Name both lines at their right ends."""
    right = frame.across.range_px[1]
    texts = [(found.upper[-1], _("upper prediction")), (found.mean[-1], _("mean"))]
    rows = [{"x": right, "y": frame.y(level) + (-10.0 if place == 0 else 12.0), "t": text}
            for place, (level, text) in enumerate(texts)]
    return layers.texts(rows, size=SMALL, weight=600, align="right", color=frame.look.ink)

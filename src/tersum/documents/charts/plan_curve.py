"""The operating curve of a plan for a series: how often it accepts, by what share really fails."""

from __future__ import annotations

from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import SMALL, Frame, round_ticks
from tersum.documents.numbers import number_text
from tersum.documents.text import _, speaking
from tersum.evidence.point_sampling import SeriesPlans


def plan_curve(found: SeriesPlans, *, width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return the curve as a Vega-Lite definition: failing share across, share of series accepted up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        frame = Frame.of(float(width_px), look, (0.0, found.failing_frac[-1]), (0.0, 1.04))
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=_(
            "Operating curve of looking at {n} and accepting with {c} failing.").format(
                n=found.n, c=found.failures_allowed))
        shares = [(value, f"{number_text(100.0 * value)} %") for value, _t in round_ticks(0.0, found.failing_frac[-1])]
        up = [(value, f"{number_text(100.0 * value)} %") for value in (0.0, 0.25, 0.5, 0.75, 1.0)]
        half = len(found.failing_frac) // 2
        right = frame.across.range_px[1]
        names = [{"x": right, "y": frame.y(1.0) + 16.0, "t": _("solid: fixed; dashed: one after the other")}]
        drawn["layer"] = [
            *frame.grid(shares, up, _("true share that fails"), _("share of series accepted")),
            *frame.line(list(zip(found.failing_frac, found.accepted_sequential, strict=True)), color=look.quiet,
                        dash=(5, 3)),
            *frame.line(list(zip(found.failing_frac, found.accepted_fixed, strict=True)), color=look.ink, width=2.5),
            *layers.texts(names if half else [], size=SMALL, weight=600, align="right", color=look.ink)]
    return drawn

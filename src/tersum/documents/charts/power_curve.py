"""How likely a number of panels is to find each factor between two treatments."""

from __future__ import annotations

import math

import numpy as np

from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import SMALL, Frame
from tersum.documents.numbers import number_text
from tersum.documents.text import _, speaking
from tersum.evidence.assignment import PowerCurves

_TICKS = (2, 3, 5, 10, 20, 50, 100, 200, 500, 1000)


def power_curve(found: PowerCurves, *, width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return the curves as a Vega-Lite definition: panels across (log scale), chance of finding a factor up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        ends = (math.log10(found.pairs[0]), math.log10(found.pairs[-1]))
        frame = Frame.of(float(width_px), look, ends, (0.0, 1.04))
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=_(
            "Panels needed to find a factor of {factors} between two treatments.").format(
                factors=", ".join(number_text(factor) for factor in found.factors)))
        across = [(math.log10(n), str(n)) for n in _TICKS if ends[0] <= math.log10(n) <= ends[1]]
        up = [(share, f"{number_text(100.0 * share)} %") for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
        drawn["layer"] = [*frame.grid(across, up, _("panels, each holding both treatments, log scale"),
                                      _("chance of finding the factor that stands at the line")),
                          *frame.line([(end, found.wanted) for end in ends], color=look.ink, width=1.0, dash=(5, 4))]
        for factor, chances in zip(found.factors, found.chances, strict=True):
            drawn["layer"] += _curve(frame, found.pairs, factor, chances)
    return drawn


def _curve(frame: Frame, pairs: tuple[int, ...], factor: float, chances: tuple[float, ...]) -> list[Definition]:
    logs = [math.log10(n) for n in pairs]
    drawn = frame.line(list(zip(logs, chances, strict=True)), color=frame.look.done, width=2.5)
    if not chances[0] < 0.5 < chances[-1]:
        return drawn
    at = frame.x(float(np.interp(0.5, chances, logs)))
    return drawn + layers.texts([{"x": at + 8.0, "y": frame.y(0.46), "t": number_text(factor)}], size=SMALL + 1.0,
                                weight=600, color=frame.look.ink)

"""The funnel of places: how many failed of how many, within what chance and each one's own mix explain."""

from __future__ import annotations

from tersum.documents import fonts
from tersum.documents.charts import drawing, layers
from tersum.documents.charts.drawing import Definition
from tersum.documents.charts.frame import SMALL, Frame, round_ticks
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext, speaking
from tersum.evidence.case_mix import ABOVE, INSIDE, Funnel, FunnelUnit


def funnel_chart(found: Funnel, *, width_px: int = 640, theme: str = "light", lang: str = "en") -> Definition:
    """Return the funnel as a Vega-Lite definition: number looked at across, share failing up."""
    look = drawing.theme_of(theme)
    drawing.checked_width(width_px)
    with speaking(lang):
        most = max(unit.looked_at for unit in found.units)
        high = max(max(unit.failing, unit.limits_998[1]) / unit.looked_at for unit in found.units)
        frame = Frame.of(float(width_px), look, (0.0, 1.08 * most), (0.0, min(1.0, 1.08 * high)))
        outside = [unit for unit in found.units if unit.verdict != INSIDE]
        drawn = drawing.base(look, width_px=width_px, height_px=frame.height, description=ngettext(
            "Funnel: {count} of {total} lies outside.", "Funnel: {count} of {total} lie outside.", len(outside)).format(
                count=len(outside), total=len(found.units)))
        drawn["layer"] = [*_grid(frame), *_bars(found, frame), *_marks(found, frame), *_names(outside, found, frame)]
    return drawn


def _grid(frame: Frame) -> list[Definition]:
    shares = [(share, f"{number_text(100.0 * share)} %") for share, _text in round_ticks(0.0, frame.up.domain[1])]
    return frame.grid(round_ticks(0.0, frame.across.domain[1]), shares, _("points looked at"),
                      _("share above the limit; bars: 95 % and 99.8 % limits"))


def _bars(found: Funnel, frame: Frame) -> list[Definition]:
    """Draw each one's own limits, thick for 95 % and thin for 99.8 %, and the share of all."""
    rows = {name: [{"x": _across(found, unit, frame), "y": frame.y(getattr(unit, name)[0] / unit.looked_at),
                    "y2": frame.y(getattr(unit, name)[1] / unit.looked_at)} for unit in found.units]
            for name in ("limits_998", "limits_95")}
    share = [{"x": frame.across.range_px[0], "x2": frame.across.range_px[1], "y": frame.y(found.share)}]
    up = layers.pixels("y")
    return [*layers.lines(share, x=layers.pixels("x"), x2="x2", y=up, color=frame.look.quiet, dash=(5, 3)),
            *layers.lines(rows["limits_998"], x=layers.pixels("x"), y=up, y2="y2", color=frame.look.quiet, width=1.0),
            *layers.lines(rows["limits_95"], x=layers.pixels("x"), y=up, y2="y2", color=frame.look.quiet, width=4.0)]


def _marks(found: Funnel, frame: Frame) -> list[Definition]:
    look = frame.look
    kinds = {"circle": look.ground, "triangle-up": look.work, "triangle-down": look.done}
    drawn = []
    for shape, fill in kinds.items():
        rows = [{"x": _across(found, unit, frame), "y": frame.y(unit.failing / unit.looked_at)}
                for unit in found.units if _shape(unit) == shape]
        drawn += layers.points(rows, shape=shape, x=layers.pixels("x"), y=layers.pixels("y"), stroke=look.ink,
                               fill=fill, size=70.0 if shape == "circle" else 110.0)
    return drawn


def _names(outside: list[FunnelUnit], found: Funnel, frame: Frame) -> list[Definition]:
    """Name those outside, beside their mark, moved up or down where two names would meet."""
    rows: list[Definition] = []
    for unit in sorted(outside, key=lambda one: -one.failing / one.looked_at):
        text = fonts.wrapped(unit.name, SMALL, 160.0)[0]
        wide = fonts.face(600).width(text, SMALL)
        x, y = _across(found, unit, frame), frame.y(unit.failing / unit.looked_at)
        left = x + 9.0 if x + 11.0 + wide <= frame.width else x - 9.0 - wide
        while any(abs(row["y"] - y) < 14.0 and left < row["x"] + row["w"] and row["x"] < left + wide for row in rows):
            y += 14.0
        rows.append({"x": left, "y": y, "t": text, "w": wide})
    return layers.texts(rows, size=SMALL, weight=600, color=frame.look.ink)


def _shape(unit: FunnelUnit) -> str:
    if unit.verdict == INSIDE:
        return "circle"
    return "triangle-up" if unit.side == ABOVE else "triangle-down"


def _across(found: Funnel, unit: FunnelUnit, frame: Frame) -> float:
    """Return where a unit stands: those of one size side by side."""
    alike = [one.name for one in found.units if abs(frame.x(one.looked_at) - frame.x(unit.looked_at)) < 7.0]
    first = frame.x(min(one.looked_at for one in found.units if one.name in alike)) if len(alike) > 1 else frame.x(
        unit.looked_at)
    return first + 9.0 * (alike.index(unit.name) - (len(alike) - 1) / 2.0) if len(alike) > 1 else first

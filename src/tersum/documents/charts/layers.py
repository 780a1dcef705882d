"""Layers that the charts share: rules, points and texts at positions that are known before anything is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.documents.charts.drawing import Definition

Rows = Sequence[Definition]


@dataclass(frozen=True)
class Axis:
    """One direction of a chart: the numbers it spans and the pixels they come to lie at."""

    domain: tuple[float, float]
    range_px: tuple[float, float]
    kind: str = "log"  # or "linear", "utc"

    def encoding(self, field: str) -> Definition:
        """Return the encoding of a field on this axis."""
        scale: Definition = {"type": self.kind, "domain": list(self.domain), "range": list(self.range_px),
                             "nice": False, "clamp": True}
        return {"field": field, "type": "temporal" if self.kind == "utc" else "quantitative", "axis": None,
                "scale": scale | ({"zero": False} if self.kind == "linear" else {})}


def pixels(field: str) -> Definition:
    """Return the encoding of a field that holds pixels already."""
    return {"field": field, "type": "quantitative", "scale": None, "axis": None}


def texts(rows: Rows, *, color: str, align: str = "left", size: float = 14.0, weight: int = 400,
          x: Definition | None = None, y: Definition | None = None) -> list[Definition]:
    """Return texts ``t`` at pixels ``x``, ``y``, or where the given encodings put them."""
    if not rows:
        return []
    return [{"data": {"values": list(rows)},
             "mark": {"type": "text", "align": align, "baseline": "middle", "fontSize": size, "fontWeight": weight,
                      "color": color},
             "encoding": {"x": x or pixels("x"), "y": y or pixels("y"), "text": {"field": "t"}}}]


def lines(rows: Rows, *, x: Definition, y: Definition, x2: str = "", y2: str = "", color: str = "",
          width: float = 1.0, dash: Sequence[int] = ()) -> list[Definition]:
    """Return straight lines, all of one colour or each of its own ``c``."""
    if not rows:
        return []
    mark: Definition = {"type": "rule", "strokeWidth": width}
    mark |= ({"color": color} if color else {}) | ({"strokeDash": list(dash)} if dash else {})
    encoding = {"x": x, "y": y} | ({"x2": {"field": x2}} if x2 else {}) | ({"y2": {"field": y2}} if y2 else {})
    if not color:
        encoding["color"] = {"field": "c", "type": "nominal", "scale": None}
    return [{"data": {"values": list(rows)}, "mark": mark, "encoding": encoding}]


def points(rows: Rows, *, shape: str, x: Definition, y: Definition, stroke: str, size: float = 80.0, fill: str = "",
           width: float = 1.3) -> list[Definition]:
    """Return marks of one shape, all of one fill or each of its own ``c``."""
    if not rows:
        return []
    mark: Definition = {"type": "point", "shape": shape, "size": size, "opacity": 1, "stroke": stroke,
                        "strokeWidth": width} | ({"fill": fill} if fill else {})
    encoding = {"x": x, "y": y}
    if not fill:
        encoding["fill"] = {"field": "c", "type": "nominal", "scale": None}
    return [{"data": {"values": list(rows)}, "mark": mark, "encoding": encoding}]


def boxes(rows: Rows, *, color: str) -> list[Definition]:
    """Return filled boxes from ``x``, ``y`` to ``x2``, ``y2``, in pixels."""
    if not rows:
        return []
    return [{"data": {"values": list(rows)}, "mark": {"type": "rect", "color": color, "strokeWidth": 0},
             "encoding": {"x": pixels("x"), "x2": {"field": "x2"}, "y": pixels("y"), "y2": {"field": "y2"}}}]

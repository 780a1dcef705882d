"""Drawing of chart definitions: one look in three themes, the same picture for page and paper, SVG and PNG."""

from __future__ import annotations

import re
import threading
import xml.etree.ElementTree as ElementTree
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import typst
import vl_convert

from tersum.documents import fonts
from tersum.documents.verdict_marks import BLUE, VERMILION
from tersum.errors import N_, OutOfRange, UnknownName

VEGA_LITE = "6.4"
LEAST_WIDTH_PX, MOST_WIDTH_PX = 256, 2400
Definition = dict[str, Any]
_SILENT = ("pointer-events", "aria-hidden", "aria-roledescription", "role", "class")
_SAYS_NOTHING = (("opacity", "1"), ("transform", "translate(0,0)"), ("x2", "0"), ("y2", "0"),
                 ("text-anchor", "start"), ("font-weight", "400"), ("font-family", fonts.FAMILY))
_SHARED = ("font-size", "font-weight", "text-anchor", "fill", "stroke", "stroke-width",
           "stroke-dasharray")
_LONG_FRACTION = re.compile(r"-?[0-9]+\.[0-9]{3,}")
_lock = threading.Lock()
ElementTree.register_namespace("", "http://www.w3.org/2000/svg")


@dataclass(frozen=True)
class Theme:
    """Ink on ground, a faint ink for what only guides the eye, and two tones for done and work to do."""

    name: str
    ink: str
    ground: str
    faint: str
    quiet: str  # text of less weight; at least 4.5 to 1 on the ground
    done: str = BLUE
    work: str = VERMILION

    def tone(self, name: str) -> str:
        """Return the colour of a verdict mark's tone."""
        return {"done": self.done, "work": self.work}.get(name, self.ink)


THEMES = {
    "light": Theme("light", "#161616", "#FFFFFF", "#D4D4D4", "#4D4D4D"),
    # The two tones lifted so that they stand at 4.5 to 1 on the dark ground, as text would need.
    "dark": Theme("dark", "#F2F2F2", "#141414", "#444444", "#C4C4C4", "#3E9BD6", "#F07B26"),
    "paper": Theme("paper", "#000000", "#FFFFFF", "#C8C8C8", "#3A3A3A"),
}


def theme_of(name: str) -> Theme:
    """Return a theme by name, or refuse the name."""
    if name not in THEMES:
        raise UnknownName("theme", name, tuple(THEMES))
    return THEMES[name]


def checked_width(width_px: int) -> int:
    """Return a width that a chart can be drawn at, or refuse it."""
    if not LEAST_WIDTH_PX <= width_px <= MOST_WIDTH_PX:
        raise OutOfRange("width", width_px, N_("{least} to {most} px"), least=LEAST_WIDTH_PX, most=MOST_WIDTH_PX)
    return width_px


def base(theme: Theme, *, width_px: int, height_px: float, description: str) -> Definition:
    """Return the common part of every definition: fonts, colours, and no box around the view."""
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "description": description, "width": width_px, "height": height_px, "background": theme.ground,
        "padding": 0,
        "autosize": {"type": "none"},
        "config": {
            "font": fonts.FAMILY, "view": {"stroke": None}, "aria": False,
        },
    }


def svg(definition: Mapping[str, Any]) -> str:
    """Return a definition drawn as SVG; the same definition gives the same text."""
    _register_fonts()
    drawn = str(vl_convert.vegalite_to_svg(_unmeasured(definition), vl_version=VEGA_LITE))
    return _tidy(drawn, str(definition.get("description", "")))


def load() -> None:
    """Load the chart engine, so that the next chart comes at once; it may run beside other work."""
    svg(base(THEMES["paper"], width_px=LEAST_WIDTH_PX, height_px=1.0, description="") | {"mark": "point"})


def png(drawn: str, *, scale: float = 2.0) -> bytes:
    """Return a chart's SVG as PNG with the fonts of this program only, ``scale`` pixels for each of the chart's."""
    if not 0.5 <= scale <= 8.0:
        raise OutOfRange("scale", scale, N_("0.5 to 8"))
    width = float(re.search(r'<svg[^>]* width="([0-9.]+)"', drawn).group(1))  # type: ignore[union-attr]
    source = ('#set page(width: auto, height: auto, margin: 0pt)\n'
              f'#image(bytes(sys.inputs.svg), format: "svg", width: {width:g}pt)')
    with _lock:
        made = _compiler().compile(input=source.encode(), format="png", ppi=72.0 * scale, sys_inputs={"svg": drawn})
    assert isinstance(made, bytes)
    return made


@cache
def _register_fonts() -> None:
    vl_convert.register_font_directory(fonts.folder())


@cache
def _compiler() -> typst.Compiler:
    return typst.Compiler(font_paths=typst.Fonts(include_system_fonts=False, font_paths=[fonts.folder()]))


def _unmeasured(definition: Mapping[str, Any]) -> Definition:
    """Return a definition whose texts the renderer need not measure: :func:`_tidy` puts each in its place.

    The renderer measures every text, at 1 to 2 ms each, to lay out what is laid out here already: 40 rows took eight
    times as long. A text goes through as the description of an empty one.
    """
    layer = dict(definition)
    if "layer" in layer:
        layer["layer"] = [_unmeasured(inner) for inner in layer["layer"]]
    mark = layer.get("mark")
    if isinstance(mark, dict) and mark.get("type") == "text":
        layer["mark"] = {**mark, "aria": True}
        layer["encoding"] = {**layer["encoding"], "text": {"value": ""}, "description": layer["encoding"]["text"]}
    return layer


def _tidy(drawn: str, description: str) -> str:
    """Put the texts in, take out what says nothing, and describe the picture where a screen reader finds it."""
    root = ElementTree.fromstring(drawn)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.get("class") in ("background", "foreground") and child.tag.endswith("path"):
                parent.remove(child)
    for element in root.iter():
        if element.tag.endswith("}text"):
            element.text = element.attrib.pop("aria-label", element.text)
        for name in [name for name, value in element.items() if name in _SILENT or (name, value) in _SAYS_NOTHING]:
            del element.attrib[name]
        for name in ("transform", "d", "x1", "x2", "y1", "y2"):
            if name in element.attrib:
                element.set(name, _LONG_FRACTION.sub(_rounded, element.attrib[name]))
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        _share(group)
    root.set("font-family", f"'{fonts.FAMILY}', system-ui, sans-serif")
    root.set("role", "img")
    root.set("aria-label", description)
    return ElementTree.tostring(root, encoding="unicode")


def _share(group: ElementTree.Element) -> None:
    """Say once, on the group, what all its children say."""
    children = list(group)
    for name in _SHARED if len(children) > 1 else ():
        said = {child.get(name) for child in children}
        if len(said) == 1 and None not in said and group.get(name) is None:
            group.set(name, str(said.pop()))
            for child in children:
                del child.attrib[name]


def _rounded(number: re.Match[str]) -> str:
    return f"{float(number.group()):.2f}".rstrip("0").rstrip(".")

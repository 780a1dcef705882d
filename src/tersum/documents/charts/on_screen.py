"""A drawn chart made fit for a browser, which may lack the fonts it was laid out with: each text keeps its width."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

from tersum.documents import fonts

_SVG = "{http://www.w3.org/2000/svg}"
ElementTree.register_namespace("", "http://www.w3.org/2000/svg")


def on_screen(drawn: str) -> str:
    """Return a chart whose texts are as wide in any font as they were laid out; one with other letters is left.

    Examples
    --------
    >>> on_screen('<svg xmlns="http://www.w3.org/2000/svg" font-size="10px"><text>done</text></svg>')[-73:]
    '<text textLength="21.4" lengthAdjust="spacingAndGlyphs">done</text></svg>'
    """
    root = ElementTree.fromstring(drawn)
    _fit(root, 16.0, 400)
    return ElementTree.tostring(root, encoding="unicode")


def _fit(element: ElementTree.Element, size: float, weight: int) -> None:
    size = float(element.get("font-size", f"{size}px").removesuffix("px"))
    weight = int(element.get("font-weight", weight))
    text = element.text or ""
    if element.tag == f"{_SVG}text" and text.strip() and weight in fonts.FACES:
        face = fonts.face(weight)
        if all(ord(mark) in face.widths for mark in text):
            element.set("textLength", f"{face.width(text, size):.1f}")
            element.set("lengthAdjust", "spacingAndGlyphs")
    for child in element:
        _fit(child, size, weight)

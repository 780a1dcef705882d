"""Pictures written by commands: the options they share, and a file that stands under its name only once it is whole."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tersum.cli.output import emit_json, remark
from tersum.documents.text import _, language
from tersum.errors import N_, OutOfRange

if TYPE_CHECKING:
    from tersum.documents.charts import drawing

_MARGIN_PX = 12  # a picture in a file has no page around it
_ENDINGS = (".svg", ".png", ".json")
_THEMES = ("light", "dark", "paper")  # as in documents.charts.drawing, which is too heavy to load for a help text


def drawing_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that every chart has."""
    for option in (
        click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object about what was written.")),
        click.option("--scale", type=float, default=2.0, show_default=True, metavar="N",
                     help=_("Pixels of a PNG for each of the chart's, 0.5 to 8.")),
        click.option("--lang", metavar="TAG", help=_("Language, such as en; the reader's if left out.")),
        click.option("--theme", type=click.Choice(_THEMES), default="light", show_default=True,
                     help=_("Colours of the page it goes on.")),
        click.option("--width", "width_px", type=click.IntRange(280, 2400), default=640, show_default=True,
                     metavar="PX", help=_("Width, 280 to 2400 px; 390 fits a phone.")),
        click.option("--out", required=True, metavar="FILE", help=_("File to write: .svg, .png or .json; - for SVG "
                                                                    "to the standard output.")),
    ):
        command = option(command)
    return command


def result_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options of a verb that shows a result: JSON, CSV, and a picture beside it."""
    command = picture_options(command)
    for option in (
        click.option("--json", "as_json", is_flag=True, help=_("Print one JSON object.")),
        click.option("--csv", "as_csv", is_flag=True, help=_("Print the table as CSV.")),
    ):
        command = option(command)
    return command


def picture_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options of a picture beside a result."""
    for option in (
        click.option("--theme", type=click.Choice(_THEMES), default="light", show_default=True,
                     help=_("Colours of the page the picture goes on.")),
        click.option("--width", "width_px", type=click.IntRange(280, 2400), default=640, show_default=True,
                     metavar="PX", help=_("Width of the picture, 280 to 2400 px; 390 fits a phone.")),
        click.option("--picture", metavar="FILE", help=_("Draw it too: .svg, .png or .json.")),
    ):
        command = option(command)
    return command


def beside(given: dict[str, Any], make: Callable[[dict[str, Any]], drawing.Definition]) -> None:
    """Draw the picture that was asked for beside a result, if one was."""
    if given["picture"]:
        _kept(given["picture"], _made(given | {"lang": None}, make), 2.0)
        remark(_("Written: {file}").format(file=given["picture"]))


def write_picture(given: dict[str, Any], make: Callable[[dict[str, Any]], drawing.Definition]) -> None:
    """Draw and write a chart; the file stands under its name only once it is whole."""
    out = str(given["out"])
    if out != "-":
        _ending(out, N_("a file ending in .svg, .png or .json, or - for the standard output"))
    definition = _made(given, make)
    if out == "-":
        sys.stdout.buffer.write(_body(definition, ".svg", given["scale"]))
        return
    size = _kept(out, definition, given["scale"])
    if given["as_json"]:
        emit_json("tersum/chart/1", {"file": out, "bytes": size, "width_px": given["width_px"],
                                     "height_px": definition["height"] + 2 * _MARGIN_PX,
                                     "description": definition["description"]})
    else:
        remark(_("Written: {file}").format(file=out))


def _made(given: dict[str, Any], make: Callable[[dict[str, Any]], drawing.Definition]) -> drawing.Definition:
    return make({"width_px": given["width_px"] - 2 * _MARGIN_PX, "theme": given["theme"],
                 "lang": given["lang"] or language()}) | {"padding": _MARGIN_PX}


def _ending(out: str, accepted: str) -> str:
    ending = Path(out).suffix.lower()
    if ending not in _ENDINGS:
        raise OutOfRange("--out" if "-" in accepted.split() else "--picture", out, accepted)
    return ending


def _kept(out: str, definition: drawing.Definition, scale: float) -> int:
    """Write a picture and return its bytes."""
    body = _body(definition, _ending(out, N_("a file ending in .svg, .png or .json")), scale)
    part = Path(out).with_name(f".{Path(out).name}.{os.urandom(6).hex()}.part")
    try:
        part.write_bytes(body)
        os.replace(part, out)
    finally:
        part.unlink(missing_ok=True)
    return len(body)


def _body(definition: drawing.Definition, ending: str, scale: float) -> bytes:
    if ending == ".json":
        return (json.dumps(definition, ensure_ascii=False, indent=1) + "\n").encode()
    from tersum.documents.charts import drawing  # heavy, and wanted to draw alone

    drawn = drawing.svg(definition)
    return drawing.png(drawn, scale=scale) if ending == ".png" else (drawn + "\n").encode()

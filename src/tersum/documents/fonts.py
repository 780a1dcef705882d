"""The fonts of every document and chart: where they lie, which letters they have, how wide a text comes out."""

from __future__ import annotations

import functools
import importlib.util
import shutil
import struct
import tempfile
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from tersum.errors import N_, Faults, TersumError

FAMILY = "Source Sans Pro"
# Further families come inside typst itself: one with Hebrew, one with Arabic letters.
FAMILIES = (FAMILY, "Libertinus Serif", "DejaVu Sans Mono")
FACES = {400: "SourceSansPro-Regular.ttf", 600: "SourceSansPro-Semibold.ttf"}
PACKAGE = "font_source_sans_pro"
SCRIPTS = N_("Latin, Greek, Cyrillic, Hebrew and Arabic letters")
# Letters taken from the fonts inside typst; a test prints each of them.
_HEBREW = ((0x05B0, 0x05C3), (0x05D0, 0x05EA), (0x05F3, 0x05F4))
_ARABIC = ((0x0609, 0x060C), (0x061B, 0x061B), (0x061F, 0x061F), (0x0621, 0x063A), (0x0640, 0x0655), (0x0660, 0x066D),
           (0x0679, 0x067B), (0x067E, 0x0680), (0x0683, 0x0684), (0x0686, 0x0687), (0x0691, 0x0691), (0x0698, 0x0698),
           (0x06A4, 0x06A4), (0x06A9, 0x06A9), (0x06AF, 0x06AF), (0x06BE, 0x06BE), (0x06CC, 0x06CC), (0x06F0, 0x06F9))
_WITHOUT_WIDTH = "\u2068\u2069"  # begin and end a name written from right to left
INSIDE_TYPST = frozenset(point for first, last in (*_HEBREW, *_ARABIC) for point in range(first, last + 1))


class Unprintable(TersumError):
    """A text in a script that no font here covers; it is refused by name, never printed as boxes."""

    code = "unprintable-text"


@dataclass(frozen=True)
class Face:
    """One font file: advance width of each letter, in thousandths of the size."""

    widths: dict[int, float]

    def width(self, text: str, size: float) -> float:
        """Return how wide a text comes out, in the unit of ``size``; kerning is left out (it is under 2 %)."""
        return sum(self.widths.get(ord(mark), 0.0 if mark in _WITHOUT_WIDTH else 600.0)
                   for mark in text) * size / 1000.0


@functools.cache
def folder() -> str:
    """Return a folder with exactly the font files used, so that no machine's other fonts change a page.

    The package holds each face twice, in two formats; which of the two is taken would depend on the file system.
    """
    kept = _kept_folder()
    for name in FACES.values():
        shutil.copyfile(_package_folder() / name, Path(kept.name) / name)
    return kept.name


@functools.cache
def face(weight: int = 400) -> Face:
    """Return the widths of one face."""
    return _read((_package_folder() / FACES[weight]).read_bytes())


def wrapped(text: str, size: float, most: float, *, weight: int = 400) -> list[str]:
    """Return a text in lines at most ``most`` wide; a word too long for a line is divided.

    Examples
    --------
    >>> wrapped("wheelchair ramp grip", 14.0, 80.0)
    ['wheelchair', 'ramp grip']
    """
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and face(weight).width(joined, size) <= most:
            lines[-1] = joined
            continue
        pieces = _divided(word, size, most, weight)
        lines.extend(pieces)
    return lines or [""]


def printable(mark: str) -> bool:
    """Tell whether one character can be printed: every face has it, or a font inside typst does."""
    point = ord(mark)
    if mark == "\n" or point in INSIDE_TYPST:
        return True
    return all(point in face(weight).widths for weight in FACES)


def check(texts: Iterable[tuple[str, str]]) -> None:
    """Refuse texts that cannot be printed, all of them at once.

    Parameters
    ----------
    texts : iterable of (field, text)
        What is to be printed and what to call it; in Unicode normal form C.

    Raises
    ------
    Faults
        One :class:`Unprintable` for each field, with the first characters that have no letter here.
    """
    faults: list[TersumError] = []
    for field, text in texts:
        missing = sorted({mark for mark in text if not (mark.isascii() and mark.isprintable()) and not printable(mark)})
        if missing:
            faults.append(Unprintable(
                N_("{field} cannot be printed: {names} in {value} has no letter in the fonts of this program; write it "
                   "in {accepted}."), field=field, value=text, accepted=SCRIPTS,
                names=", ".join(_named(mark) for mark in missing[:3])))
    if faults:
        raise Faults(faults)


def _named(mark: str) -> str:
    return f"U+{ord(mark):04X} {unicodedata.name(mark, 'CONTROL CHARACTER')}"


@functools.cache
def _kept_folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="tersum-fonts-")  # goes with the process


@functools.cache
def _package_folder() -> Path:
    found = importlib.util.find_spec(PACKAGE)
    if found is None or found.origin is None:
        raise TersumError(N_("The font package {value} is not installed; run: make setup"), field="fonts",
                          value=PACKAGE.replace("_", "-"))
    return Path(found.origin).parent / "files"


def _divided(word: str, size: float, most: float, weight: int) -> list[str]:
    pieces, piece = [], ""
    for mark in word:
        if piece and face(weight).width(piece + mark, size) > most:
            pieces.append(piece)
            piece = ""
        piece += mark
    return [*pieces, piece]


def _read(font: bytes) -> Face:
    """Read ``cmap``, ``hmtx`` and ``head`` of a TrueType file (ISO/IEC 14496-22): all that is needed, and quickly."""
    count = struct.unpack_from(">H", font, 4)[0]
    tables = {}
    for place in range(count):
        tag, _sum, offset, _length = struct.unpack_from(">4sIII", font, 12 + 16 * place)
        tables[tag] = offset
    per_em = struct.unpack_from(">H", font, tables[b"head"] + 18)[0]
    metrics = struct.unpack_from(">H", font, tables[b"hhea"] + 34)[0]
    advances = struct.unpack_from(f">{2 * metrics}H", font, tables[b"hmtx"])[::2]
    letters = _letters(font, tables[b"cmap"])
    return Face({point: advances[min(glyph, metrics - 1)] * 1000.0 / per_em for point, glyph in letters.items()})


def _letters(font: bytes, cmap: int) -> dict[int, int]:
    """Return character to glyph, from the table of the whole of Unicode's first plane (format 4)."""
    for place in range(struct.unpack_from(">H", font, cmap + 2)[0]):
        platform, encoding, offset = struct.unpack_from(">HHI", font, cmap + 4 + 8 * place)
        if (platform, encoding) == (3, 1) and struct.unpack_from(">H", font, cmap + offset)[0] == 4:
            return _format_4(font, cmap + offset)
    raise TersumError(N_("The font file has no table of letters; run: make setup"), field="fonts")


def _format_4(font: bytes, start: int) -> dict[int, int]:
    segments = struct.unpack_from(">H", font, start + 6)[0] // 2
    ends = struct.unpack_from(f">{segments}H", font, start + 14)
    rest = start + 16 + 2 * segments
    firsts = struct.unpack_from(f">{segments}H", font, rest)
    deltas = struct.unpack_from(f">{segments}H", font, rest + 2 * segments)
    ranges = struct.unpack_from(f">{segments}H", font, rest + 4 * segments)
    letters: dict[int, int] = {}
    for segment in range(segments):
        for point in range(firsts[segment], ends[segment] + 1):
            glyph = point
            if ranges[segment]:
                place = rest + 4 * segments + 2 * segment + ranges[segment] + 2 * (point - firsts[segment])
                glyph = struct.unpack_from(">H", font, place)[0]
                if not glyph:
                    continue
            glyph = (glyph + deltas[segment]) & 0xFFFF
            if glyph and point != 0xFFFF:
                letters[point] = glyph
    return letters

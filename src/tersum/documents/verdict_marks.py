"""The mark of each verdict: its shape carries the action, its tone says done or to do; the word stands beside it."""

from __future__ import annotations

from dataclasses import dataclass

from tersum.visit.decision import (
    CLEAN_AGAIN,
    COULD_NOT,
    DONE,
    NO_LIMIT_YET,
    NOT_COUNTED,
    NOT_READ,
    SWAB_AGAIN,
)

BLUE = "#0072B2"  # Okabe and Ito's palette, told apart with any common colour blindness
VERMILION = "#D55E00"


@dataclass(frozen=True)
class VerdictMark:
    """A closed path in a box from -1 to 1, and its tone: ``done``, ``work`` or ``ink``; ``filled`` or outline only."""

    path: str
    tone: str
    filled: bool = True


MARKS: dict[str, VerdictMark] = {
    # a solid block
    DONE: VerdictMark("M-0.9,-0.9H0.9V0.9H-0.9Z", "done"),
    # two short bars
    SWAB_AGAIN: VerdictMark("M-0.75,-0.9H-0.2V0.9H-0.75ZM0.2,-0.9H0.75V0.9H0.2Z", "work"),
    # an arrow bent back
    CLEAN_AGAIN: VerdictMark("M-0.9,0.95H0.22A0.74,0.74,0,0,0,0.22,-0.53H-0.3V-0.98L-1,-0.33L-0.3,0.32V-0.13H0.22"
                             "A0.34,0.34,0,0,1,0.22,0.55H-0.9Z", "work"),
    # a block that stays above a bar
    COULD_NOT: VerdictMark("M-1,0.5H1V0.95H-1ZM-0.85,0.2L0,-0.95L0.85,0.2Z", "work"),
    # a struck-through dash
    NOT_COUNTED: VerdictMark("M-1,-0.17H1V0.17H-1ZM-0.62,0.86L-0.34,1L0.62,-0.86L0.34,-1Z", "ink"),
    # an empty outline
    NOT_READ: VerdictMark("M-0.8,-0.8H0.8V0.8H-0.8Z", "ink", filled=False),
    # three dots: more readings will tell
    NO_LIMIT_YET: VerdictMark("M-1,-0.22H-0.56V0.22H-1ZM-0.22,-0.22H0.22V0.22H-0.22ZM0.56,-0.22H1V0.22H0.56Z", "ink"),
}


def mark_svg(verdict: str, *, ink: str = "#000000", size: float = 12.0) -> str:
    """Return the mark of a verdict as a small SVG picture, for a page or a table; the word goes beside it.

    Examples
    --------
    >>> mark_svg("done")[:62]
    '<svg xmlns="http://www.w3.org/2000/svg" width="12" height="12"'
    """
    mark = MARKS[verdict]
    fill = {"done": BLUE, "work": VERMILION, "ink": ink}[mark.tone] if mark.filled else "none"
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="{size:g}" height="{size:g}" viewBox="-1.2 -1.2 2.4 2.4">'
            f'<path d="{mark.path}" fill="{fill}" stroke="{ink}" stroke-width="0.14" stroke-linejoin="round"/></svg>')

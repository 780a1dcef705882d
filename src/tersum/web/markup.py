"""Values in texts: each escaped, and each kept in its own writing direction."""

from __future__ import annotations

from markupsafe import Markup, escape

from tersum.documents.verdict_marks import MARKS
from tersum.web import static_files


def with_places(message: str, **places: object) -> Markup:
    """Put values into a text, so that a name from right to left does not turn what stands around it.

    Examples
    --------
    >>> with_places("Swab {point}", point="<seat>")
    Markup('Swab <bdi>&lt;seat&gt;</bdi>')
    """
    return Markup(escape(message)).format(**{name: bdi(value) for name, value in places.items()})


def bdi(value: object) -> Markup:
    """Return a value escaped and kept apart from the writing direction around it."""
    return value if isinstance(value, Markup) else Markup("<bdi>{}</bdi>").format(value)


def mark(verdict: str) -> Markup:
    """Return the mark of a verdict; its word always stands beside it."""
    return Markup('<svg class="mark tone-{}" aria-hidden="true" focusable="false"><use href="{}#{}"></use></svg>'
                  ).format(MARKS[verdict].tone, static_files.address("marks.svg"), verdict)

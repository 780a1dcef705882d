"""Progress of long work on stderr, for a person at a terminal only."""

from __future__ import annotations

import sys
import time

_QUIET_S = 1.0  # work that is over sooner says nothing
_BETWEEN_S = 0.2


class Progress:
    """One line that is written over again and again, and wiped at the end; nothing where stderr is no terminal."""

    def __init__(self) -> None:
        self._shows = sys.stderr.isatty()
        self._next = time.monotonic() + _QUIET_S
        self._width = 0

    def say(self, text: str) -> None:
        """Show how far the work is, if the last time is long enough ago."""
        if self._shows and time.monotonic() >= self._next:
            self._next = time.monotonic() + _BETWEEN_S
            self._write(text)

    def done(self) -> None:
        """Wipe the line."""
        if self._width:
            self._write("")
            sys.stderr.write("\r")
            self._width = 0

    def _write(self, text: str) -> None:
        sys.stderr.write("\r" + text.ljust(self._width))
        sys.stderr.flush()
        self._width = len(text)

"""Whether all texts of what is to be printed can be: in letters that the fonts have, and no longer than a note is."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence

from tersum.documents import fonts
from tersum.errors import N_, Faults, OutOfRange, TersumError

LONGEST_TEXT = 2000  # a picture pasted into a note is longer


def check(value: object) -> None:
    """Refuse a dataclass with texts that cannot be printed, each by the place it stands at, all at once.

    Raises
    ------
    Faults
        One fault for each text that is too long or has letters without a shape here.
    """
    texts = list(dict.fromkeys(_texts("", value)))
    faults: list[TersumError] = [
        OutOfRange(name, f"{len(text)} characters", N_("at most {most} characters"), most=LONGEST_TEXT)
        for name, text in texts if len(text) > LONGEST_TEXT]
    try:
        fonts.check((name, text) for name, text in texts if len(text) <= LONGEST_TEXT)
    except Faults as more:
        faults += more.faults
    if faults:
        raise Faults(faults)


def _texts(name: str, value: object) -> Iterator[tuple[str, str]]:
    """Yield every text inside with where it stands: names of fields, and places in lists counted from 1."""
    if isinstance(value, str):
        yield name, value
    elif dataclasses.is_dataclass(value):
        for one in dataclasses.fields(value):
            yield from _texts(f"{name} {one.name}".lstrip(), getattr(value, one.name))
    elif isinstance(value, Mapping):
        for key, inside in value.items():
            yield from _texts(f"{name} {key}", inside)
    elif isinstance(value, Sequence):
        for place, inside in enumerate(value, 1):
            yield from _texts(f"{name} {place}", inside)

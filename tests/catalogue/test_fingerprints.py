"""Each data file holds exactly the figures that were checked; see fingerprints.toml."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

from tersum.catalogue import load

CHECKED = tomllib.loads((Path(__file__).parent / "fingerprints.toml").read_text(encoding="utf-8"))


def numbers(value):
    if isinstance(value, Mapping):
        for one in value.values():
            yield from numbers(one)
    elif isinstance(value, tuple):
        for one in value:
            yield from numbers(one)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield float(value)


def fingerprint(noun):
    entries = load.table(noun)
    found = [number for entry in entries.values() for value in entry.values.values() for number in numbers(value.value)]
    if not found:  # a file of names only
        names = [str(name) for entry in entries.values() for value in entry.values.values() for name in value.value]
        return {"entries": len(entries), "texts": len(names), "letters": sum(map(len, names))}
    return {"entries": len(entries), "numbers": len(found), "sum": sum(found), "smallest": min(found),
            "largest": max(found)}


@pytest.mark.parametrize("noun", load.nouns())
def test_data_file_holds_the_figures_that_were_checked(noun):
    assert noun in CHECKED, f"{noun}.toml has no fingerprint; add to fingerprints.toml: {fingerprint(noun)}"
    assert fingerprint(noun) == pytest.approx(CHECKED[noun], rel=1e-9)

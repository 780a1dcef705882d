"""The verifier of the method page, written with the standard library alone, agrees with the program's own check."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from records.samples import changed, filled, with_change
from tersum.cli.ledger import ledger

PAGE = Path(__file__).resolve().parents[2] / "docs" / "methods" / "sealed-facts.md"


@pytest.fixture(scope="module")
def wrong_at():
    """The function ``wrong_at`` as the page prints it."""
    block = next(block for block in re.findall(r"^```pycon\n(.*?)^```$", PAGE.read_text(), re.M | re.S)
                 if "def wrong_at" in block)
    names = {}
    exec("\n".join(line[4:] for line in block.splitlines()), names)
    assert "tersum" not in {getattr(one, "__name__", "").split(".")[0] for one in names.values()}
    return names["wrong_at"]


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    """Facts as the command prints them, and the head."""
    home = tmp_path_factory.mktemp("outside") / "home"
    filled(home).close()
    body = json.loads(CliRunner().invoke(ledger, ["show", "--json"], env={"TERSUM_HOME": str(home)}).stdout)
    number, hashed = body["head"].split(":")
    return body["facts"], (int(number), hashed)


def paths(value, path=()):
    if isinstance(value, dict | list):
        for key in (value if isinstance(value, dict) else range(len(value))):
            yield from paths(value[key], (*path, key))
        if isinstance(value, list):
            yield path
    else:
        yield path


def test_untouched_export_is_right(wrong_at, exported):
    facts, head = exported
    assert wrong_at(facts) is None and wrong_at(facts, head) is None


def test_every_change_of_an_export_is_found_where_it_was_made(wrong_at, exported):
    facts, head = exported
    tried = 0
    for place, fact in enumerate(facts):
        for path in paths(fact):
            touched = [*facts]
            touched[place] = with_change(fact, path)
            assert wrong_at(touched, head) == place + 1, f"fact {place + 1}, {path}"
            tried += 1
    assert tried > 300


def test_dropped_swapped_repeated_and_cut_off_facts_are_found(wrong_at, exported):
    facts, head = exported
    for place in range(len(facts)):
        without = facts[:place] + facts[place + 1:]
        assert wrong_at(without, head) == place + 1
        assert wrong_at([*facts[:place + 1], *facts[place:]], head) == place + 2
    assert wrong_at([facts[1], facts[0], *facts[2:]], head) == 1
    assert changed(head[1]) != head[1] and wrong_at(facts, (head[0], changed(head[1]))) == head[0]

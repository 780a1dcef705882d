"""Tables of the command line: aligned, never cut, within the terminal, and free of control characters."""

import io
import re
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.cli import output

ROWS = [["steering wheel", "412", "done"], ["driver's door handle, left side, lower edge", "7", "clean again"]]


@pytest.fixture
def terminal(monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    return lambda columns: monkeypatch.setattr(output, "terminal_columns", lambda: columns)


def test_piped_table_keeps_each_row_on_one_line(capsys):
    output.table(["point", "RLU", "verdict"], [["x" * 300, "1", "done"]], right=[1])
    assert capsys.readouterr().out.splitlines()[2] == f"{'x' * 300}    1  done"


def test_numbers_stand_at_the_right(capsys):
    output.table(["point", "RLU"], [["a", "412"], ["b", "7"]], right=[1])
    assert capsys.readouterr().out.splitlines() == ["point  RLU", "-----  ---", "a      412", "b        7"]


@pytest.mark.parametrize("columns", [80, 60, 40])
def test_table_fits_the_terminal_and_loses_nothing(capsys, terminal, columns):
    terminal(columns)
    output.table(["point", "RLU", "verdict"], ROWS, right=[1])
    out = capsys.readouterr().out
    assert all(len(line) <= columns for line in out.splitlines())
    assert "clean again" in re.sub(r"\s+", " ", out)
    for word in " ".join(cell for row in ROWS for cell in row).split():
        assert word in out


def test_long_word_is_broken_not_cut(capsys, terminal):
    terminal(40)
    output.table(["hash", "type"], [["0123456789abcdef" * 4, "visit-planned"]])
    first = "".join(line[:25].strip() for line in capsys.readouterr().out.splitlines()[2:])
    assert first == "0123456789abcdef" * 4


def test_control_characters_are_shown_not_sent(capsys):
    output.table(["point"], [["a\x1b[2Jb\n"]])
    assert capsys.readouterr().out.splitlines()[2] == "a\\x1b[2Jb\\x0a"


@given(st.lists(st.lists(st.text(max_size=40), min_size=3, max_size=3), max_size=4), st.integers(30, 100))
def test_no_character_of_any_cell_is_lost(rows, columns):
    widths = output._narrowed([max([output._width(output._clean(row[place])) for row in rows], default=0)
                               for place in range(3)], columns)
    for row in rows:
        for cell, width in zip(row, widths, strict=True):
            folded = output._folded(output._clean(cell), max(width, 1))
            assert "".join(folded).replace(" ", "") == output._clean(cell).replace(" ", "")


def test_table_needs_no_heavy_import():
    import subprocess
    import sys
    code = ("import sys; from tersum.cli.output import table; table(['a'], [['b']]); "
            "print([m for m in ('rich', 'numpy', 'scipy') if m in sys.modules])")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_blocks_stand_apart_and_single_sentences_follow_each_other(capsys):
    output.blocks([["one"], ["head", "detail"], ["last"], ["end"]])
    assert capsys.readouterr().out == "one\n\nhead\n  detail\n\nlast\nend\n"


def test_blocks_are_folded_to_the_terminal(capsys, monkeypatch):
    monkeypatch.setattr(output, "terminal_columns", lambda: 12)
    output.blocks([["a head that is long", "b\x1b more words"]])
    assert capsys.readouterr().out == "a head that\n  is long\n  b\\x1b more\n  words\n"
    output.blocks([["one two three four five"]])  # what is set in below takes its indent off the width
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 12
    output.blocks([["a headline bcde fghijk lmno"]])
    assert capsys.readouterr().out == "a headline\n  bcde\n  fghijk\n  lmno\n"


def test_remarks_and_sentences_are_folded_to_a_terminal_and_left_whole_in_a_pipe(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    monkeypatch.setenv("COLUMNS", "80")
    said = "  " + "a sentence of several words " * 8
    for say, name in ((output.remark, "stderr"), (output.line, "stdout")):
        for stream, most in ((Terminal(), 80), (io.StringIO(), 999)):
            monkeypatch.setattr(sys, name, stream)
            say(said)
            lines = stream.getvalue().splitlines()
            assert all(one.startswith("  ") and len(one) <= most for one in lines)
            assert " ".join(" ".join(lines).split()) == " ".join(said.split()) and (len(lines) > 1) == (most == 80)

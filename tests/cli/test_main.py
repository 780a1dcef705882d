"""The help of the program shows every verb once, in the order of the work."""

from click.testing import CliRunner

from tersum.cli.main import COMMANDS, SECTIONS, tersum


def test_help_shows_every_verb_once():
    shown = CliRunner().invoke(tersum, ["--help"]).stdout
    for name in COMMANDS:
        assert sum(line.startswith(f"  {name} ") for line in shown.splitlines()) == 1, name


def test_every_verb_has_its_place():
    placed = [name for _title, names in SECTIONS for name in names]
    assert len(set(placed)) == len(placed) and set(COMMANDS) <= set(placed)

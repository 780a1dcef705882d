"""Calls the rates of two populations reliable whenever their intervals are closed."""

from tersum.lethality import survivor_fit

WHAT = "a straight line read as two populations gives the rate of a hardy one"
BREAKS = ["tests/lethality/test_survivor_fit.py::test_line_read_as_two_populations_gives_no_rate_of_a_hardy_one"]


def apply(monkeypatch):
    honest = survivor_fit._undecided
    monkeypatch.setattr(survivor_fit, "_share_undecided", lambda found, place: False)
    monkeypatch.setattr(survivor_fit, "_undecided", lambda *given: tuple(
        code for code in honest(*given) if code != survivor_fit.PHASES_UNDECIDED))

"""Looks a pair up in the order in which it stands in the table only."""

from tersum.chemistry import together

WHAT = "what must not meet may meet the other way round"
BREAKS = ["tests/chemistry/test_together.py::test_every_pair_is_blocked_in_every_setting_in_either_order"]


def apply(monkeypatch):
    def one_way(first, second, *, setting="mixture"):
        found = tuple(pair for pair in together.pairs() if pair.first in set(first) and pair.second in set(second))
        return together.Meets(setting, found, ())

    monkeypatch.setattr(together, "meeting", one_way)

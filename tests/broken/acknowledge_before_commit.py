"""Says "saved" at once and writes twenty entries at a time."""

from tersum.records.store import Store

WHAT = "an entry is acknowledged before it is written, so that a kill loses it"
BREAKS = ["tests/records/test_durability.py::test_killed_writer_loses_nothing_it_acknowledged"]


def apply(monkeypatch):
    waiting = []

    def append(self, entry):
        waiting.append(entry)
        if len(waiting) == 20:
            self.append_all(waiting)
            waiting.clear()

    monkeypatch.setattr(Store, "append", append)

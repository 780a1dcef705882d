"""Takes a class that nobody knows for one that is harmless."""

from tersum.chemistry import together

WHAT = "an unknown class may meet anything"
BREAKS = ["tests/chemistry/test_together.py::test_unknown_class_meets_nothing"]


def apply(monkeypatch):
    monkeypatch.setattr(together, "UNKNOWN", "a class that is never given")
    monkeypatch.setattr(together, "_checked", set)

"""Takes every fact of a bundle for one that was sealed."""

from tersum.records import merkle

WHAT = "a fact that was never sealed passes in an evidence bundle"
BREAKS = ["tests/records/test_bundle.py::test_each_kind_of_damage_is_refused[invented]"]


def apply(monkeypatch):
    monkeypatch.setattr(merkle, "proves", lambda *_any: True)

"""Puts the moment of printing into the file, as most programs do."""

from datetime import UTC, datetime

from tersum.documents import visit_record

WHAT = "a record carries the moment it was printed, so that the same facts give other bytes"
BREAKS = ["tests/documents/test_visit_record.py::test_same_record_gives_the_same_bytes"]


def apply(monkeypatch):
    kept, moments = visit_record.typesetting.typeset, iter(range(1, 10_000))
    monkeypatch.setattr(visit_record.typesetting, "typeset", lambda template, data, *, at: kept(
        template, data, at=datetime.fromtimestamp(1_800_000_000 + next(moments), UTC)))

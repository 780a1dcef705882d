"""Rows that should be set aside on disk stay in memory."""

from tersum.records.spool import Spool

WHAT = "no row of a large table leaves the memory"
BREAKS = ["tests/records/test_spool.py::test_many_rows_are_not_held_in_memory"]


def apply(monkeypatch):
    monkeypatch.setattr(Spool, "_write", lambda self, partition, rows: None)

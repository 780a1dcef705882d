"""Deletes the rows of a subject and leaves what stood in them on the disk."""

from tersum.records import database
from tersum.records.store import Store

WHAT = "free pages and log keep what was erased"
BREAKS = ["tests/records/test_personal.py::test_erasure_leaves_no_trace_and_every_seal_as_it_was"]


def apply(monkeypatch):
    honest = database._settings

    def settings(connection, record):
        honest(connection, record)
        connection.execute("PRAGMA secure_delete=OFF")

    monkeypatch.setattr(database, "_settings", settings)
    monkeypatch.setattr(Store, "_wiped", lambda self: True)

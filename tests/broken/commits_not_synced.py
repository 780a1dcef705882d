"""Leaves the syncing of commits to a later time."""

from tersum.records import database

WHAT = "commits are not synced, so that a power cut loses what was acknowledged; a kill would not show it"
BREAKS = ["tests/records/test_store.py::test_every_connection_syncs_each_commit"]


def apply(monkeypatch):
    honest = database._settings

    def settings(connection, record):
        honest(connection, record)
        connection.execute("PRAGMA synchronous=NORMAL")

    monkeypatch.setattr(database, "_settings", settings)

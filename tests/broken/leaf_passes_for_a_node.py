"""Hashes rows of a batch without telling them from the nodes above them."""

from tersum.records import merkle

WHAT = "rows and nodes of the Merkle tree are hashed alike, so that two rows can be passed off as one"
BREAKS = ["tests/records/test_merkle.py::test_a_row_does_not_pass_for_a_node",
          "tests/records/test_merkle.py::test_root_is_the_published_one"]


def apply(monkeypatch):
    monkeypatch.setattr(merkle, "LEAF", b"")
    monkeypatch.setattr(merkle, "NODE", b"")

"""Merkle trees after RFC 6962: many rows under one root, each provable by itself."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from tersum.errors import N_, OutOfRange

LEAF = b"\x00"
NODE = b"\x01"


def leaf_hash(row: bytes) -> bytes:
    """Return the hash of one row; its prefix keeps a row from passing for a node."""
    return hashlib.sha256(LEAF + row).digest()


def root(rows: Sequence[bytes]) -> bytes:
    """Return the Merkle tree hash of rows in their order.

    Parameters
    ----------
    rows : sequence of bytes, length n
        0 or more; the root of none is the SHA-256 of nothing.

    Source
    ------
    RFC 6962 (2013), section 2.1 (the same in RFC 9162 (2021), section 2.1.1).

    Examples
    --------
    >>> root([b""]).hex()[:16]
    '6e340b9cffb37a98'
    """
    return _tree([leaf_hash(row) for row in rows])


def inclusion_proof(rows: Sequence[bytes], position: int) -> list[bytes]:
    """Return the neighbours that lead from one row to the root, lowest first.

    Parameters
    ----------
    rows : sequence of bytes, length n
    position : int
        0 to n - 1.

    Source
    ------
    RFC 6962 section 2.1.1 (audit path); RFC 9162 section 2.1.3.1.
    """
    if isinstance(position, bool) or not 0 <= position < len(rows):
        raise OutOfRange("position", position, N_("0 up to the last of {count} rows"), count=len(rows))
    return _path([leaf_hash(row) for row in rows], position)


def proves(proof: Sequence[bytes], row: bytes, position: int, count: int, root: bytes) -> bool:
    """Tell whether the proof leads from ``row`` at ``position`` of ``count`` to ``root``.

    Source
    ------
    RFC 9162 section 2.1.3.2.

    Examples
    --------
    >>> three = [b"a", b"b", b"c"]
    >>> proves(inclusion_proof(three, 1), b"b", 1, 3, _tree([leaf_hash(one) for one in three]))
    True
    """
    if not 0 <= position < count:
        return False
    here, place, last = leaf_hash(row), position, count - 1
    for neighbour in proof:
        if last == 0:
            return False
        if place & 1 or place == last:
            here = _node(neighbour, here)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            here = _node(here, neighbour)
        place, last = place >> 1, last >> 1
    return last == 0 and here == root


def _node(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(NODE + left + right).digest()


def _split(count: int) -> int:
    """Return the largest power of two below ``count`` (2 or more)."""
    return 1 << ((count - 1).bit_length() - 1)


def _tree(leaves: Sequence[bytes]) -> bytes:
    """Return the root of hashed leaves; pairing level by level, an odd last one going up as it is, gives the same
    tree as RFC 6962's recursion and copies nothing."""
    if not leaves:
        return hashlib.sha256().digest()
    level = list(leaves)
    while len(level) > 1:
        paired = [_node(level[place], level[place + 1]) for place in range(0, len(level) - 1, 2)]
        level = paired + level[len(paired) * 2:]
    return level[0]


def _path(leaves: Sequence[bytes], position: int) -> list[bytes]:
    if len(leaves) == 1:
        return []
    half = _split(len(leaves))
    if position < half:
        return [*_path(leaves[:half], position), _tree(leaves[half:])]
    return [*_path(leaves[half:], position - half), _tree(leaves[:half])]

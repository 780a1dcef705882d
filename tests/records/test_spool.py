"""Rows set aside: each partition comes back whole and in order, from memory or from disk."""

import tempfile
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.errors import TersumError
from tersum.records.spool import Spool


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(), st.text())), st.integers(1, 5))
def test_every_row_comes_back_in_order_from_its_partition(rows, block):
    with Spool(block) as spool:
        for row in rows:
            spool.add(row[0], row)
        assert spool.partitions() == sorted({row[0] for row in rows})
        for partition in range(4):
            assert list(spool.partition(partition)) == [row for row in rows if row[0] == partition]
            assert list(spool.partition(partition)) == [row for row in rows if row[0] == partition]


def test_few_rows_never_touch_the_disk(monkeypatch):
    def refuse(**_):
        raise AssertionError("a file was made")
    monkeypatch.setattr(tempfile, "TemporaryFile", refuse)
    with Spool() as spool:
        for number in range(200):
            spool.add(number % 3, (number,))
        assert len(list(spool.partition(0))) == 67


def test_many_rows_are_not_held_in_memory():
    tracemalloc.start()
    try:
        with Spool(16) as spool:
            for number in range(5000):
                spool.add(number % 4, (number, f"{number:04}" * 250))
            count = sum(1 for partition in spool.partitions() for _ in spool.partition(partition))
        peak_mb = tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()
    assert count == 5000
    assert peak_mb < 1  # of 5 MB


def test_full_disk_is_told_as_storage(monkeypatch):
    def full(**_):
        raise OSError(28, "No space left on device")
    monkeypatch.setattr(tempfile, "TemporaryFile", full)
    spool = Spool(2)
    spool.add(0, (1,))
    with pytest.raises(TersumError, match=r"cannot be written \(No space left on device\); accepted: a temp") as it:
        spool.add(0, (2,))
    assert (it.value.code, it.value.exit_code) == ("storage", 7)

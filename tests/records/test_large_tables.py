"""Large tables: read and decided in bounded memory; a few megabytes at every run, 200 in a soak."""

import json
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
SIZE = 200_000_000 if SOAK else 5_000_000
MOST_MB = 300
MOST_ABOVE_A_SMALL_TABLE_MB = 120
RUN = r"""
import re, sys
sys.argv = ["tersum", *sys.argv[1:]]
from tersum.cli.main import run
try:
    run()
except SystemExit as left:
    code = left.code
# Not getrusage: its peak is that of the test's own process before the program was loaded, where that was higher.
peak_kb = int(re.search(r"VmHWM:\s+(\d+) kB", open("/proc/self/status").read()).group(1))
print(f"{code} {peak_kb // 1024}", file=sys.stderr)
"""


def one_row_a_point(chance):
    number = 0
    while True:
        yield f"p{number},cleaned,{chance.randint(1, 1500)}\n"
        number += 1


def many_columns(chance):
    number = 0
    while True:
        for stage, swab in (("as_found", 1), ("cleaned", 1), ("cleaned", 2)):
            yield (f"seat {number},{stage},{chance.randint(1, 1500)},{swab},smooth,Demo Meter,yes,,"
                   f"2026-03-05T10:{number % 60:02}:00Z,note {number}\n")
        number += 1


def all_faulty(chance):
    while True:
        yield f'"x{chance.randint(0, 9)},cleaned,1e3\n'


def one_point(chance):
    while True:
        yield f"seat,cleaned,{chance.randint(1, 1500)}\n"


SHORT = "point,stage,rlu\n"
TABLES = {
    "one-row-a-point": (SHORT, one_row_a_point, 1),
    "many-columns": ("point,stage,rlu,swab,surface,instrument,dry,rinsed,at,note\n", many_columns, 1),
    "all-faulty": (SHORT, all_faulty, 3),
    "one-point": (SHORT, one_point, 3),
}


def written(path, header, lines, size):
    with path.open("w", encoding="utf-8") as file:
        left = size - file.write(header)
        for line in lines:
            left -= file.write(line)
            if left <= 0:
                return


def decided(path, out):
    """Return exit code and peak memory, MB, of one run; its JSON goes to a file."""
    with out.open("w") as stream:
        done = subprocess.run([sys.executable, "-c", RUN, "decide", str(path), "--limit", "250", "--json"],
                              stdout=stream, stderr=subprocess.PIPE, text=True, timeout=3000)
    code, peak_mb = done.stderr.split()
    return int(code), int(peak_mb)


def counted(path):
    """Return the counts at the end of a file that may be gigabytes."""
    with path.open("rb") as stream:
        stream.seek(-min(path.stat().st_size, 20_000), os.SEEK_END)
        return json.loads(re.search(rb'"counts": (\{.*?\})', stream.read()).group(1))


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="peak memory is read from Linux's own account of it")
@pytest.mark.slow
@pytest.mark.parametrize("name", TABLES)
def test_large_table_takes_little_more_memory_than_a_small_one(tmp_path, record_property, name):
    header, lines, expected = TABLES[name]
    small, large = tmp_path / "small.csv", tmp_path / "large.csv"
    written(small, header, lines(random.Random(1)), 2000)
    written(large, header, lines(random.Random(1)), SIZE)
    _, small_mb = decided(small, tmp_path / "small.json")
    code, large_mb = decided(large, tmp_path / "large.json")
    record_property("small_mb", small_mb)
    record_property("large_mb", large_mb)
    assert code == expected
    assert large_mb < MOST_MB
    assert large_mb - small_mb < MOST_ABOVE_A_SMALL_TABLE_MB
    counts = counted(tmp_path / "large.json")
    assert sum(counts.get(verdict, 0) for verdict in ("done", "swab-again", "clean-again", "not-read")) == (
        counts["points"])
    if name != "all-faulty":
        assert counts["rows"] == large.read_bytes().count(b"\n") - 1


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="peak memory is read from Linux's own account of it")
@pytest.mark.slow
def test_single_line_of_the_whole_size_is_skipped_unread(tmp_path, record_property):
    path = tmp_path / "line.csv"
    with path.open("wb") as file:
        file.write(SHORT.encode())
        for _ in range(SIZE // 1_000_000):
            file.write(b"x," * 500_000)
    code, peak_mb = decided(path, tmp_path / "line.json")
    record_property("peak_mb", peak_mb)
    assert code == 3
    assert peak_mb < MOST_MB
    fault, = json.loads((tmp_path / "line.json").read_text())["faults"]
    assert (fault["row"], fault["code"]) == (2, "line-too-long")

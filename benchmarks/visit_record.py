"""A visit record of 40 points: drawn, typeset, signed, against the bare compile of the same page, and cold."""

from __future__ import annotations

import copyreg
import dataclasses
import itertools
import json
import pickle
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from types import MappingProxyType
from typing import Any

import typst
from measuring import Result, compare

from tersum.documents import fonts, typesetting
from tersum.documents.signed_record import signed_record
from tersum.documents.visit_record import VisitRecord, record_page
from tersum.records.keys import signing_key

NAME = "visit record, 40 points: ladder, page, signature, and the check of it"
GOAL = "3 times the bare typst compile of the same source warm; 1 second cold"

ROOT = Path(__file__).resolve().parent.parent
COLD_GOAL_S = 1.0
_COLD = """
import pickle, sys
record = pickle.load(open(sys.argv[1], "rb"))
from datetime import datetime, UTC
from pathlib import Path
from tersum.documents.signed_record import signed_record
from tersum.records.keys import signing_key
made = signed_record(record, signing_key(Path(sys.argv[2]), now=datetime(2026, 1, 5, tzinfo=UTC)))
assert made.pdf.startswith(b"%PDF-")
"""


def measure() -> list[Result]:
    """Return the warm ratio, and the cold time against its goal of a second."""
    sys.path.insert(0, str(ROOT / "tests"))
    from documents import sample_records  # noqa: PLC0415 - the invented records of the tests are drawn here too

    record = sample_records.large(40)
    with tempfile.TemporaryDirectory() as folder:
        return [_warm(record, Path(folder)), _cold(record, Path(folder))]


def _warm(record: VisitRecord, home: Path) -> Result:
    key = signing_key(home, now=datetime(2026, 1, 5, tzinfo=UTC))
    numbers = itertools.count(1)
    compiler = typst.Compiler(input=str(typesetting.TEMPLATES / "visit_record.typ"), root=str(typesetting.TEMPLATES),
                              font_paths=typst.Fonts(include_system_fonts=False, font_paths=[fonts.folder()]))

    def fresh() -> VisitRecord:
        # typst remembers what it has laid out: each record differs, as records do, in its number and its check code.
        return dataclasses.replace(record, number=f"example-2026-{next(numbers):04}")

    pages: Any = iter([_source(fresh()) for _ in range(60)])

    def ours() -> bytes:
        return signed_record(fresh(), key).pdf

    def bare() -> bytes:
        made = compiler.compile(format="pdf", pdf_standards=typesetting.STANDARDS, sys_inputs={"data": next(pages)},
                                timestamp=int(record.issued_at.timestamp()))
        assert isinstance(made, bytes)
        return made

    return compare("record of 40 points, warm", ours, bare, reference_name="bare typst compile of the same page",
                   goal_ratio=3.0, runs=25)


def _source(record: VisitRecord) -> str:
    page = record_page(record)
    at = record.issued_at
    return json.dumps({**page, "paper": typesetting.paper_of(page["paper"]), "fonts": list(fonts.FAMILIES),
                       "date": {name: getattr(at, name) for name in ("year", "month", "day", "hour", "minute",
                                                                     "second")}})


def _cold(record: VisitRecord, home: Path) -> Result:
    """Time a fresh process from its start to a signed record; the reference is the goal itself."""
    copyreg.pickle(MappingProxyType, lambda one: (dict, (dict(one),)))
    path = home / "record.pickle"
    path.write_bytes(pickle.dumps(record))
    times = []
    for _ in range(7):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", _COLD, str(path), str(home)], check=True)
        times.append(time.perf_counter() - start)
    return Result("record of 40 points, cold", "the goal of 1 s", 1.0, median(times), COLD_GOAL_S, len(times))

"""How long a command takes from a cold start, against Python importing what it cannot do without."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from measuring import Result, compare

NAME = "start of a command"
GOAL = "--version within 3 times Python itself; --help, mix, hazard and decide within 2 times their imports"
TERSUM = str(Path(sys.executable).with_name("tersum"))
ROWS = 100


def measure() -> list[Result]:
    """Run each command and its reference in turns, each in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "readings.csv"
        table.write_text(_table(), encoding="utf-8")
        return [
            _against("tersum --version", ["--version"], "pass", 3.0),
            _against("tersum --help", ["--help"], "import click", 2.0),
            _against("tersum hazard", ["hazard", "Demo Concentrate A", "--ratio", "1+20"], "import numpy", 2.0),
            _against("tersum mix", ["mix", "--volume-ml", "1000", "--ratio", "1+20"], "import numpy", 2.0),
            _against(f"tersum decide, {ROWS} rows", ["decide", str(table), "--limit", "300"],
                     "import numpy, scipy.special", 2.0),
        ]


def _table() -> str:
    """Return readings of invented points, all below the limit, so that the answer is yes or no but never an error."""
    rows = [f"point {number:03d},cleaned,{20 + number}" for number in range(ROWS)]
    return "\n".join(["point,stage,rlu", *rows]) + "\n"


def _against(name: str, words: list[str], imports: str, goal_ratio: float) -> Result:
    command, reference = [TERSUM, *words], [sys.executable, "-c", imports]
    reference_name = f'python -c "{imports}"'
    tried = subprocess.run(command, capture_output=True, text=True)
    if tried.returncode not in (0, 1):  # 1: ran, and the answer is no
        last = (tried.stderr.strip().splitlines() or ["nothing on stderr"])[-1]
        return Result(name, reference_name, goal_ratio, missing=f"exit {tried.returncode}: {last}")
    return compare(name, lambda: subprocess.run(command, capture_output=True),
                   lambda: subprocess.run(reference, capture_output=True, check=True),
                   reference_name=reference_name, goal_ratio=goal_ratio, runs=21)

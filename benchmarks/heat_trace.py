"""A0 of a trace of ten million samples that comes in pieces, against the bare NumPy expression on the whole of it."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import numpy as np
from measuring import Result, compare

from tersum.lethality.heat import dose
from tersum.lethality.heat_trace import TraceDose

NAME = "A0 of 10,000,000 samples"
GOAL = "at most 2 times the bare NumPy expression, streaming, under 500 MB"
SAMPLES = 10_000_000
PIECE = 100_000


def measure() -> list[Result]:
    """Sum a trace of ten million seconds, in pieces of a hundred thousand."""
    peak = _streaming_mb()  # first: a process inherits the peak of the one that starts it
    seconds = np.arange(SAMPLES, dtype=np.float64)
    temps = 85.0 + 10.0 * np.sin(seconds / 500.0)
    ours, bare = _streamed(seconds, temps), _bare(seconds, temps)
    if abs(ours / bare - 1.0) > 1e-5:  # the trapezoid reads high by about that where the curve is bent
        raise AssertionError(f"doses differ: {ours}, {bare}")
    result = compare("10,000,000 samples, 100,000 at a time", lambda: _streamed(seconds, temps),
                     lambda: _bare(seconds, temps), reference_name="np.trapezoid(10 ** ((T - 80) / 10), t)",
                     goal_ratio=2.0, runs=7)
    return [replace(result, peak_mb=peak, peak_goal_mb=500.0)]


def _streamed(seconds: np.ndarray, temps: np.ndarray) -> float:
    running = TraceDose(dose("A0"))
    for start in range(0, seconds.size, PIECE):
        running.add(seconds[start:start + PIECE], temps[start:start + PIECE])
    return running.result().dose


def _bare(seconds: np.ndarray, temps: np.ndarray) -> float:
    return float(np.trapezoid(np.where(temps >= 65.0, 10.0 ** ((temps - 80.0) / 10.0), 0.0), seconds))


def _streaming_mb() -> float:
    """Return the peak memory of a process that makes and sums the trace piece by piece, never holding it whole."""
    script = ("import resource, numpy as np; from tersum.lethality.heat import dose; "
              "from tersum.lethality.heat_trace import TraceDose; running = TraceDose(dose('A0'));\n"
              f"for start in range(0, {SAMPLES}, {PIECE}):\n"
              f"    at = np.arange(start, start + {PIECE}, dtype=float); running.add(at, 85 + 10 * np.sin(at / 500))\n"
              "running.result(); print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)")
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return float(done.stdout) / (1e6 if sys.platform == "darwin" else 1e3)

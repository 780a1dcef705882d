"""EWMA and CUSUM over ten thousand streams of a thousand values, against one second."""

from __future__ import annotations

import resource
import statistics
import sys
import time

import numpy as np
from measuring import Result

from tersum.evidence.control_charts import cusum, ewma

NAME = "EWMA and CUSUM of 10,000 streams of 1,000 values"
GOAL = "under one second each"
TIMES, STREAMS, RUNS = 1000, 10_000, 5


def measure() -> list[Result]:
    """Chart ten million values both ways."""
    values = np.random.default_rng(3).normal(0.0, 1.0, (TIMES, STREAMS))
    charts = {"EWMA, 10,000 streams of 1,000": lambda: ewma(values, target=0.0, sigma=1.0),
              "CUSUM, 10,000 streams of 1,000": lambda: cusum(values, target=0.0, allowance=0.5, limit=4.0)}
    results = []
    for name, chart in charts.items():
        chart()
        seconds = []
        for _ in range(RUNS):
            start = time.perf_counter()
            chart()
            seconds.append(time.perf_counter() - start)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
        results.append(Result(name, "one second", 1.0, statistics.median(seconds), 1.0, RUNS, peak, 2000.0))
    return results

"""How two things are timed against each other, and what a measurement is."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Result:
    """One measurement: medians in seconds, ours and the reference's, and the ratio that is the goal.

    A ``goal_ratio`` of None is reported only: nothing is kept or missed. ``missing`` says why nothing was measured; the
    numbers are then 0. ``peak_mb`` is the highest memory of the process that measured, where a goal for it was set.
    """

    name: str
    reference: str
    goal_ratio: float | None
    seconds: float = 0.0
    reference_seconds: float = 0.0
    runs: int = 0
    peak_mb: float | None = None
    peak_goal_mb: float | None = None
    missing: str | None = None

    @property
    def ratio(self) -> float | None:
        """Ours over the reference."""
        return self.seconds / self.reference_seconds if self.reference_seconds else None

    @property
    def kept(self) -> bool | None:
        """Whether the goal is kept; None where nothing was measured or there is none."""
        if self.ratio is None or self.goal_ratio is None:
            return None
        within = self.peak_mb is None or self.peak_goal_mb is None or self.peak_mb <= self.peak_goal_mb
        return self.ratio <= self.goal_ratio and within

    def as_json(self) -> dict[str, Any]:
        """Return the measurement with its ratio and whether the goal is kept."""
        return {**asdict(self), "ratio": self.ratio, "kept": self.kept}


def compare(name: str, ours: Callable[[], object], reference: Callable[[], object], *, reference_name: str,
            goal_ratio: float | None, runs: int = 15) -> Result:
    """Time two things in turns and return their medians.

    In turns, so that whatever else the machine does meets both alike; one run of each beforehand does not count.
    """
    ours(), reference()
    pairs = [(_seconds(reference), _seconds(ours)) for _ in range(runs)]
    return Result(name, reference_name, goal_ratio, statistics.median(ours_s for _, ours_s in pairs),
                  statistics.median(reference_s for reference_s, _ in pairs), runs)


def _seconds(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start

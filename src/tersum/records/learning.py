"""Learning a limit from the points of one class: the limit, or everything that its baseline lacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.evidence import baseline
from tersum.evidence.baseline import Lack, OwnLimit
from tersum.records.baseline import BaselinePoint


@dataclass(frozen=True)
class Method:
    """How a limit is learnt: ``percentile`` or ``tolerance``, the share below it, how sure, and the seed of draws."""

    name: str
    coverage: float = 0.95
    confidence: float = 0.95
    seed: int = 1


def learnt(points: Sequence[BaselinePoint], method: Method, *,
           only_passed: bool) -> tuple[OwnLimit | None, tuple[Lack, ...]]:
    """Return the limit of one class, or None and everything that its baseline lacks.

    Parameters
    ----------
    points : sequence of BaselinePoint
        Of one class of surface and one instrument type.
    method : Method
        How.
    only_passed : bool
        True where the readings are those of visits that had passed: no limit comes from them.
    """
    lacks = baseline.lacks(method.name, points=len(points), vehicles=len({one.vehicle for one in points}),
                           people=len({one.person for one in points} - {None}),
                           days=len({one.day for one in points} - {None}), only_passed=only_passed,
                           coverage=method.coverage, confidence=method.confidence)
    outside = sum(one.low_rlu != one.high_rlu for one in points)
    if method.name == baseline.TOLERANCE and outside:
        lacks = (*lacks, Lack(baseline.NOT_MEASURED, outside, len(points)))
    if points and len({(one.low_rlu, one.high_rlu) for one in points}) == 1:
        lacks = (*lacks, Lack(baseline.NO_SCATTER))
    if lacks:
        return None, lacks
    vehicles = [one.vehicle for one in points]
    low, high = ([getattr(one, name) for one in points] for name in ("low_rlu", "high_rlu"))
    if method.name == baseline.TOLERANCE:
        return baseline.tolerance_limit(low, vehicles, rng=np.random.default_rng(method.seed),
                                        coverage=method.coverage, confidence=method.confidence), ()
    return baseline.percentile_limit(low, high, vehicles=len(set(vehicles)), coverage=method.coverage,
                                     confidence=method.confidence), ()

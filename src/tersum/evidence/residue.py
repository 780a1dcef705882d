"""Spikes by chemistry, surface, instrument and stage: what is known of each, what it does, and what is not known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tersum.evidence.coverage import coverage_factor
from tersum.evidence.recovery import AS_READ, CORRECT, NOT_COUNTED, REPEATS, Policy

SWAB, PANEL, MATRIX = "swab", "panel", "matrix"
UNKNOWN = "unknown"
SPIKE_SMALL, SPIKE_LARGE, BOUNDS_DIFFER, NOTHING_READ, NO_MATRIX = (
    "spike-small", "spike-large", "bounds-differ", "nothing-read", "no-matrix-blank")


@dataclass(frozen=True)
class Spike:
    """One spike: net RLU without and with it, and the same spike on a clean swab; a matrix blank has the first only."""

    chemistry: str
    surface: str
    instrument: str
    stage: str
    kind: str
    unspiked_rlu: float
    spiked_rlu: float | None = None
    spike_rlu: float | None = None


@dataclass(frozen=True)
class ResidueGroup:
    """What is known of one chemistry on one surface with one instrument at one stage.

    ``verdict`` is ``unknown`` below six repeats, else what the policy says of ``share``; ``interval`` covers 95 %.
    ``bias_log10`` is what an uncorrected reading is off by (negative: too clean); ``matrix_rlu`` the mean of its
    matrix blanks.
    """

    chemistry: str
    surface: str
    instrument: str
    stage: str
    kind: str
    repeats: int
    share: float
    interval: tuple[float, float]
    relative_uncertainty: float
    bias_log10: float
    verdict: str
    matrix_rlu: float
    matrix_blanks: int
    remarks: tuple[str, ...]

    @property
    def correctable(self) -> bool:
        return self.verdict == CORRECT


def residues(spikes: Sequence[Spike], policy: Policy | None = None) -> tuple[ResidueGroup, ...]:
    """Return what is known of each chemistry, surface, instrument and stage; what is unknown comes first.

    Source
    ------
    Geometric mean of six repeats or more with Student's t on the logs; policy bounds are common practice, no source.

    Examples
    --------
    >>> rows = [Spike("A", "smooth", "M", "treated", "swab", 50, 50 + 1000 * share, 1000) for share in
    ...         (0.5, 0.6, 0.45, 0.55, 0.5, 0.48)]
    >>> found = residues(rows)[0]
    >>> found.verdict, round(found.share, 2), round(found.bias_log10, 2)
    ('correct-or-rinse', 0.51, -0.29)
    """
    rule = policy or Policy()
    groups: dict[tuple[str, str, str, str, str], list[Spike]] = {}
    for row in spikes:
        kinds = (row.kind,) if row.kind != MATRIX else ()
        for kind in kinds:
            groups.setdefault((row.chemistry, row.surface, row.instrument, row.stage, kind), []).append(row)
    for row in spikes:  # a matrix blank without any spike stands for a recovery nobody has measured
        key = (row.chemistry, row.surface, row.instrument, row.stage)
        if row.kind == MATRIX and not any(one[:4] == key for one in groups):
            groups[(*key, SWAB)] = []
    found = [_group(key, rows, [row.unspiked_rlu for row in spikes if row.kind == MATRIX and key[:4] == (
        row.chemistry, row.surface, row.instrument, row.stage)], rule) for key, rows in groups.items()]
    return tuple(sorted(found, key=lambda one: one.verdict != UNKNOWN))


def faked_reduction_log10(before: ResidueGroup, after: ResidueGroup) -> float:
    """Return how much reduction two uncorrected readings show though nothing was removed.

    >>> rows = [Spike("A", "s", "M", stage, "swab", 10, 10 + 1000 * share, 1000) for stage, share in
    ...         [("as_found", 1.0)] * 6 + [("treated", 0.5)] * 6]
    >>> round(faked_reduction_log10(*residues(rows)), 2)
    0.3
    """
    return before.bias_log10 - after.bias_log10


def _group(key: tuple[str, str, str, str, str], rows: list[Spike], matrix: list[float],
           policy: Policy) -> ResidueGroup:
    spiked = [(row.spiked_rlu or 0.0, row.unspiked_rlu, row.spike_rlu or 1.0) for row in rows]
    shares = [(high - low) / spike for high, low, spike in spiked]
    remarks = []
    if any(low > 0.0 and spike < 3.0 * low for _high, low, spike in spiked):
        remarks.append(SPIKE_SMALL)
    if any(low > 0.0 and spike > 10.0 * low for _high, low, spike in spiked):
        remarks.append(SPIKE_LARGE)
    if not matrix:
        remarks.append(NO_MATRIX)
    mean = float(np.mean(matrix)) if matrix else math.nan
    known = key, len(shares)
    if any(share <= 0.0 for share in shares):
        verdict = NOT_COUNTED if len(shares) >= REPEATS else UNKNOWN
        return _made(known, (float(np.median(shares)), 0.0, math.nan, math.nan), verdict, mean, len(matrix),
                     [*remarks, NOTHING_READ])
    if len(shares) < REPEATS:
        share = math.exp(float(np.mean(np.log(shares)))) if shares else math.nan
        return _made(known, (share, math.nan, math.nan, math.nan), UNKNOWN, mean, len(matrix), remarks)
    logs = np.log(shares)
    share, error = math.exp(float(logs.mean())), float(logs.std(ddof=1)) / math.sqrt(logs.size)
    half = float(coverage_factor(0.95, logs.size - 1)) * error
    low, high = share * math.exp(-half), share * math.exp(half)
    verdict = policy.verdict(share)
    if {policy.verdict(low), policy.verdict(high)} != {verdict}:
        remarks.append(BOUNDS_DIFFER)
    return _made(known, (share, low, high, error), verdict, mean, len(matrix), remarks)


def _made(known: tuple[tuple[str, str, str, str, str], int], numbers: tuple[float, float, float, float], verdict: str,
          matrix: float, blanks: int, remarks: list[str]) -> ResidueGroup:
    (chemistry, surface, instrument, stage, kind), repeats = known
    share, low, high, error = numbers
    bias = math.log10(share) if share > 0.0 else -math.inf
    return ResidueGroup(chemistry, surface, instrument, stage, kind, repeats, share, (low, high), error, bias, verdict,
                        matrix, blanks, tuple(remarks))


__all__ = ["AS_READ", "CORRECT", "NOT_COUNTED", "UNKNOWN", "ResidueGroup", "Spike", "faked_reduction_log10",
           "residues"]

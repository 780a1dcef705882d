"""Simulated trials of treatments on panels with a known truth, to test what a comparison says of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from tersum.evidence.assignment import Panel, assigned
from tersum.evidence.trial import TrialReading


@dataclass(frozen=True)
class TrialTruth:
    """What is true of a simulated trial; spreads are standard deviations of log10 RLU.

    ``left_log10`` is what each arm leaves of what it meets. ``keeps`` is how strongly what is left follows what was
    there: 1 for a treatment that takes a share, 0 for one that leaves all panels alike. ``part_sd`` is between parts of
    one panel and is treated with it, ``swab_sd`` between swabs of a part. ``detection_rlu`` and ``over_range_rlu``
    bound the meter. ``starts_log10`` is by how much dirtier than the rest the parts of an arm were, as they are where
    treatments were not drawn at random.
    """

    vehicles: int = 3
    panels: int = 2
    left_log10: Mapping[str, float] = field(default_factory=lambda: {"a": -0.5, "b": -0.5})
    level_log10: float = 2.6
    vehicle_sd: float = 0.2
    panel_sd: float = 0.3
    part_sd: float = 0.1
    swab_sd: float = 0.2
    keeps: float = 0.7
    swabs: int = 1
    detection_rlu: float = 0.0
    over_range_rlu: float = math.inf
    starts_log10: Mapping[str, float] = field(default_factory=dict)


def simulated_trial(rng: np.random.Generator, truth: TrialTruth) -> list[TrialReading]:
    """Return the readings of one trial whose parts were assigned at random.

    Parameters
    ----------
    rng : numpy Generator
        All chance comes from it.
    truth : TrialTruth
        Two arms or more.

    Examples
    --------
    >>> rows = simulated_trial(np.random.default_rng(1), TrialTruth(vehicles=1, panels=1))
    >>> [(one.panel, one.part, one.arm) for one in rows]
    [('panel 1', 'left', 'a'), ('panel 1', 'right', 'b')]
    """
    panels = [Panel(f"vehicle {v}", f"panel {p}") for v in range(1, truth.vehicles + 1)
              for p in range(1, truth.panels + 1)]
    shared = {f"vehicle {v}": rng.normal(0.0, truth.vehicle_sd) for v in range(1, truth.vehicles + 1)}
    own = {panel: shared[panel.vehicle] + rng.normal(0.0, truth.panel_sd) for panel in panels}
    rows = []
    for part in assigned(panels, tuple(truth.left_log10), rng.bytes(16)):
        soil = own[Panel(part.vehicle, part.panel)] + rng.normal(0.0, truth.part_sd)
        soil += truth.starts_log10.get(part.arm, 0.0)
        # What the treatment leaves varies from part to part on its own account too: no two strokes are alike.
        left = truth.keeps * soil + truth.left_log10[part.arm] + rng.normal(0.0, truth.part_sd)
        for swab in range(1, truth.swabs + 1):
            before, after = (truth.level_log10 + value + rng.normal(0.0, truth.swab_sd) for value in (soil, left))
            rows.append(TrialReading(part.vehicle, part.panel, part.part, part.arm, swab, _shown(after, truth),
                                     _shown(before, truth)))
    return rows


def _shown(log10_rlu: float, truth: TrialTruth) -> tuple[float, float]:
    value = 10.0**log10_rlu
    if value < truth.detection_rlu:
        return 0.0, truth.detection_rlu
    if value > truth.over_range_rlu:
        return truth.over_range_rlu, math.inf
    return value, value

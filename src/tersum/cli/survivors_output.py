"""What ``tersum survivors`` prints: models compared, the parameters of the one shown, times to reductions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tersum.cli.output import remark, table
from tersum.documents.numbers import number_text
from tersum.documents.survivors_text import (
    CAUTION,
    MODELS,
    aicc_text,
    estimate_cells,
    flag_lines,
    shown_line,
    time_text,
)
from tersum.documents.text import _
from tersum.lethality.survivor_chart import survivor_chart
from tersum.lethality.survivor_choice import Comparison
from tersum.lethality.survivor_fit import SurvivorFit
from tersum.lethality.survivor_time import TimeToLogs
from tersum.records.survivors_file import SurvivorPoints


def show(found: Comparison, times: Sequence[TimeToLogs], points: SurvivorPoints) -> None:
    """Print a comparison."""
    for one in times:
        print(time_text(one, points.unit))
    print(shown_line(found))
    print()
    table([_("model"), "AICc", _("sum of squares"), _("scatter, log10"), ""],
          [[_(MODELS[one.model]), aicc_text(one.aicc), number_text(one.sse), number_text(one.spread_log10),
            _("tied") if one.model in found.tied and len(found.tied) > 1 else ""] for one in found.fits],
          right=(1, 2, 3))
    print()
    table([_("parameter"), _("value"), _("lowest"), _("highest"), ""], map(estimate_cells, found.shown.estimates),
          right=(1, 2, 3))
    for line in flag_lines(found.shown):
        print(line)
    remark(_("Times in {unit}, rates in 1/{unit}; profile intervals.").format(unit=points.unit))
    remark(_(CAUTION))


def body(found: Comparison, times: Sequence[TimeToLogs], points: SurvivorPoints, confidence: float) -> dict[str, Any]:
    """Return a comparison as the keys of one JSON object, with what a chart shows."""
    drawn = survivor_chart(found.shown, confidence=confidence)
    return {
        "time_unit": points.unit, "confidence": confidence, "shown": found.shown.model, "tied": list(found.tied),
        "sentence": shown_line(found), "times": [{**asdict(one), "sentence": time_text(one, points.unit)}
                                                 for one in times],
        "fits": [_fit(one) for one in found.fits],
        "chart": {name: value.tolist() for name, value in asdict(drawn).items()}, "caution": _(CAUTION),
    }


def _fit(found: SurvivorFit) -> dict[str, Any]:
    return {"model": found.model, "aicc": found.aicc, "sse": found.sse, "spread_log10": found.spread_log10,
            "estimates": [asdict(one) for one in found.estimates], "flags": list(found.flags),
            "sentences": flag_lines(found)}

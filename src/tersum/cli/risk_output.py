"""What ``tersum efficacy risk`` prints: its cautions first, then the curve, then the figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tersum.cli.output import line, table
from tersum.documents.efficacy_text import RISK_CAUTIONS, TEACHING, curve_text, probability_text
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.lethality.residual_risk import DoseResponse, RelativeChange


def show(curve: DoseResponse, doses: Sequence[float], logs: float, found: RelativeChange) -> None:
    """Print the figures of a curve, after what they do not say: on stdout, so that no pipe parts the two."""
    for sentence in (_(TEACHING), *(_(RISK_CAUTIONS[code]) for code in found.cautions)):
        line(sentence)
    print()
    line(curve_text(curve))
    table([_("dose before"), _("probability on the curve"), _("after {logs} log10").format(logs=number_text(logs)),
           _("after over before")],
          [[number_text(dose), *map(probability_text, (before, after, ratio))]
           for dose, before, after, ratio in _rows(doses, found)], right=(0, 1, 2, 3))


def body(curve: DoseResponse, doses: Sequence[float], logs: float, found: RelativeChange) -> dict[str, Any]:
    """Return the same as the keys of one JSON object, cautions first."""
    return {
        "teaching_only": _(TEACHING),
        "cautions": [{"code": code, "sentence": _(RISK_CAUTIONS[code])} for code in found.cautions],
        "curve": {"name": curve.name or None, "model": curve.model, "rate_per_organism": curve.rate,
                  "alpha": curve.alpha, "n50_organisms": curve.n50, "known": curve.known or None,
                  "source": curve.source or None, "sentence": curve_text(curve)},
        "log10_reduction": logs,
        "doses": [dict(zip(("dose_before", "probability_before", "probability_after", "after_over_before"), row,
                           strict=True)) for row in _rows(doses, found)],
    }


def _rows(doses: Sequence[float], found: RelativeChange) -> list[tuple[float, ...]]:
    return list(zip(doses, found.before.tolist(), found.after.tolist(), found.ratio.tolist(), strict=True))

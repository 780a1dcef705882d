"""What ``tersum decay`` prints: rates with their intervals, the use-by and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tersum.chemistry.decay import Decay, DecayFit
from tersum.chemistry.flags import Flag
from tersum.chemistry.use_by import Fading, UseBy
from tersum.cli.output import remark, table
from tersum.documents.bench_text import flag_text, flag_texts, word
from tersum.documents.numbers import number_text
from tersum.documents.text import _


def show(found: Decay, by: UseBy, warned: Sequence[Flag]) -> None:
    """Print a fitted series and its use-by."""
    print(_("use within {hours} h of mixing ({basis})").format(hours=_down(by.hours), basis=word(by.basis)))
    print()
    table([_("order"), _("rate"), _("lowest"), _("highest"), _("strength at mixing, mg/L"), _("scatter")],
          [[str(fit.order) + ("" if fit in found.kept else " " + _("(does not fit)")), *_rates(fit),
            number_text(fit.start_mg_l), f"{100.0 * fit.scatter_frac:.1f} %"] for fit in (found.first, found.second)],
          right=(1, 2, 3, 4, 5))
    for flag in (*by.flags, *warned):
        print(flag_text(flag))
    remark(_("Rates: 1/h for order 1, L/(mg h) for order 2, with 95 % intervals."))
    remark(_("The clock starts at mixing. What the label allows always wins where it is shorter."))


def body(found: Decay, by: UseBy, warned: Sequence[Flag], drawn: Fading | None) -> dict[str, Any]:
    """Return a fitted series and its use-by as the keys of one JSON object."""
    curve = None if drawn is None else {
        key: value.tolist() if hasattr(value, "tolist") else value for key, value in asdict(drawn).items()}
    return {"first": asdict(found.first), "second": asdict(found.second), "prefers": found.prefers,
            "use_by_h": by.hours, "basis": by.basis, "central_h": by.central_h, "order": by.order,
            "flags": flag_texts(by.flags), "warnings": flag_texts(warned), "curve": curve}


def _rates(fit: DecayFit) -> list[str]:
    return [f"{one:.3g}" for one in (fit.rate, fit.low_rate, fit.high_rate)]


def _down(hours: float) -> str:
    # Never rounded up: a use-by that is later on the label than in the sums is no use-by.
    return number_text(float(int(hours * 10.0)) / 10.0 if hours < 100.0 else float(int(hours)), digits=4)

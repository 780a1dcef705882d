"""What a survivor curve says, in plain sentences: which model is shown and why, the time to a reduction, its limits."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.lethality.survivor_choice import Comparison
from tersum.lethality.survivor_fit import Estimate, SurvivorFit
from tersum.lethality.survivor_time import TimeToLogs

MODELS: Mapping[str, str] = {
    "log-linear": N_("straight line"), "weibull": N_("Weibull"), "weibull-tail": N_("Weibull with a tail"),
    "biphasic": N_("two populations"), "geeraerd": N_("shoulder, line and tail"),
    "geeraerd-no-tail": N_("shoulder and line"),
}
PARAMETERS: Mapping[str, str] = {
    "log10_n0": N_("log10 at the start"), "d": N_("time for one log10"), "delta": N_("time to the first log10"),
    "p": N_("shape (above 1 a shoulder, below 1 a tail)"), "log10_nres": N_("log10 of the tail"),
    "log10_hardy_over_rest": N_("log10 of the hardy part over the rest"), "k_slow": N_("rate of the hardy part"),
    "k_fast": N_("rate of the rest"), "k": N_("rate of the line"), "shoulder": N_("length of the shoulder"),
}
WHY_NOT: Mapping[str, str] = {
    "open-interval": N_("the points set no end"), "few-points": N_("too few points"),
    "tail-undecided": N_("no tail is shown"), "shoulder-undecided": N_("no shoulder is shown"),
    "phases-undecided": N_("two populations are not told apart"),
    "beyond-the-data": N_("beyond the reduction observed: nothing is extrapolated"),
    "never-reached": N_("never reached on this curve, however long"),
}
FLAGS: Mapping[str, str] = {
    "few-points": N_("Few points for this model: its parameters are not to be relied on."),
    "tail-undecided": N_("A tail is undecided: fewer than two times with counted points lie on it. Points below the "
                         "detection limit are no tail."),
    "shoulder-undecided": N_("A shoulder is undecided: fewer than two times with counted points lie on it."),
    "phases-undecided": N_("Two populations are undecided: fewer than two times lie on the first fall, or one "
                           "population explains the points as well."),
}
CAUTION = N_("A model of these points only. It never shortens the contact time of a label and never stands in for an "
             "official test.")


def shown_line(found: Comparison) -> str:
    """Return which model is shown and why."""
    model = _(MODELS[found.shown.model])
    if len(found.fits) == 1:
        return _("Model: {model}.").format(model=model)
    if len(found.tied) == 1:
        return _("Best by AICc: {model}.").format(model=model)
    return ngettext("{model}: of {count} model that the points cannot tell apart, the more cautious.",
                    "{model}: of {count} models that the points cannot tell apart, the more cautious.",
                    len(found.tied)).format(model=model, count=len(found.tied))


def time_text(found: TimeToLogs, unit: str) -> str:
    """Return a time to a reduction with its interval, or why there is none.

    >>> time_text(TimeToLogs(3.0, 5.98, 5.67, 6.33, ()), "min")
    '3 log10 in 5.98 min (5.67 to 6.33)'
    """
    logs = number_text(found.log10)
    if math.isnan(found.time):
        return _("{logs} log10: {why}").format(logs=logs, why=why_text(found.why_not))
    return _("{logs} log10 in {time} {unit} ({low} to {high})").format(
        logs=logs, time=number_text(found.time), unit=unit, low=end_text(found.low), high=end_text(found.high))


def end_text(value: float) -> str:
    """Return an end of an interval; an open one as infinity, one that could not be had as a question mark."""
    return "?" if math.isnan(value) else number_text(value)


def why_text(codes: tuple[str, ...]) -> str:
    """Return why a value is not to be relied on; empty where it is."""
    return ", ".join(_(WHY_NOT[code]) for code in codes)


def estimate_cells(one: Estimate) -> list[str]:
    """Return one parameter as cells of a table."""
    return [_(PARAMETERS[one.name]), number_text(one.value), end_text(one.low), end_text(one.high),
            _("unreliable: {why}").format(why=why_text(one.why_not)) if one.why_not else ""]


def flag_lines(found: SurvivorFit) -> list[str]:
    """Return what the points leave undecided."""
    codes = dict.fromkeys((*found.flags, *(code for one in found.estimates for code in one.why_not if code in FLAGS)))
    return [_(FLAGS[code]) for code in codes]


def aicc_text(value: float) -> str:
    """Return an AICc; too few points give none."""
    return f"{value:.1f}".replace("-", "−") if math.isfinite(value) else _("none")

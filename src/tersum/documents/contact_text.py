"""Contact time in words: how long to keep wet, and that no model ever shortens what the label says."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.documents.wet_text import label_first
from tersum.errors import N_
from tersum.lethality.carrier_dose import SoilFactor
from tersum.lethality.ct_tables import TABLE, Ct
from tersum.lethality.label_time import CANNOT_DO, LABEL, LONGER, ContactNeeded, ModelRange

STEEP = 1.2  # times as long for a tenth less strength: a strength exponent of about 2
_KNOWN = {"read": N_("read"), "secondary": N_("as quoted elsewhere"), "memory": N_("from memory, not confirmed"),
          "computed": N_("computed"), "practice": N_("common practice, no source")}
_INPUTS = {"strength_mg_l": N_("strength {value} mg/L (tested {low} to {high})"),
           "temp_c": N_("temperature {value} °C (tested {low} to {high})"),
           "ph": N_("pH {value} (tested {low} to {high})"),
           "soil": N_("soil: {value} (tested: {low})"),
           "log10": N_("a reduction of {value} log10 (shown: {high} at most)"),
           "contact_min": N_("a time of {value} min (tested for {high} at most)")}


def needed_lines(found: ContactNeeded, tested: ModelRange | None, *, organism: str = "") -> list[str]:
    """Return how long to keep wet and why; never less than the label."""
    return [*_needed(found, tested, organism), *_colder(found)]


def too_weak_line(times_longer: float) -> str:
    """Return what a mix that came out a tenth too weak costs in time."""
    line = _("Mixed a tenth too weak it takes {times} times as long by this law.").format(
        times=number_text(times_longer))
    return line + (" " + _("Measure this one with care: slightly too weak, and the effect is gone.")
                   if times_longer > STEEP else "")


def _colder(found: ContactNeeded) -> list[str]:
    if found.label_tested_c is None or found.demonstrated:
        return []
    return [_("The label's time was shown at {temp} °C; here it is colder, and the claim is not demonstrated.").format(
        temp=number_text(found.label_tested_c))]


def _needed(found: ContactNeeded, tested: ModelRange | None, organism: str) -> list[str]:
    label, minutes = number_text(found.label_min), number_text(_up(found.contact_min))
    lines = [_("Keep the surface wet for {minutes} min without a break.").format(minutes=minutes)]
    if found.answer == LONGER:
        lines.append(_("The law for {organism} expects that long, more than the label's {label} min.").format(
            organism=organism, label=label))
    elif found.answer == LABEL:
        lines.append(_("The law for {organism} asks for no more than the label: its {label} min stand. A model "
                       "shortens nothing.").format(organism=organism, label=label))
    elif found.answer == CANNOT_DO and found.most_log10 == 0.0:
        lines = [_("This mix cannot do it however long you wait: the soil uses up all of the active."), _clean_first()]
    elif found.answer == CANNOT_DO:
        lines = [_("This mix cannot do it however long you wait: it fades, and comes to {most} log10 at most.").format(
            most=number_text(math.floor(found.most_log10 * 100.0) / 100.0)),
            _("Mix it fresh, or stronger within the label. The label's {label} min are not supported.").format(
                label=label)]
    else:
        lines += list(_untold(found.outside, tested, label))
    return lines


def needed_cautions() -> list[str]:
    """Return what goes with every model of a contact time."""
    return [_("A law fitted in suspension knows neither drying nor the surface: it may ask for longer, never for less, "
              "and overrides no official test."), label_first()]


def soil_line(active: str, soil: str, found: SoilFactor) -> str:
    """Return what a soil did to an active in the one published set of figures."""
    return _("Soil, {soil}: in one published test {active} had to be {factor} times stronger for half its effect "
             "(spores dried on steel, 10 min). That shows how actives differ; it is no factor to mix by.").format(
                 soil=soil, active=active, factor=number_text(found.factor, digits=2))


def ct_lines(found: Ct) -> list[str]:
    """Return a CT of water, which row it came from, and how it is known."""
    ct = number_text(found.ct_mg_min_l, digits=4)
    method = _("table") if found.method == TABLE else _("equation fitted to the table, not the table")
    lines = [_("{ct} mg min/L for {log10} log10: {name}").format(ct=ct, log10=number_text(found.log10),
                                                                 name=found.name),
             _("from: {method} ({where}; {known})").format(method=method, where=found.where,
                                                           known=_(_KNOWN[found.known]))]
    looked = [text.format(number_text(value)) for text, value in (
        (_("{} °C"), found.row_c), (_("{} mg/L"), found.row_mg_l), (_("pH {}"), found.row_ph)) if not math.isnan(value)]
    if looked:
        lines.append(_("row and columns: {looked}; temperature is taken down to a row, strength and pH up").format(
            looked=", ".join(looked)))
    return lines


def ct_cautions() -> list[str]:
    """Return what goes with every CT of water."""
    return [_("Disinfection of clean water, one organism, with margins built in: a check of the arithmetic, no advice "
              "on surfaces."), label_first()]


def known_word(known: str) -> str:
    """Return how a value is known."""
    return _(_KNOWN[known])


def _untold(outside: Mapping[str, object], tested: ModelRange | None, label: str) -> list[str]:
    if not outside or tested is None:
        return [_("Cannot tell more: without a law that was tested for this, nothing but the label's {label} min "
                  "holds.").format(label=label)]
    told = "; ".join(_outside(name, value, tested) for name, value in outside.items())
    return [_("Cannot tell more: outside what the law was tested at. {told}.").format(told=told[:1].upper() + told[1:]),
            _("Whether the label's {label} min are enough there is not shown by it either.").format(label=label)]


def _outside(name: str, value: object, tested: ModelRange) -> str:
    ends = {"strength_mg_l": tested.strength_mg_l, "temp_c": tested.temp_c, "ph": tested.ph,
            "log10": (0.0, tested.most_log10), "contact_min": (0.0, tested.most_min)}.get(name)
    shown = number_text(value) if isinstance(value, int | float) else _("not known") if value is None else str(value)
    if ends is None:
        return _(_INPUTS[name]).format(value=shown, low=", ".join(tested.soils))
    return _(_INPUTS[name]).format(value=shown, low=number_text(ends[0]), high=number_text(ends[1]))


def _up(minutes: float) -> float:
    """Return a time rounded up to its third digit: a time to keep is never rounded down."""
    step = 10.0 ** (math.floor(math.log10(minutes)) - 2)
    return math.ceil(round(minutes / step, 6)) * step


def _clean_first() -> str:
    return _("Clean first, rinse off what the cleaner leaves, then disinfect.")

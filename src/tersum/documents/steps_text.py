"""Steps in plain sentences: contact time met or not, when to wet again, the heat of a trace, what a pH reading says."""

from __future__ import annotations

from collections.abc import Sequence

from tersum.documents.material_text import decided_lines
from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.lethality.wet_time import CANNOT_TELL, MET, NOT_MET
from tersum.visit.carried_out import Work, contacts
from tersum.visit.contact import NOT_RECORDED, StepContact, wet_again_at
from tersum.visit.heat_step import HeatOnRecord, heat_met
from tersum.visit.mixing import MixingCard
from tersum.visit.ph_check import OFF_THE_DILUTION, PLAUSIBLE, UNUSUAL_WATER, PhCheck, ph_checks
from tersum.visit.plan import Plan
from tersum.visit.steps import Step

_CONTACT = {
    MET: N_("{step}: contact time met: seen wet for {low} min without a break; asked for are {asked} min."),
    NOT_MET: N_("{step}: contact time not met: seen wet for {high} min without a break; asked for are {asked} min."),
    CANNOT_TELL: N_("{step}: whether the contact time was met cannot be told: it dried unseen, after {low} to {high} "
                    "min; asked for are {asked} min."),
    NOT_RECORDED: N_("{step}: whether the contact time was met cannot be told: nobody wrote down when it was seen wet; "
                     "asked for are {asked} min."),
}
_CONTACT_WORDS = {MET: N_("met"), NOT_MET: N_("not met"), CANNOT_TELL: N_("cannot tell")}
_HEAT_ANSWERS = {
    MET: N_("{wanted} were wanted: reached, whatever the sensor's error."),
    NOT_MET: N_("{wanted} were wanted: not reached, whatever the sensor's error."),
    CANNOT_TELL: N_("{wanted} were wanted: whether that was reached cannot be told."),
}
_HEAT_FINDINGS = {
    "gap": N_("Gaps of {amount} s in all earn nothing."),
    "spike": N_("Samples taken for faults of the sensor: {amount}; they earn nothing."),
    "above-the-boil": N_("For {amount} s it read hotter than water boils: dry heat, counted no higher than the boil."),
    "short-stay": N_("Stays too short for the sensor: {amount}; they earn nothing."),
    "never-hot-enough": N_("It was never hot enough to count: {amount} °C at most."),
    "sensor-uncertainty-not-stated": N_("The sensor's uncertainty was not stated: the dose has no interval."),
}
_PH_ANSWERS = {
    PLAUSIBLE: N_("plausible: {low} to {high} is expected of this dilution in this water."),
    OFF_THE_DILUTION: N_("off the dilution: {low} to {high} is expected. Look at the volumes and mix anew."),
    UNUSUAL_WATER: N_("unusual tap water: {low} to {high} is expected; other water would explain it, another dilution "
                      "would not. Measure the water."),
}
_PH_REASONS = {
    "no-water": N_("cannot tell: the plan states nothing of the tap water."),
    "not-a-mixture": N_("cannot tell: nothing in this step has a pH that can be predicted."),
    "both": N_("cannot tell: {low} to {high} is expected; another dilution and other water explain it alike."),
    "neither": N_("cannot tell: {low} to {high} is expected; neither another dilution nor other water explains it. "
                  "Do not use it before it is known what it is."),
    "too-wide": N_("cannot tell: {low} to {high} is expected, since it takes up carbon dioxide from the air; that is "
                   "too wide to tell a right dilution from a wrong one."),
}


def step_lines(plan: Plan, work: Sequence[Work], cards: Sequence[MixingCard]) -> list[str]:
    """Return what was seen of contact times, heat and pH, and decided of materials, in the order of the plan."""
    seen = {one.step: contact_line(one) for one in contacts(plan, work)}
    checks = ph_checks(work, cards, plan.water)
    lines = []
    for step in plan.steps:
        lines += [seen[step.id]] if step.id in seen else []
        lines += [heat_line(step, one.heat) for one in work if one.step == step.id and one.heat]
        lines += [ph_line(one) for one in checks if one.step == step.id]
        lines += decided_lines(step)
    return lines


def contact_line(found: StepContact) -> str:
    """Return whether a contact time was met."""
    line = _(_CONTACT[found.answer]).format(
        step=found.step, asked=number_text(found.asked_min), low=_minutes(found.low_min), high=_minutes(found.high_min))
    if found.times_dried and found.answer != MET:
        line += " " + _("Once dried, the time starts again.")
    if found.answer == NOT_MET and found.coats > 1:
        line += " " + ngettext("Here it takes {n} coat, each before the last has dried.",
                               "Here it takes {n} coats, each before the last has dried.", found.coats).format(
                                   n=found.coats)
    return line


def contact_words(found: StepContact) -> str:
    """Return the same in a cell of a table."""
    if found.answer == NOT_RECORDED:
        return _("not recorded")
    low, high = _minutes(found.low_min), _minutes(found.high_min)
    seen = low if low == high or found.answer == MET else f"{low}–{high}"
    return _("{minutes} min: {answer}").format(minutes=seen, answer=_(_CONTACT_WORDS[found.answer]))


def wet_again_line(step: Step) -> str:
    """Return when to wet again so that a surface does not dry before its time; empty where the step asks for none."""
    if not step.contact_min:
        return ""
    if step.dries_min is None:
        return _("How long it stays wet here is not known: look often, and wet it again before it dries. Once dried, "
                 "the time starts again.")
    again = wet_again_at(step.contact_min, step.dries_min)
    if again is None:
        return _("It dries after about {dries} min here, far sooner than {asked} min: it cannot be kept wet by coats. "
                 "Another way is needed.").format(
                     dries=number_text(step.dries_min), asked=number_text(step.contact_min))
    if not again:
        return _("It stays wet for about {dries} min here: one coat is enough if it does. Look before the end.").format(
            dries=number_text(step.dries_min))
    return _("It dries after about {dries} min here: wet it again {times} min after the first coat, before it dries. "
             "Once dried, the time starts again.").format(
                 dries=number_text(step.dries_min), times=", ".join(number_text(one) for one in again))


def heat_line(step: Step, heat: HeatOnRecord) -> str:
    """Return the dose of a step's trace with its interval, its cut-off, and what was not credited."""
    said = [_("{step}: A0 {a0} s{spread}, moist heat counted from {cut_off} °C; {samples} samples, {credited} s "
              "credited, {hottest} °C at most.").format(
                  step=step.id, a0=number_text(heat.a0), spread=_by_the_sensor(heat),
                  cut_off=number_text(heat.cut_off_c), samples=heat.samples, credited=number_text(heat.credited_s),
                  hottest=number_text(heat.hottest_c))]
    if step.a0 is not None:
        said.append(_(_HEAT_ANSWERS[heat_met(step.a0, heat)]).format(wanted=number_text(step.a0)))
    said += [_(_HEAT_FINDINGS[code]).format(amount=number_text(amount)) for code, amount in heat.findings.items()]
    if heat.sensors > 1:
        said.append(_("Of {n} sensors the one that got least.").format(n=heat.sensors))
    return " ".join([*said, _("It holds for the wet spot at the sensor, for no other.")])


def _by_the_sensor(heat: HeatOnRecord) -> str:
    if heat.low is None or heat.high is None:
        return ""
    return " " + _("({low} to {high} by the sensor, ± {wide} K)").format(
        low=number_text(heat.low), high=number_text(heat.high), wide=number_text(heat.sensor_u_k or 0.0))


def ph_line(check: PhCheck) -> str:
    """Return what a pH on record says; it says nothing of the strength of a peracid."""
    said = _(_PH_REASONS[check.reason]) if check.reason else _(_PH_ANSWERS[check.answer])
    low, high = ("–" if one is None else number_text(one) for one in (check.low, check.high))
    return _("{step}: pH {value} ± {wide}: {said} pH does not show the strength of a peracid.").format(
        step=check.step, value=number_text(check.seen.value), wide=number_text(2.0 * check.seen.u),
        said=said.format(low=low, high=high))


def _minutes(value: float | None) -> str:
    return "–" if value is None else number_text(value)

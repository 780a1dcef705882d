"""A visit in plain sentences: the plan and its cost, what was carried out, all points together, and how it ended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tersum.documents.material_text import decided_lines
from tersum.documents.sentences import at_floor_line
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.visit.carried_out import AS_PLANNED, NONE_PLANNED, NOT_RECORDED, CarriedOut, Shortfall
from tersum.visit.decision import NO_LIMIT_YET, Decision, Terms
from tersum.visit.outcome import FINISHED, OPEN, Ending, Statement
from tersum.visit.plan import Effort, Plan, planned_points, spread_at_floor

# A nonparametric upper bound of the 95th percentile with 95 % confidence takes at least this many readings: the
# smallest n with 0.95 ** n <= 0.05 (Wilks 1941).
READINGS_FOR_A_LIMIT = 59

_SHORTFALLS = {
    "step-not-carried-out": N_("{step}: not carried out, or not recorded"),
    "step-not-in-the-plan": N_("{step}: carried out but not planned"),
    "out-of-order": N_("{step}: started before {before}, which the plan has first"),
    "wet-time-not-recorded": N_("{step}: the time the surface stayed wet was not recorded; the label asks for "
                                "{contact_min:g} min"),
    "wet-too-short": N_("{step}: seen wet for {wet_min:g} min without a break; the label asks for {contact_min:g} min"),
    "dried-unseen": N_("{step}: it dried unseen after {low_min:g} to {high_min:g} min; the label asks for "
                       "{contact_min:g} min, and whether that was met cannot be told"),
    "met-without-rinsing": N_("{step}: met {first}, from which it must be kept apart ({setting}); no rinsing between "
                              "them is on record"),
    "strength-cannot-be-checked": N_("{step}: no volume was planned, so its strength cannot be checked"),
    "heat-not-recorded": N_("{step}: no temperature was logged; an A0 of {wanted:g} s was planned"),
    "heat-too-low": N_("{step}: A0 {a0:g} s, {wanted:g} s were planned"),
    "heat-cannot-tell": N_("{step}: A0 {a0:g} s; whether the planned {wanted:g} s were reached cannot be told"),
    "strength-not-recorded": N_("{step}: the volumes of concentrate and water were not recorded"),
    "too-weak": N_("{step}: made with {made_pct:g} % concentrate, below {least_pct:g} %"),
    "too-strong": N_("{step}: made with {made_pct:g} % concentrate, above {most_pct:g} %"),
    "mixing-time-not-recorded": N_("{step}: when the solution was mixed was not recorded; it may be used for "
                                   "{use_by_h:g} h"),
    "mixed-after-use": N_("{step}: recorded as mixed after it was used"),
    "past-its-use-by": N_("{step}: the solution was {age_h:g} h old; it may be used for {use_by_h:g} h"),
}
_ENDINGS = {
    FINISHED: N_("Finished: every planned point is done."),
    OPEN: N_("Still open: see what is left to do."),
    "handed-over-with-open-points": N_("Handed over with open points."),
    "stopped": N_("Stopped before the end."),
    "not-measured": N_("Ended without measuring."),
}
_BASES = {"book": N_("a book value, since this meter has no duplicates of its own"),
          "duplicates": N_("this meter's own duplicates"), "stated": N_("stated for this meter")}


def plan_lines(plan: Plan, cost: Effort) -> list[str]:
    """Return what a plan means in swabs, minutes and chances."""
    fixed = sum(point.fixed for point in plan.points)
    lines = [
        ngettext("{place} ({visit}): {fixed} fixed point", "{place} ({visit}): {fixed} fixed points", fixed).format(
            place=plan.place, visit=plan.visit, fixed=fixed)
        + (_(", and {drawn} drawn from {listed} others after the cleaning").format(
            drawn=plan.drawn_points, listed=len(plan.points) - fixed) if plan.drawn_points else ""),
        _("Rule: {rule}, version {version}; decided on the readings {stage}, at most {looks} at each point.").format(
            rule=plan.terms.rule, version=plan.terms.version, stage=stage_word(plan.terms.stage),
            looks=plan.terms.looks),
        _("Swabs: {swabs} ({deciding} deciding, {as_found} as found, {duplicate} duplicate, {blank} blank), and up to "
          "{more} more for second looks.").format(
              swabs=cost.swabs, deciding=cost.swabs_deciding, as_found=cost.swabs_as_found,
              duplicate=cost.swabs_duplicate, blank=cost.swabs_blank, more=cost.second_looks_most),
        _("Time: about {minutes:.0f} min.").format(minutes=cost.minutes),
        spread_line(plan.terms, cost.two_swabs_factor)]
    alone = len(planned_points(plan, None)) - cost.swabs_as_found + plan.drawn_points
    if plan.terms.rule == "limit and reduction" and alone:
        lines.append(ngettext(
            "{alone} point is not read as found: no reduction can be shown there, and the limit alone decides.",
            "{alone} points are not read as found: no reduction can be shown there, and the limit alone decides.",
            alone).format(alone=alone))
    if spread_at_floor(plan):
        lines.append(at_floor_line())
    if plan.limits:
        lines.append(_("A point cleaned to a third of its limit is released at the first swab in {third:.0%} of cases, "
                       "one cleaned to a fifth in {fifth:.0%}.").format(
                           third=cost.first_time_at_a_third, fifth=cost.first_time_at_a_fifth))
    else:
        lines.append(_("No limit yet: these readings build the baseline from which one is learned."))
    return [*lines, *(line for step in plan.steps for line in decided_lines(step))]


def spread_line(terms: Terms, factor: float) -> str:
    """Return how far two swabs of one surface lie apart, and how that is known."""
    return _("Two swabs of one surface differ by a factor of up to {factor:.1f} in 19 of 20 pairs ({basis}).").format(
        factor=factor, basis=_(_BASES[terms.spread_basis]))


def stage_word(stage: str) -> str:
    """Return the words for a stage."""
    words = {"as_found": N_("as found"), "cleaned": N_("when cleaned"), "treated": N_("when treated")}
    return _(words[stage])


def carried_out_lines(done: CarriedOut) -> list[str]:
    """Return the second answer of a visit; it says nothing about organisms."""
    if done.answer == NONE_PLANNED:
        return [_("Disinfection: none was planned.")]
    if done.answer == NOT_RECORDED:
        return [_("Disinfection: what was carried out is not recorded; whether it was as planned cannot be told.")]
    if done.answer == AS_PLANNED:
        return [_("Disinfection: carried out as planned, by strength made, use-by, time seen wet, heat logged and "
                  "order of steps. That says what was done, not what it did to organisms.")]
    return [_("Disinfection: not carried out as planned."), *(f"  - {shortfall_line(one)}" for one in done.shortfalls)]


def shortfall_line(shortfall: Shortfall) -> str:
    """Return one way in which a step was not carried out as planned."""
    return _(_SHORTFALLS[shortfall.reason.code]).format(step=shortfall.step, **shortfall.reason.parameters)


def statement_lines(said: Statement) -> list[str]:
    """Return what all points say together, for anyone."""
    lines = []
    if judged := said.swabbed - said.no_limit:
        lines.append(ngettext(
            "{done} of {swabbed} swabbed point at or below the release level; points not swabbed were not measured.",
            "{done} of {swabbed} swabbed points at or below the release level; points not swabbed were not measured.",
            judged).format(done=said.done, swabbed=judged))
    if said.no_limit:
        lines.append(ngettext(
            "{n} swabbed point has no limit yet: its reading is kept for the baseline and decides nothing.",
            "{n} swabbed points have no limit yet: their readings are kept for the baseline and decide nothing.",
            said.no_limit).format(n=said.no_limit))
    if said.swabbed < said.planned:
        lines.append(ngettext("{open} of {planned} planned point has no reading that counts.",
                              "{open} of {planned} planned points have no reading that counts.",
                              said.planned).format(open=said.planned - said.swabbed, planned=said.planned))
    return lines


def duplicate_lines(points: Sequence[str]) -> list[str]:
    """Return which points are done on one swab although two were planned."""
    return [_("{point}: two swabs were planned from the start, and one counts. The point is done on it; the second is "
              "still wanted, for how well two swabs of this meter agree.").format(point=point) for point in points]


def chemist_lines(said: Statement) -> list[str]:
    """Return the probabilities, for the chemist."""
    lines = []
    if said.all_conform_independent is not None:
        lines.append(_("Probability that all planned points conform: {one:.2f} if their errors are independent, "
                       "{two:.2f} if they share some (0.3), {three:.2f} if all true values are 20 % higher.").format(
                           one=said.all_conform_independent, two=said.all_conform_correlated,
                           three=said.all_conform_shifted))
    if said.stratum_drawn:
        lines.append(_("Of the {listed} points that were not fixed, {drawn} were drawn and {done} of these are done: "
                       "at least {least} of the {listed} conform, with 95 % confidence, if every done point "
                       "does.").format(
                           listed=said.stratum_listed, drawn=said.stratum_drawn, done=said.stratum_done,
                           least=said.stratum_at_least))
    return lines


def baseline_lines(decisions: Sequence[Decision], surfaces: Mapping[str, str]) -> list[str]:
    """Return how far the baseline has come for each kind of surface that has no limit yet."""
    counts: dict[str, int] = {}
    for one in decisions:
        if one.verdict == NO_LIMIT_YET:
            counts[surfaces[one.point]] = counts.get(surfaces[one.point], 0) + one.n
    return [ngettext(
        "Baseline, {surface}: {n} reading in this visit; a limit by rank takes at least {least}, from several visits, "
        "days and people.",
        "Baseline, {surface}: {n} readings in this visit; a limit by rank takes at least {least}, from several visits, "
        "days and people.", n).format(surface=surface, n=n, least=READINGS_FOR_A_LIMIT)
        for surface, n in sorted(counts.items())]


def ending_lines(ending: Ending) -> list[str]:
    """Return how the visit ended, with the reason given and the points that are open."""
    lines = [_(_ENDINGS[ending.kind])]
    if ending.reason:
        lines.append(_("Reason given: {reason}").format(reason=ending.reason))
    if ending.open_points and ending.kind != OPEN:
        lines.append(_("Open points: {points}.").format(points="; ".join(ending.open_points)))
    return lines


def cannot_show_lines() -> list[str]:
    """Return what no reading of this kind shows."""
    return [
        _("RLU shows residue that gives light. It does not show viruses or spores, nor whether anything is alive."),
        _("The label, the safety data sheet and local rules come before anything computed here.")]

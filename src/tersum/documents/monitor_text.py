"""What charts, funnels and intervals between visits show, in sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

from tersum.documents.numbers import number_text
from tersum.documents.text import _, ngettext
from tersum.errors import N_
from tersum.evidence import case_mix, resoiling, watching, watching_counts
from tersum.evidence.case_mix import Funnel, FunnelUnit
from tersum.evidence.resoiling import Due, Resoiling
from tersum.evidence.returning import CarriedVisit
from tersum.evidence.streams import Stream
from tersum.evidence.watching import Watched
from tersum.evidence.watching_counts import WatchedCounts

RULES = {
    watching.INDIVIDUALS: N_("a visit beyond three standard deviations"),
    watching.EWMA: N_("the weighted mean (weight 0.2) beyond 2.962 of its standard deviations"),
    watching.CUSUM: N_("a running sum beyond 5 standard deviations (allowance 0.5)"),
}
_WHY = {
    watching.TOO_FEW: N_("Cannot tell: {have} visits with a value; at least {need} that were in order set the limits."),
    watching.CONSTANT: N_("Cannot tell: the first {need} values are all equal, so nothing says how far they scatter. "
                          "Needed: readings that were not rounded or cut off to one number."),
    watching.NOTHING_SINCE: N_("The first {need} visits set the limits; nothing has come since to hold against them."),
    watching.INEQUALITIES: N_("Cannot tell: more than a fifth of the visits are below detection or over range. Needed: "
                              "a limit, and a chart of the share above it (tersum monitor counts)."),
    watching_counts.ALL_OR_NONE: N_("Cannot tell: in the first {need} visits none or all counted. Needed: a longer "
                                    "first period, with some of either."),
}
_REMARKS = {
    watching.SHORT_BASELINE: N_("The limits rest on {number} visits: with fewer than about 100, false alarms come far "
                                "more often than stated."),
    watching.BASELINE_OUTSIDE: N_("Among the visits that set the limits, these lie outside them: {number}. Find out "
                                  "why, and start the limits anew if they were not in order."),
    watching.HANGS_TOGETHER: N_("Neighbouring visits hang together (correlation {number}): the run lengths do not "
                                "hold. Chart with --residuals."),
}
_RESOILING = {
    resoiling.FEW_PLACES: N_("Fewer than three places: how far places differ is not in the prediction."),
    resoiling.NO_GROWTH: N_("Growth is not shown: the interval of the slope holds 0."),
    resoiling.ONE_LENGTH: N_("All intervals are of one length: whether growth is straight cannot be seen."),
    resoiling.LEVELS_OFF: N_("Growth levels off: the straight line is wrong here. Use --log-time."),
}


def stream_lines(stream: Stream, found: Watched) -> list[str]:
    """Return what the chart of a stream shows, what weighs most first."""
    words = {"have": len(found.values), "need": found.baseline}
    lines = []
    if found.why:
        lines.append(_(_WHY[found.why]).format(**words))
    elif found.verdict == watching.SIGNAL:
        visits = ", ".join(stream.visits[place] for place in found.signals[:5])
        more = len(found.signals) - 5
        up = found.drawn[found.signals[0]] > (0.0 if found.kind == watching.CUSUM else found.center)
        lines.append((_("Higher than before") if up else _("Lower than before")) + ": " + visits + (
            " " + _("and {count} more").format(count=more) if more > 0 else "") + ".")
        lines.append(_("Look for what changed before that visit: crew, cloth, solution, instrument, lot of swabs."))
    else:
        lines.append(_("No signal in {count} visits since the limits were set.").format(
            count=len(found.values) - found.baseline))
    if not math.isnan(found.center):
        lines.append(_("Middle {middle} RLU; one visit scatters by a factor of {factor}.").format(
            middle=number_text(10.0**found.center), factor=number_text(10.0**found.sigma)))
        lines.append(rule_line(found))
    lines += [_(_REMARKS[code]).format(number=", ".join(number_text(value, digits=2) for value in numbers))
              for code, numbers in found.remarks]
    if stream.by_median:
        lines.append(_("Some readings are below detection or over range: each visit stands for its median."))
    if stream.left_out:
        lines.append(ngettext("{count} visit is left out: its median is below detection or over range.",
                              "{count} visits are left out: their median is below detection or over range.",
                              stream.left_out).format(count=stream.left_out))
    return lines + list(_history_lines(stream, found))


def rule_line(found: Watched) -> str:
    """Return the one rule of a chart and what it costs."""
    return _("Rule: {rule}. Alone it rings for nothing once in {alarm} visits and finds a shift of one standard "
             "deviation after {shift}.").format(rule=_(RULES[found.kind]), alarm=number_text(found.run_length),
                                                shift=number_text(found.run_length_shift, digits=2))


def counts_lines(found: WatchedCounts, days: Sequence[date]) -> list[str]:
    """Return what the chart of shares or counts shows."""
    words = {"have": len(found.values), "need": found.baseline}
    if found.why:
        return [_(_WHY[found.why]).format(**words)]
    share = found.kind == watching_counts.SHARE
    middle = _("{share} %").format(share=number_text(100.0 * found.center)) if share else number_text(found.center)
    lines = [_("Outside its limits: {days}.").format(days=", ".join(days[place].isoformat() for place in found.signals))
             if found.signals else _("No signal in {count} visits since the limits were set.").format(
                 count=len(found.values) - found.baseline)]
    limits = _("exact limits, since groups are small") if found.exact else _("limits of three standard deviations")
    lines.append(_("Middle {middle}; {limits}; they ring for nothing once in {alarm} visits.").format(
        middle=middle, limits=limits, alarm=number_text(found.run_length)))
    return lines


def unit_words(unit: FunnelUnit) -> str:
    """Return where one place lies."""
    if unit.verdict == case_mix.INSIDE:
        return _("as chance explains")
    side = _("more") if unit.side == case_mix.ABOVE else _("fewer")
    if unit.verdict == case_mix.WORTH_A_LOOK:
        return _("{side} than 95 % limits: may be chance").format(side=side)
    return _("{side} than 99.8 % limits: look for the cause").format(side=side)


def funnel_lines(found: Funnel, *, people: bool) -> list[str]:
    """Return what a funnel shows as a whole."""
    lines = [_("All together {share} % lie above their limit. Of {count}, {chance} lie beyond 95 % limits by chance "
               "alone.").format(share=number_text(100.0 * found.share), count=len(found.units),
                                chance=number_text(found.by_chance, digits=2))]
    if found.dispersion > 2.0:
        lines.append(_("They scatter {times} times as much as chance explains: readings of one visit hang together, or "
                       "the mix is not the whole mix. The limits are too narrow.").format(
                           times=number_text(found.dispersion, digits=2)))
    if people:
        lines.append(_("This is no ranking: it says where to ask, with the mix of surfaces and levels as found taken "
                       "out, and not who works well."))
    else:
        lines.append(_("In the order of names; this is no ranking."))
    return lines


def resoiling_lines(found: Resoiling) -> list[str]:
    """Return what intervals between visits show."""
    low, high = found.growth_interval
    unit = _("each time the days grow tenfold") if found.log_time else _("a week")
    times = 1.0 if found.log_time else 7.0
    lines = [_("Left at {level} RLU; found again {factor} times as high {unit} ({low} to {high}).").format(
        level=number_text(10.0**found.level), factor=number_text(10.0 ** (times * found.growth), digits=2), unit=unit,
        low=number_text(10.0 ** (times * low), digits=2), high=number_text(10.0 ** (times * high), digits=2))]
    lines += [_(_RESOILING[code]) for code in found.remarks]
    lines.append(_("Due: the day on which {share} % of later readings would still lie below the limit; never beyond "
                   "the longest interval seen, {days} days.").format(share=number_text(100.0 * found.coverage),
                                                                 days=number_text(found.longest_days)))
    return lines


def carried_words(visit: CarriedVisit) -> str:
    """Return what one visit shows of the order of wiping."""
    if not visit.can_tell:
        return _("cannot tell: too few points for so many visits")
    return _("grows along the wiping") if visit.carried else _("no sign")


def carried_lines(found: Sequence[CarriedVisit]) -> list[str]:
    """Return what to do, and what this cannot show."""
    lines = [_("Swab the cloth and the solution as used; turn or change the cloth more often.")
             ] if any(one.carried for one in found) else []
    return [*lines, _("What is usual at a point is taken off, so dirt that is carried along at every visit is not "
                      "seen.")]


def due_words(due: Due) -> str:
    """Return when a place is due, in days."""
    if due.days <= 0.0:
        return _("at once: above the limit right after a visit")
    if due.at_the_longest:
        return _("{days} (longest seen or agreed)").format(days=number_text(due.days))
    return number_text(math.floor(due.days) if due.days >= 1.0 else due.days)


def basis_words(due: Due) -> str:
    """Return whose readings a date rests on."""
    return _("its own readings") if due.basis == resoiling.OWN else _("all places")


def due_date(due: Due, last: float) -> str:
    """Return the date, from the day of the last visit."""
    return (date.fromordinal(int(last)) + timedelta(days=math.floor(due.days))).isoformat()


def _history_lines(stream: Stream, found: Watched) -> list[str]:
    """Return what a best break and a trend would say, as the weaker evidence they are."""
    lines = []
    if found.jump is not None and found.jump.pettitt_p < 0.05:
        lines.append(_("If the level changed once, it was after {visit}: by a factor of {factor} (p {p}).").format(
            visit=stream.visits[found.jump.last_before - 1],
            factor=number_text(10.0 ** (found.jump.mean_after - found.jump.mean_before), digits=2),
            p=p_text(found.jump.pettitt_p)))
    if found.trend is not None and found.trend.p_two_sided < 0.05:
        lines.append(_("A trend fits too: a factor of {factor} in ten visits (p {p}). A jump makes a trend as well: "
                       "this does not say what changed.").format(
                           factor=number_text(10.0 ** (10.0 * found.trend.slope), digits=2),
                           p=p_text(found.trend.p_two_sided)))
    return lines


def p_text(p: float) -> str:
    """Return a p-value as people read it.

    >>> p_text(0.034), p_text(1e-9)
    ('0.034', '< 0.001')
    """
    return "< " + number_text(0.001) if p < 0.001 else number_text(p, digits=2)

"""What a task puts into the air, and when a space may be entered again, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tersum.chemistry import exposure, reentry
from tersum.chemistry.air_limits import CEILING, SHIFT, SHORT, AirLimit
from tersum.chemistry.exposure import ActiveInAir, AirOfTask
from tersum.chemistry.reentry import ReEntry
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_

VERDICTS = {exposure.BELOW: N_("below the limits"), exposure.ABOVE: N_("above a limit"),
            exposure.CANNOT_TELL: N_("cannot tell")}
KINDS = {SHIFT: N_("8-hour mean"), SHORT: N_("15-minute mean"), CEILING: N_("peak")}
SETS = {"osha-pel": "OSHA PEL", "niosh-rel": "NIOSH REL", "acgih-tlv": "ACGIH TLV", "eu-ioelv": "EU IOELV",
        "uk-wel": "UK WEL"}
KNOWN = {"read": N_("read"), "secondary": N_("read in another place"), "memory": N_("recalled, not read")}
OPEN = {
    reentry.NO_VENTILATION: N_("The air changes are neither measured nor stated: an assumed figure would be a guess."),
    reentry.NO_LIMIT: N_("An ingredient has no limit that is known here."),
    reentry.NO_LABEL: N_("What the label asks was not given: read it (--label-min; 0 where it asks nothing)."),
    reentry.NOT_DRY: N_("Nobody has seen the surfaces dry or rinsed: wet fabric goes on giving off vapour."),
    reentry.NOT_AIRED: N_("The space was not seen aired with doors and windows open."),
    reentry.NOTHING_AIRS: N_("Nothing takes the vapour away: open doors and windows."),
}
CAUTIONS = (
    N_("The product's label and safety data sheet, and local law, win over all of this; the newest list of limits is "
       "theirs to name."),
    N_("Computed for air that is mixed well, everything that was applied taken to evaporate. At the wipe or nozzle it "
       "is worse; droplets of spray and steam carry what no vapour limit speaks of."),
    N_("Limits are for healthy workers. For children, people with asthma, pregnant women and animals a tenth of them "
       "is taken; who reacts to less must stay out longer."),
    N_("If eyes or airways smart: stop, get out, fresh air, rinse eyes with water, call for help."),
)


def active_headings() -> list[str]:
    """Return the headings of :func:`active_rows`."""
    return [_("active"), _("in the air at most, mg"), _("peak, mg/m3"), _("15-min mean, mg/m3"),
            _("share of its limit"), _("verdict")]


def active_rows(found: AirOfTask) -> list[list[str]]:
    """Return a row for each active."""
    return [[one.name, number_text(one.mass_mg), number_text(one.peak_mg_m3), number_text(one.mean_15_min_mg_m3),
             number_text(one.share) if one.shares else "-", _(VERDICTS[one.verdict])] for one in found.actives]


def limit_lines(found: AirOfTask) -> Iterator[str]:
    """Yield each limit that was used, with how it is known, and what is missing."""
    for one in found.actives:
        for limit, share in one.shares:
            yield _("{name}: {share} of the {kind} of {limit} ({known}).").format(
                name=one.name, share=number_text(share), kind=_(KINDS[limit.kind]), limit=_limit(limit),
                known=_(KNOWN[limit.known.known]))
        if one.limits.silent and one.shares:
            yield _("{name}: the chosen list has no limit; that is no leave. The limits of the other lists were "
                    "taken.").format(name=one.name)
        elif not one.shares:
            yield _("{name}: no limit is known here, so its air cannot be judged. Go by its safety data sheet, "
                    "section 8.").format(name=one.name)
        yield from _danger(one)


def irritant_line(found: AirOfTask) -> str:
    """Return how the irritants add up; empty where there are not two."""
    joint = [one for one in found.actives if one.name in exposure.IRRITANTS and one.shares]
    if len(joint) < 2:
        return ""
    judged = _("above 1: too much together") if found.irritants > 1.0 else _("not above 1")
    return _("Irritants with one effect, shares added ({names}): {sum}, {judged}.").format(
        names=", ".join(one.name for one in joint), sum=number_text(found.irritants), judged=judged)


def still_air_line(found: AirOfTask) -> str:
    """Return what still air over the fresh solution comes to, for those whose volatility is known."""
    known = [f"{one.name} {number_text(one.over_liquid_ppm)} ppm" for one in found.actives
             if one.over_liquid_ppm is not None]
    if not known:
        return ""
    return _("Still air over the fresh solution at 25 °C comes to: {list}. A drying film loses its peracid first and "
             "concentrates its peroxide.").format(list=", ".join(known))


def verdict_line(found: AirOfTask) -> str:
    """Return the answer for whoever works there."""
    if not found.actives:
        return _("No listed ingredient goes into the air as a vapour. Of droplets, and of what is not listed, this "
                 "says nothing.")
    return {exposure.BELOW: _("By this model the air stays below the limits for workers while this is done."),
            exposure.ABOVE: _("By this model the air passes a limit: more air, less solution, or a smaller piece at a "
                              "time; do not stay inside."),
            exposure.CANNOT_TELL: _("Whether the air stays below the limits cannot be told.")}[found.verdict]


def reentry_lines(found: ReEntry) -> list[str]:
    """Return when the space may be entered again: never a countdown."""
    least = "" if found.least_min is None else number_text(math.ceil(found.least_min))
    first = {
        reentry.NOT_BEFORE: _("Do not enter before {minutes} min have passed since the work began ({decides} decides), "
                              "and then only once the surfaces are seen dry or rinsed and the space is aired."),
        reentry.CANNOT_TELL: _("When it may be entered again cannot be told."),
        reentry.NEVER: _("By the model it does not become fit to enter by itself."),
    }[found.answer].format(minutes=least, decides=_("the label") if found.decides == "label" else _("the model"))
    lines = [first, *(_(OPEN[code]) for code in found.open)]
    if found.answer == reentry.CANNOT_TELL and least:
        lines.append(_("What is known asks for at least {minutes} min; it may be longer.").format(minutes=least))
    return lines


def cautions() -> list[str]:
    """Return the cautions that go with every answer."""
    return [_(one) for one in CAUTIONS]


def _danger(one: ActiveInAir) -> Iterator[str]:
    danger = one.limits.danger
    if danger is not None and one.danger_share > 0.1:
        yield _("{name}: the peak is {share} of what is immediately dangerous to life or health ({ppm} ppm).").format(
            name=one.name, share=number_text(one.danger_share), ppm=number_text(danger.ppm))


def _limit(limit: AirLimit) -> str:
    pair = _("{ppm} ppm ({mg} mg/m3)").format(ppm=number_text(limit.ppm), mg=number_text(limit.mg_m3)) \
        if limit.mg_m3 is not None else _("{ppm} ppm").format(ppm=number_text(limit.ppm))
    return f"{SETS[limit.set]} {pair}"

"""The words of the pages that no document has: tasks, the questions before a swab, swabs by name, and endings."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from tersum.documents.sentences import stage_word
from tersum.documents.text import _, ngettext
from tersum.documents.visit_text import ending_lines
from tersum.errors import N_
from tersum.visit.next_swab import NextSwab, Swab
from tersum.visit.outcome import Ending
from tersum.visit.plan import Plan
from tersum.visit.readings import NO_NUMBER, Reading
from tersum.visit.walk import END, SHOW_DRAW, Standing, Task, Walk
from tersum.web.markup import with_places


@dataclass(frozen=True)
class Question:
    """One question before a swab is opened: the field of the reading it answers, and its two texts."""

    field: str
    asked: str
    hint: str


QUESTIONS = (
    Question("dry", N_("Is the surface dry?"), N_("Water thins the sample: it reads too low.")),
    Question("rinsed", N_("Rinsed, or the test strip shows no chemical left?"),
             N_("Chemical left on the surface upsets the reading.")),
    Question("fresh_area", N_("A fresh area, not swabbed since the last cleaning?"),
             N_("A spot swabbed before reads too low.")),
)
_TASKS = {
    "as-found": N_("Swab {point} as found"),
    "first": N_("Swab {point}"),
    "duplicate": N_("Swab {point} a second time, as planned"),
    "again": N_("Swab {point} again"),
    "cleaned-again": N_("Clean {point} again, then swab it"),
}
_ACTIONS = {
    "as-found": N_("Swab as found"),
    "first": N_("Swab"),
    "duplicate": N_("Second swab"),
    "again": N_("Swab again"),
    "cleaned-again": N_("Cleaned again: swab"),
}
ENDINGS = {
    "handed-over-with-open-points": (N_("Handed over with open points"),
                                     N_("The work is over; the customer takes it over knowing what is open.")),
    "stopped": (N_("Stopped"), N_("The work could not be carried on.")),
    "not-measured": (N_("Not measured"), N_("The work was carried out, but nothing was read.")),
}


def task(plan: Plan, walk: Walk, one: Task) -> Markup:
    """Return what to do next at a visit, as a short order."""
    if one.kind == SHOW_DRAW:
        return Markup.escape(ngettext("Clean, then show the drawn point", "Clean, then show the {n} drawn points",
                                      plan.drawn_points).format(n=plan.drawn_points))
    if one.kind == END:
        return Markup.escape(_("Nothing is left to swab: end the visit"))
    standing = walk.at(one.place or 0)
    assert standing is not None and standing.next is not None
    return with_places(_(_TASKS[standing.next.why]), point=standing.point.id)


def at_point(standing: Standing) -> Markup:
    """Return what to do at a point, as a short order with its name."""
    assert standing.next is not None
    return with_places(_(_TASKS[standing.next.why]), point=standing.point.id)


def action(following: NextSwab) -> str:
    """Return the words on the button that leads to a swab."""
    return _(_ACTIONS[following.why])


def instead(swab: Swab) -> str:
    """Return the words on the button for a point that was cleaned in the meantime."""
    return _("Cleaned again instead: swab") if swab.round > 1 else _("Cleaned already: swab when cleaned")


def swab_name(swab: Swab) -> str:
    """Return which swab of a point it is."""
    if swab.round == 1:
        return _("{stage}, swab {number}").format(stage=stage_word(swab.stage), number=swab.number)
    return _("{stage}, round {round}, swab {number}").format(stage=stage_word(swab.stage), round=swab.round,
                                                             number=swab.number)


def swab_of(reading: Reading) -> str:
    """Return which swab of its point a reading is."""
    return swab_name(Swab(reading.stage, reading.round, reading.swab))


def ending_line(kind: str) -> str:
    """Return how a visit ended, in one sentence."""
    return ending_lines(Ending(kind))[0]


def shown_reading(reading: Reading) -> str:
    """Return what the meter showed, as it was typed; words where no number was read."""
    return _("no number") if reading.raw == NO_NUMBER else reading.raw.strip()

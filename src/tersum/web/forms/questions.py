"""The form of the three questions before a swab is opened."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from tersum.documents.text import _
from tersum.visit.next_swab import NextSwab, Swab
from tersum.visit.readings import NO_NUMBER, Reading
from tersum.visit.walk import Standing
from tersum.web.sending import OPERATION, Form
from tersum.web.words import QUESTIONS

SWAB = "swab"
YES, NO = "yes", "no"


@dataclass(frozen=True)
class Questions:
    """What was answered, by field of the reading, and what is wrong with it."""

    operation_id: str
    swab: str
    answers: dict[str, str] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def all_yes(self) -> bool:
        return all(self.answers.get(one.field) == YES for one in QUESTIONS)


def questions(form: Form) -> Questions:
    """Return the answers of a form with a fault for each question that is not answered."""
    answers = {one.field: form.get(one.field, "") for one in QUESTIONS}
    faults = {name: _("Answer yes or no.") for name, answer in answers.items() if answer not in (YES, NO)}
    return Questions(form[OPERATION], form.get(SWAB, ""), answers, faults)


def chosen(following: NextSwab | None, swab: str) -> Swab | None:
    """Return the swab that a form is for, if it is still one that may be taken next; None where it is not."""
    if following is None:
        return None
    return next((one for one in (following.swab, following.instead) if one is not None and str(one) == swab), None)


def as_written(swab: str) -> Swab | None:
    """Return the swab that a form names, whether or not it may be taken now; None where it names none."""
    stage, _dot, rest = swab.partition(".")
    round_, _dot, number = rest.partition(".")
    if not all(one.isascii() and one.isdecimal() and len(one) <= 6 for one in (round_, number)):
        return None
    return Swab(stage, int(round_), int(number))


def not_counted(standing: Standing, swab: Swab, answers: Questions, instrument: str) -> Reading:
    """Return the reading that keeps a swab which does not count: no number is asked for it."""
    given = {name: answer == YES for name, answer in answers.answers.items()}
    return Reading(standing.point.id, swab.stage, 0.0, math.inf, NO_NUMBER, swab.round, swab.number,
                   surface=standing.point.surface, instrument=instrument, **given)  # type: ignore[arg-type]

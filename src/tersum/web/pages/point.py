"""One point: where it stands, what to do next, its readings, and the questions before the next swab."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from tersum.records.visit_entries import take_reading, withdraw_reading
from tersum.records.visit_reader import last_by_hand
from tersum.visit.next_swab import NextSwab, last_here
from tersum.web import words
from tersum.web.answers import CONFLICT, REFUSED, gone_to
from tersum.web.forms.questions import SWAB, Questions, as_written, chosen, not_counted, questions
from tersum.web.places import AtPoint, at_point
from tersum.web.rendering import page
from tersum.web.sending import OPERATION, Form

CLEANED = "cleaned"  # the query of a questions page for a point that was cleaned in the meantime


def shown(request: Request) -> Response:
    """Show a point."""
    here = at_point(request)
    name = here.standing.point.id
    taken = here.reader.taken(name)
    ended = here.reader.ended()
    return page(request, "point/point.html", here=here, plan=here.plan, standing=here.standing, taken=taken,
                before=last_here(here.standing.readings[:-1]), blanks=any(one.reading.blank_rlu for one in taken),
                task=words.task(here.plan, here.walk, here.walk.task), earlier_rlu=here.reader.earlier_mean_rlu(name),
                ended=ended, undo=None if ended else last_by_hand(taken), after=here.walk.after(here.standing.place),
                notes={one.fact_id: here.reader.words(one.note, "note") for one in taken if one.note})


def questions_shown(request: Request) -> Response:
    """Show the questions before a swab."""
    here = at_point(request)
    if here.reader.ended() or here.standing.next is None:
        return gone_to(request, "point", **here.point_address)
    swab = _wanted(here.standing.next, request.query_params.get("point") == CLEANED)
    return _questions_page(request, here, Questions("", swab))


def questions_sent(request: Request, form: Form) -> Response:
    """Go on to the reading if every answer is yes; else keep the swab as not counted."""
    here = at_point(request)
    answered = questions(form)
    known = here.reader.knows(answered.operation_id)
    swab = as_written(answered.swab) if known else chosen(here.standing.next, answered.swab)
    if swab is None:
        return page(request, "point/overtaken.html", here=here, standing=here.standing, typed="", status=CONFLICT)
    if answered.faults:
        return _questions_page(request, here, answered, REFUSED)
    if answered.all_yes:
        return gone_to(request, "reading", query=_answers(answered, swab), **here.point_address)
    reading = not_counted(here.standing, swab, answered, here.plan.instrument.type)
    take_reading(here.reader, reading, operation_id=answered.operation_id)
    return gone_to(request, "point", **here.point_address)


def withdrawal_sent(request: Request, form: Form) -> Response:
    """Take the last reading of the point back."""
    here = at_point(request)
    withdraw_reading(here.reader, form.get("reading", ""), operation_id=form[OPERATION])
    return gone_to(request, "point", **here.point_address)


def _questions_page(request: Request, here: AtPoint, form: Questions, status: int = 200) -> Response:
    following = here.standing.next
    assert following is not None
    swab = chosen(following, form.swab) or following.swab
    return page(request, "point/questions.html", here=here, standing=here.standing, form=form, swab=swab,
                cleaned=swab == following.instead, asked=words.QUESTIONS, status=status)


def _wanted(following: NextSwab, cleaned: bool) -> str:
    return str(following.instead if cleaned and following.instead is not None else following.swab)


def _answers(answered: Questions, swab: object) -> str:
    said = "&".join(f"{name}={answer}" for name, answer in answered.answers.items())
    return f"{SWAB}={swab}&{said}"



"""One reading: the number the meter shows, asked for once every question before the swab is answered with yes."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.records.trouble import Conflict
from tersum.records.visit_entries import take_reading
from tersum.visit.next_swab import AS_FOUND, Swab, last_here
from tersum.visit.readings import Reading
from tersum.web.answers import CONFLICT, REFUSED, UNAVAILABLE, gone_to
from tersum.web.forms.questions import SWAB, YES, as_written, chosen
from tersum.web.forms.reading import TEXTS, Asked, Last, Typed, reading_of, typed
from tersum.web.places import AtPoint, at_point, desk_of
from tersum.web.rendering import page
from tersum.web.sending import Form
from tersum.web.words import QUESTIONS

FORM = "form"  # a fault of no single field


def shown(request: Request) -> Response:
    """Show the form of a reading; without its answers, the questions come first."""
    here = at_point(request)
    swab = chosen(here.standing.next, request.query_params.get(SWAB, ""))
    answers = {one.field: request.query_params.get(one.field, "") for one in QUESTIONS}
    if here.reader.ended() or swab is None or any(answer != YES for answer in answers.values()):
        return gone_to(request, "questions", **here.point_address)
    return _form_page(request, here, swab, Typed("", str(swab), answers, _carried_on(here)), Asked())


def sent(request: Request, form: Form) -> Response:
    """Keep a reading, or show the form again with what was typed and what is to be asked.

    The first attempt goes by what is known here of the visit, which the writing itself checks; where it fails, or
    something is to be said, the visit is looked at again.
    """
    written = typed(form)
    return _attempted(request, written) or _answered(request, written, at_point(request))


def _attempted(request: Request, written: Typed) -> Response | None:
    """Return the answer to a reading that can be kept as it is, or None."""
    try:
        here = at_point(request, refreshed=False)
        swab = chosen(here.standing.next, written.swab)
        read = _read(request, here, written, swab) if swab is not None and written.all_yes else None
        if isinstance(read, Reading):
            return _kept(request, here, written, read)
    except (HTTPException, Conflict):
        pass  # older than what is on record, perhaps
    return None


def _answered(request: Request, written: Typed, here: AtPoint) -> Response:
    known = here.reader.knows(written.operation_id)
    swab = as_written(written.swab) if known else chosen(here.standing.next, written.swab)
    if swab is None:
        return page(request, "point/overtaken.html", here=here, standing=here.standing, typed=written.texts["number"],
                    status=CONFLICT)
    if not written.all_yes:
        return gone_to(request, "questions", **here.point_address)
    read = _read(request, here, written, swab, known=known)
    if isinstance(read, Asked):
        return _form_page(request, here, swab, written, read, REFUSED)
    return _kept(request, here, written, read)


def _read(request: Request, here: AtPoint, written: Typed, swab: Swab, *, known: bool = False) -> Reading | Asked:
    last = Last(None, False) if known else _last(here, swab)  # what is on record already is not asked about again
    return reading_of(written, here.standing.point, swab, here.plan.instrument, last=last, now=desk_of(request).clock())


def _kept(request: Request, here: AtPoint, written: Typed, read: Reading) -> Response:
    try:
        take_reading(here.reader, read, operation_id=written.operation_id, seen=here.seen,
                     typed=written.texts["number"] if written.meant else "")
    except Conflict:
        raise
    except TersumError as trouble:  # nothing was recorded: the form stays as it is, to be sent again
        swab = Swab(read.stage, read.round, read.swab)
        return _form_page(request, here, swab, written, Asked({FORM: trouble.sentence(_)}), UNAVAILABLE)
    return gone_to(request, "point", **here.point_address)


def _form_page(request: Request, here: AtPoint, swab: Swab, form: Typed, asked: Asked, status: int = 200) -> Response:
    return page(request, "point/reading.html", here=here, plan=here.plan, standing=here.standing, swab=swab, form=form,
                asked=asked, last=_last_reading(here), last_rlu=_last(here, swab).rlu, status=status)


def _carried_on(here: AtPoint) -> dict[str, str]:
    """Return what need not be typed again: blank, swab lot and name of the reading before."""
    before = [one.reading for one in here.reader.taken() if one.alone and not one.withdrawn]
    if not before:
        return dict.fromkeys(TEXTS, "")
    last = before[-1]
    return {"number": "", "note": "", "blank": "" if last.blank_rlu is None else number_text(last.blank_rlu, digits=9),
            "swab_lot": last.swab_lot or "", "person": here.reader.words(last.person, "name") if last.person else ""}


def _last_reading(here: AtPoint) -> Reading | None:
    return last_here(here.standing.readings)


def _last(here: AtPoint, swab: Swab) -> Last:
    """Return the last value at the point: of this visit, else what an earlier visit of this place came to."""
    last = _last_reading(here)
    if last is not None:
        return Last(last.low_rlu, (last.stage, last.round) != (swab.stage, swab.round))
    if swab.stage == AS_FOUND:
        return Last(None, False)  # what the last visit left clean says nothing of what this one finds
    return Last(here.reader.earlier_mean_rlu(here.standing.point.id), False)

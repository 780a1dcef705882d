"""The end of a visit: finished where every point is done, else an honest ending with its reason."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from tersum.records.visit_entries import end_visit
from tersum.records.visits import decided
from tersum.visit.outcome import FINISHED, work_list
from tersum.web import words
from tersum.web.answers import REFUSED, gone_to
from tersum.web.forms.ending import EndingForm, ending_form
from tersum.web.places import AtVisit, at_visit
from tersum.web.rendering import page
from tersum.web.sending import OPERATION, Form


def shown(request: Request) -> Response:
    """Show what is done and what is open, and how the visit may end."""
    here = at_visit(request)
    if here.reader.ended():
        return gone_to(request, "record", **here.address)
    return _form_page(request, here, EndingForm("", "", ""))


def sent(request: Request, form: Form) -> Response:
    """Put the ending on record and go to the visit record."""
    here = at_visit(request)
    written = ending_form(form, _kinds(here))
    if written.faults and not here.reader.knows(form[OPERATION]):
        return _form_page(request, here, written, REFUSED)
    end_visit(here.reader, written.kind, "" if written.kind == FINISHED else written.reason,
              operation_id=written.operation_id)
    return gone_to(request, "record", **here.address)


def _form_page(request: Request, here: AtVisit, form: EndingForm, status: int = 200) -> Response:
    duplicates = [one for one in here.walk.standings if one.next is not None and one.next.why == "duplicate"]
    return page(request, "ending/ending.html", here=here, plan=here.plan, form=form, kinds=_kinds(here),
                left=work_list(here.walk.decisions), statement=decided(here.reader.kept())[0].statement,
                duplicates=duplicates, endings=words.ENDINGS, status=status)


def _kinds(here: AtVisit) -> tuple[str, ...]:
    """Return the endings that fit: finished where nothing is open; not measured where nothing was read."""
    if not work_list(here.walk.decisions):
        return (FINISHED,)
    read = any(one.n for one in here.walk.decisions)
    return tuple(kind for kind in words.ENDINGS if kind != "not-measured" or not read)

"""The signed record of a visit that has ended: issued once for the same answers, and given as it was issued."""

from __future__ import annotations

import threading

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.catalogue import load
from tersum.documents.issuing import Answered, find_issued, issue
from tersum.errors import TersumError
from tersum.records.visits import decided
from tersum.visit.mixing import MixingCard, mixing_cards
from tersum.visit.plan import Plan
from tersum.web.answers import gone_to
from tersum.web.places import AtVisit, at_visit, desk_of
from tersum.web.rendering import page_language
from tersum.web.sending import Form

_ONE_AT_A_TIME = threading.Lock()  # a second thumb finds what the first one had issued


def sent(request: Request, _form: Form) -> Response:
    """Issue the signed record; sent again, the one already issued is the record."""
    here = at_visit(request)
    answers = answered(here)
    if answers is None:
        raise HTTPException(404)
    with _ONE_AT_A_TIME:
        issue(here.reader.store, desk_of(request).folder, answers, lang=page_language())
    return gone_to(request, "record", **here.address)


def shown(request: Request) -> Response:
    """Give the record as it was issued."""
    here = at_visit(request)
    answers = answered(here)
    found = find_issued(here.reader.store, desk_of(request).folder, answers) if answers is not None else None
    if found is None:
        raise HTTPException(404)
    return Response(found.pdf, media_type="application/pdf",
                    headers={"content-disposition": 'attachment; filename="visit-record.pdf"'})


def answered(here: AtVisit) -> Answered | None:
    """Return what a record says of a visit; None while it is open."""
    over = here.reader.ended()
    if over is None:
        return None
    visit = here.reader.kept()
    made, done = decided(visit)
    return Answered(visit, made, done, over.ending, over.decision, over.fact, cards_of(here.plan))


def cards_of(plan: Plan) -> tuple[MixingCard, ...]:
    """Return the mixing cards of a plan; none where a product is not in this catalogue."""
    try:
        return mixing_cards(plan, load.product)
    except TersumError:
        return ()  # a product that is not known here: the record goes without its strengths

"""The mixing card of one step: what goes into the bucket, in which order, and how long it may be used."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.catalogue import load
from tersum.documents import mixing_text
from tersum.documents.mixing_card import cards_pdf
from tersum.documents.text import _
from tersum.errors import TersumError
from tersum.visit.mixing import mixing_cards
from tersum.web.places import at_visit
from tersum.web.rendering import page, page_language


def pdf_shown(request: Request) -> Response:
    """Give the mixing cards of all steps as a PDF, a page each, dated by the plan."""
    here = at_visit(request)
    cards = mixing_cards(here.plan, load.product)
    if not cards:
        raise HTTPException(404)
    planned = datetime.fromisoformat(here.reader.sealed.fact.when.utc)
    pdf = cards_pdf(here.plan, cards, at=planned.astimezone(ZoneInfo(here.plan.zone)),
                    lang=page_language())
    return Response(pdf, media_type="application/pdf",
                    headers={"content-disposition": 'attachment; filename="mixing-cards.pdf"'})


def shown(request: Request) -> Response:
    """Show the mixing card of a step that has a product."""
    here = at_visit(request)
    steps = dict(enumerate(here.plan.steps, start=1))
    step = steps.get(request.path_params["step"])
    if step is None or not step.product:
        raise HTTPException(404)
    try:
        cards = mixing_cards(replace(here.plan, steps=(step,)), load.product)
    except TersumError as fault:
        return page(request, "card/unknown.html", here=here, step=step, told=fault.sentence(_))
    return page(request, "card/card.html", here=here, step=step, card=cards[0] if cards else None, text=mixing_text)

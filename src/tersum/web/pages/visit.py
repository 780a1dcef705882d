"""One visit: its points in walking order, what to do next, and the drawn points once the cleaning is over."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from tersum.catalogue import load
from tersum.documents.step_cautions import steps_shown
from tersum.records.visits import reveal
from tersum.visit.next_swab import AS_FOUND
from tersum.web import words
from tersum.web.answers import gone_to
from tersum.web.places import at_visit
from tersum.web.rendering import page
from tersum.web.sending import OPERATION, Form


def shown(request: Request) -> Response:
    """Show a visit."""
    here = at_visit(request)
    walk, plan = here.walk, here.plan
    # What a person looking at the page can still do as found is lost once the draw is shown.
    as_found_left = sum(one.next is not None and one.next.swab.stage == AS_FOUND for one in walk.standings)
    return page(request, "visit/visit.html", here=here, plan=plan, walk=walk, ended=here.reader.ended(),
                task=words.task(plan, walk, walk.task), as_found_left=as_found_left,
                steps=steps_shown(plan, load.product))


def draw_sent(request: Request, form: Form) -> Response:
    """Show the drawn points: the cleaning is over."""
    here = at_visit(request)
    reveal(here.reader.store, here.reader.sealed, operation_id=form[OPERATION])
    return gone_to(request, "visit", **here.address)

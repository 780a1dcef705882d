"""Every route: its name, its address, and what shows it or takes its form; who may is in policies.py."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tersum.web import policies
from tersum.web.headers import UNSAFE_METHODS, is_from_here
from tersum.web.pages import card, ending, issued, patterns, point, reading, record, static, today, visit
from tersum.web.sending import Form, sent_form

Shown = Callable[[Request], Response]
Sent = Callable[[Request, Form], Response]


@dataclass(frozen=True)
class Page:
    """One route. ``shown`` only reads, ``sent`` takes a form."""

    name: str
    path: str
    shown: Shown | None = None
    sent: Sent | None = None


_VISIT = "/visits/{organisation}/{visit}"
_POINT = _VISIT + "/points/{place:int}"
PAGES: Sequence[Page] = (
    Page("today", "/", today.shown),
    Page("ended", "/ended", today.ended_shown),
    Page("patterns", "/patterns", patterns.shown),
    Page("static", "/static/{version}/{name}", static.shown),
    Page("visit", _VISIT, visit.shown),
    Page("draw", _VISIT + "/draw", None, visit.draw_sent),
    Page("card", _VISIT + "/cards/{step:int}", card.shown),
    Page("point", _POINT, point.shown),
    Page("questions", _POINT + "/questions", point.questions_shown, point.questions_sent),
    Page("reading", _POINT + "/reading", reading.shown, reading.sent),
    Page("withdrawal", _POINT + "/withdrawal", None, point.withdrawal_sent),
    Page("ending", _VISIT + "/ending", ending.shown, ending.sent),
    Page("record", _VISIT + "/record", record.shown),
    Page("issue", _VISIT + "/record/issue", None, issued.sent),
    Page("record_pdf", _VISIT + "/record.pdf", issued.shown),
    Page("cards_pdf", _VISIT + "/cards.pdf", card.pdf_shown),
    Page("ladder", _VISIT + "/ladder-{width}-{theme}.svg", record.ladder_shown),
    Page("decisions", _VISIT + "/decisions.json", record.decisions_shown),
    Page("readings", _VISIT + "/readings.csv", record.readings_shown),
)


def routes(pages: Sequence[Page] = PAGES) -> list[Route]:
    """Return the routes; one without a policy is refused here, so that the pages never start with it."""
    return [_route(one, policies.policy_of(one.name)) for one in pages]


def _route(one: Page, policy: str) -> Route:
    async def answer(request: Request) -> Response:
        if not policies.may(policies.caller(request.scope), policy):
            raise HTTPException(403)
        if request.method not in UNSAFE_METHODS:
            assert one.shown is not None
            return await run_in_threadpool(one.shown, request)
        if not is_from_here(request.scope):
            raise HTTPException(403)
        assert one.sent is not None
        return await run_in_threadpool(one.sent, request, await sent_form(request))

    methods = [method for method, there in (("GET", one.shown), ("POST", one.sent)) if there]
    return Route(one.path, answer, methods=methods, name=one.name)

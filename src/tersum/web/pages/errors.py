"""Pages for what did not work: what happened, what was kept, what to do; one page for all that is not there."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.documents.text import _
from tersum.errors import N_, RecordLocked, TersumError
from tersum.records.keys import MissingKey
from tersum.records.trouble import NewerStore, NoStore, StorageStopped
from tersum.web.answers import CONFLICT, REFUSED
from tersum.web.rendering import page

_TITLES = {
    400: N_("Not understood"), 403: N_("Not from here"), 404: N_("No such page"), 405: N_("Not in this way"),
    409: N_("Not recorded"), 413: N_("Too large"), 415: N_("Not understood"), 422: N_("Not recorded"),
    500: N_("Something went wrong"), 503: N_("The records cannot be reached"),
}
_SENTENCES = {
    403: N_("These pages answer only to this machine, and take forms only from their own pages. Nothing was recorded."),
    404: N_("There is no such page. The visit may be another one, or the point is not one of those to be read."),
    405: N_("This page does not take what was sent. Nothing was recorded."),
    500: N_("Something went wrong in the program. If you were recording something, look at the point's page: what "
            "stands there is recorded, anything else is not."),
}


def http_error(request: Request, error: Exception) -> Response:
    """Answer what the router or a page refused."""
    assert isinstance(error, HTTPException)
    detail = error.detail if error.status_code in (400, 413, 415) else ""
    return _page(request, error.status_code, _(_SENTENCES.get(error.status_code, detail) or detail))


def refusal(request: Request, error: Exception) -> Response:
    """Answer what a room below refused, in its own sentence."""
    assert isinstance(error, TersumError)
    return _page(request, _status(error), error.sentence(_))


def defect(request: Request, _error: Exception) -> Response:
    """Answer what nobody foresaw; the reason goes to the program's own output, not onto the page."""
    return _page(request, 500, _(_SENTENCES[500]))


def _status(error: TersumError) -> int:
    if isinstance(error, StorageStopped | NoStore | NewerStore | MissingKey):
        return 503
    return CONFLICT if isinstance(error, RecordLocked) else REFUSED


def _page(request: Request, status: int, sentence: str) -> Response:
    title = _(_TITLES.get(status, _TITLES[400]))
    back = request.path_params if status != 404 and {"organisation", "visit"} <= request.path_params.keys() else None
    return page(request, "error/error.html", title=title, sentence=sentence, back=back, status=status)

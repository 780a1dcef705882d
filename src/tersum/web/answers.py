"""How the pages answer a form: the next page, or the same page with what was typed."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

SEE_OTHER = 303
REFUSED = 422  # nothing was recorded; the form comes back with what was typed
CONFLICT = 409
UNAVAILABLE = 503


def gone_to(request: Request, route: str, *, query: str = "", **places: Any) -> Response:
    """Return the way to the next page."""
    address = str(request.app.url_path_for(route, **places))
    return RedirectResponse(f"{address}?{query}" if query else address, SEE_OTHER)

"""The headers of every answer, errors included, and the check that a write comes from a page of ours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

UNSAFE_METHODS = frozenset({"POST", "PUT", "PATCH", "DELETE"})
ALWAYS: Mapping[str, str] = {
    "content-security-policy": "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; "
                               "frame-ancestors 'none'; base-uri 'none'",
    "x-content-type-options": "nosniff",
    # Not no-referrer: with that a browser sends no origin with a form, and the check below could not be made.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
NOT_KEPT = "no-store"


class WithHeaders:
    """Puts the headers on whatever the pages answer, also on an error that nobody foresaw."""

    def __init__(self, app: ASGIApp):
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(ALWAYS)
                headers.setdefault("cache-control", NOT_KEPT)
            await send(message)

        await self.app(scope, receive, with_headers)


def is_from_here(scope: Mapping[str, Any]) -> bool:
    """Tell whether a write comes from a page of this address, by what the browser itself says.

    ``Sec-Fetch-Site`` is believed where it is sent; else ``Origin`` must be this address. A write with neither is
    refused: every browser sends one of them with a form.
    """
    headers = Headers(scope=dict(scope))
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    return headers.get("origin") == f"{scope.get('scheme', 'http')}://{headers.get('host', '')}"

"""The application: routes with their policies, headers on every answer, a page for every error."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp

from tersum.errors import TersumError
from tersum.records.when import Clock, local_zone, now
from tersum.web.desk import Desk
from tersum.web.headers import WithHeaders
from tersum.web.pages import errors
from tersum.web.routes import routes


class Pages(Starlette):
    """The pages; what wraps all of them also wraps the answer to an error that nobody foresaw."""

    def build_middleware_stack(self) -> ASGIApp:
        return WithHeaders(super().build_middleware_stack())


def create_app(folder: Path, *, clock: Clock = now, zone: str | None = None) -> Pages:
    """Return the pages over a data folder.

    Parameters
    ----------
    folder : Path
        The data folder, as :func:`tersum.records.home.data_home` gives it.
    clock : callable
        Returns the present moment with its time zone.
    zone : str, optional
        IANA name of the zone that "today" is meant in; this machine's if left out.
    """
    desk = Desk(folder, clock, zone or local_zone())

    @asynccontextmanager
    async def lifespan(_app: Starlette) -> AsyncIterator[None]:
        yield
        desk.close()

    app = Pages(routes=routes(), lifespan=lifespan, exception_handlers={
        HTTPException: errors.http_error, TersumError: errors.refusal, Exception: errors.defect})
    app.router.redirect_slashes = False
    app.state.desk = desk
    return app

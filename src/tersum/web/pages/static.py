"""The files that go with the pages."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tersum.web.static_files import FOR_EVER, files


def shown(request: Request) -> Response:
    """Give a file; only under its present version, so that what a browser keeps is what is meant."""
    file = files().get(request.path_params["name"])
    if file is None or file.version != request.path_params["version"]:
        raise HTTPException(404)
    return Response(file.body, media_type=file.media_type, headers={"cache-control": FOR_EVER})

"""A form as it was sent: a small body of plain fields, or a refusal in one sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.requests import Request

from tersum.errors import N_

MOST_BYTES = 64 * 1024  # a note of 2000 characters in any script, written with %-signs, fits twice
MOST_FIELDS = 60
TOO_LARGE = N_("What was sent is larger than 64 kB, so it was not read and nothing was recorded. A note takes "
               "at most 2000 characters, and no pictures.")
NOT_A_FORM = N_("What was sent is not a form of these pages. Nothing was recorded.")
OPERATION = "operation_id"
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")

Form = Mapping[str, str]


async def sent_form(request: Request) -> Form:
    """Return the fields of a form; of a field that comes twice, the last."""
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/x-www-form-urlencoded":
        raise HTTPException(415, NOT_A_FORM)
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise HTTPException(413, TOO_LARGE)
    try:
        fields = dict(parse_qsl(body.decode("ascii"), keep_blank_values=True, max_num_fields=MOST_FIELDS,
                                errors="strict"))
    except ValueError:  # a UnicodeDecodeError is one
        raise HTTPException(400, NOT_A_FORM) from None
    if not _UUID.fullmatch(fields.get(OPERATION, "")):
        raise HTTPException(400, NOT_A_FORM)
    # Browsers send line ends as CR LF; a text that is kept has one kind.
    return {name: value.replace("\r\n", "\n") for name, value in fields.items()}

"""What a check of a record found, as one sentence and a next step."""

from __future__ import annotations

from tersum.documents import verifying
from tersum.documents.text import _
from tersum.documents.verifying import Verification
from tersum.errors import N_

_AGAIN = N_("Ask the company for the file as it was issued.")
_SENTENCES = {
    verifying.AS_ISSUED: (N_("As issued: every byte of the file is as it was signed by a key you trust."), ""),
    verifying.NOT_A_PDF: (N_("This file is not a PDF."), _AGAIN),
    verifying.CUT_OFF: (N_("The file is cut off: its end is missing."), N_("Fetch or copy it again, whole.")),
    verifying.NOT_SIGNED: (N_("This PDF carries no signature of a visit record: another program made it, or it was "
                              "printed or saved anew."), _AGAIN),
    verifying.SIGNED_TWICE: (N_("This PDF carries more than one signature; a visit record carries one."), _AGAIN),
    verifying.ADDED_TO: (N_("Something was added after the record was signed."), _AGAIN),
    verifying.OTHER_CONTAINER: (N_("The signature is not in its one form, or no key made it."), _AGAIN),
    verifying.CHANGED: (N_("The file was changed after it was signed."), _AGAIN),
    verifying.NOT_ONE_REVISION: (N_("The file was not written in one go, as a visit record is."), _AGAIN),
    verifying.NOT_FINAL: (N_("The signature does not cover the whole file as final, as that of a visit record does."),
                          _AGAIN),
    verifying.UNKNOWN_KEY: (N_("Signed by an unknown key: the file is whole, but this installation did not make that "
                               "key and it was not named as trusted."),
                            N_("Ask the company for the number of its key, by another way than this file, and run: "
                               "tersum verify FILE.pdf --trust NUMBER")),
}


def sentence(found: Verification) -> str:
    """Return what was found."""
    return _(_SENTENCES[found.code][0])


def next_step(found: Verification) -> str:
    """Return what to do now; empty where there is nothing to do."""
    step = _SENTENCES[found.code][1]
    return _(step) if step else ""


def grouped(digits: str) -> str:
    """Return the digits of a key in groups of four, as people read them out.

    >>> grouped("0123456789abcdef")
    '0123 4567 89ab cdef'
    """
    return " ".join(digits[place:place + 4] for place in range(0, len(digits), 4))

"""Believes what a viewer shows: a signature that is intact and covers the file, by whatever bytes."""

import io

from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.errors import SignatureValidationError

from tersum.documents import verifying
from tersum.documents.verifying import AS_ISSUED, CHANGED, Verification

WHAT = "a record counts as genuine where a PDF library finds its signature intact, as viewers do"
BREAKS = ["tests/documents/test_verifying.py::test_every_byte_counts"]


def apply(monkeypatch):
    def as_viewers_do(body, _trusted):
        try:
            signature = PdfFileReader(io.BytesIO(body)).embedded_signatures[0]
            status = validate_pdf_signature(signature, skip_diff=True)
        except (PdfError, SignatureValidationError, ValueError, IndexError, KeyError, TypeError):
            return Verification(CHANGED)
        return Verification(AS_ISSUED if status.intact and status.valid else CHANGED)

    monkeypatch.setattr(verifying, "verification", as_viewers_do)

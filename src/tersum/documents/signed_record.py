"""A signed record: typeset, signed, and checked once more as its readers will check it."""

from __future__ import annotations

import importlib
import threading
from dataclasses import dataclass, replace

from tersum.documents import typesetting
from tersum.documents.charts import drawing
from tersum.documents.visit_record import VisitRecord, record_page
from tersum.errors import N_, TersumError
from tersum.records.keys import SigningKey


@dataclass(frozen=True)
class SignedRecord:
    """A record as it goes out: the file, and what to keep of it on record."""

    pdf: bytes
    number: str
    check_code: str
    key_id: str


def signed_record(record: VisitRecord, key: SigningKey, *, paper: str = "a4", lang: str = "en") -> SignedRecord:
    """Return a record signed by a key; the same record and key give the same bytes.

    Parameters
    ----------
    record : VisitRecord
        What it shows; the key's number is put in.
    key : SigningKey
        As :func:`tersum.records.keys.signing_key` gives it.
    paper : {"a4", "letter"}
    lang : str
        Language tag; English where there is no translation.

    Raises
    ------
    Faults
        Texts that cannot be printed, all at once.
    """
    record = replace(record, key_id=key.key_id)
    # The chart engine and the signing library take a third of a second each to load: side by side, that is one third.
    loading = threading.Thread(target=drawing.load)
    loading.start()
    signing = importlib.import_module("tersum.documents.signing")
    verifying = importlib.import_module("tersum.documents.verifying")
    loading.join()
    page = record_page(record, paper=paper, lang=lang)
    pdf = signing.signed(typesetting.typeset("visit_record", page, at=record.issued_at), key, at=record.issued_at)
    if not verifying.verification(pdf, [key.fingerprint]).genuine:
        raise TersumError(N_("The record {value} does not verify after signing; it was not issued. Run: tersum doctor"),
                          field="record", value=record.number)
    return SignedRecord(pdf, record.number, str(page["check_code"]), key.key_id)

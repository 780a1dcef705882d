"""Checking a record: whether every byte is as it was issued, and by a key that is trusted."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Collection
from dataclasses import dataclass

from tersum.documents.pdf_file import SignaturePlace, signature_places
from tersum.documents.signature_container import Container, container_in
from tersum.records.keys import ID_DIGITS

AS_ISSUED = "as-issued"
NOT_A_PDF = "not-a-pdf"
CUT_OFF = "cut-off"
NOT_SIGNED = "not-signed"
SIGNED_TWICE = "signed-twice"
ADDED_TO = "added-to"
OTHER_CONTAINER = "other-container"
CHANGED = "changed"
NOT_ONE_REVISION = "not-one-revision"
NOT_FINAL = "not-final"
UNKNOWN_KEY = "unknown-key"
CODES = (AS_ISSUED, NOT_A_PDF, CUT_OFF, NOT_SIGNED, SIGNED_TWICE, ADDED_TO, OTHER_CONTAINER, CHANGED, NOT_ONE_REVISION,
         NOT_FINAL, UNKNOWN_KEY)


@dataclass(frozen=True)
class Verification:
    """What a check found: a code, and whose key signed where that is known. ``said`` is what the record says of itself.

    Only with ``as-issued`` does anything else here deserve belief.
    """

    code: str
    fingerprint: str = ""
    number: str = ""
    check_code: str = ""
    signed_utc: str = ""

    @property
    def genuine(self) -> bool:
        """True where every byte is as issued by a trusted key."""
        return self.code == AS_ISSUED

    @property
    def key_id(self) -> str:
        """The number of the key, as it stands on the record."""
        return self.fingerprint[:ID_DIGITS]


def verification(body: bytes, trusted: Collection[str]) -> Verification:
    """Return whether a file is a record as issued by a trusted key.

    Parameters
    ----------
    body : bytes
        The whole file.
    trusted : collection of str
        Fingerprints of keys (64 hexadecimal digits) or their first 32 digits.

    Notes
    -----
    Cheap and strict checks go first: the file must end where the signature says, the container must be the one form of
    what it says, and its digest that of all other bytes. Only then does a PDF library look at it as a viewer would.
    """
    place, code = _place(body)
    if place is None:
        return Verification(code)
    container = _container(place)
    if container is None:
        return Verification(OTHER_CONTAINER)
    if not _digest_fits(body, place, container):
        return Verification(CHANGED)
    if not container.is_signed():
        return Verification(OTHER_CONTAINER)
    if not _one_revision(body):
        return Verification(NOT_ONE_REVISION)
    found = _seen_by_a_library(body, container)
    if found is None:
        return Verification(NOT_FINAL)
    known = {found.fingerprint, found.key_id} & {one.lower() for one in trusted}
    return found if known else Verification(UNKNOWN_KEY, container.fingerprint)


def _place(body: bytes) -> tuple[SignaturePlace | None, str]:
    """Return where the signature is, or a code that says why there is none to check."""
    if not body.startswith(b"%PDF-"):
        return None, NOT_A_PDF
    places = signature_places(body)
    whole = body.rstrip(b"\r\n").endswith(b"%%EOF")
    if not places:
        return None, NOT_SIGNED if whole else CUT_OFF
    if len(places) > 1:
        return None, SIGNED_TWICE
    place = places[0]
    end = place.second_start + place.second_length
    if len(body) < end:
        return None, CUT_OFF
    if len(body) > end:
        return None, ADDED_TO
    around = (place.first_end + 1, place.second_start - 1)
    return (place, "") if around == (place.at, place.at + len(place.digits)) else (None, CHANGED)


def _container(place: SignaturePlace) -> Container | None:
    """Return what the container says if it and its digits have their one form."""
    if not re.fullmatch(rb"(?:[0-9A-F]{2})+", place.digits):
        return None
    try:
        return container_in(bytes.fromhex(place.digits.decode()))
    except Exception:  # noqa: BLE001 - whatever a hostile container does to the parsers, it is refused
        return None


def _digest_fits(body: bytes, place: SignaturePlace, container: Container) -> bool:
    signed = hashlib.sha256(body[: place.first_end])
    signed.update(body[place.second_start:])
    return signed.digest() == container.digest


def _one_revision(body: bytes) -> bool:
    """Tell whether the file was written in one go: one start of a table, at its very end."""
    return len(re.findall(rb"\bstartxref\b", body)) == 1 and re.search(
        rb"startxref\n[0-9]+\n%%EOF\n\Z", body) is not None


def _seen_by_a_library(body: bytes, container: Container) -> Verification | None:
    """Return what the record says of itself if a PDF library too finds it signed as a whole and final, else None."""
    # Imported here: a file that was changed is refused long before, and the library takes half a second to load.
    from pyhanko.pdf_utils.reader import PdfFileReader  # noqa: PLC0415
    from pyhanko.sign.fields import MDPPerm  # noqa: PLC0415
    from pyhanko.sign.validation.status import SignatureCoverageLevel  # noqa: PLC0415

    try:
        reader = PdfFileReader(io.BytesIO(body), strict=True)
        (signature,) = reader.embedded_signatures
        signature.compute_integrity_info()
        whole = signature.coverage == SignatureCoverageLevel.ENTIRE_FILE
        final = signature.docmdp_level == MDPPerm.NO_CHANGES
        if not (whole and final and signature.compute_digest() == container.digest):
            return None
        words = str(reader.trailer["/Info"].get("/Keywords", "")).split(", ")
        said = dict(word.split(" ", 1) for word in words if " " in word)
        stamp = re.fullmatch(r"D:(\d{4})(\d\d)(\d\d)(\d\d)(\d\d)(\d\d)Z", str(signature.sig_object["/M"]))
        utc = "{}-{}-{}T{}:{}:{}Z".format(*stamp.groups()) if stamp else ""
        return Verification(AS_ISSUED, container.fingerprint, said.get("record", ""), said.get("check", ""), utc)
    except Exception:  # noqa: BLE001 - a file that the library cannot read is not one that was issued
        return None

"""Signing a record: certified as final, one revision, one signature in one form."""

from __future__ import annotations

import hashlib
from collections.abc import Coroutine
from datetime import datetime
from typing import Any, TypeVar

from asn1crypto import cms, keys, x509  # type: ignore[import-untyped]
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from pyhanko.sign.general import as_signing_certificate_v2, simple_cms_attribute
from pyhanko.sign.signers import SimpleSigner
from pyhanko_certvalidator.registry import SimpleCertificateStore

from tersum.documents import pdf_file
from tersum.documents.signature_container import low
from tersum.documents.text import _
from tersum.errors import N_, TersumError
from tersum.records.keys import SigningKey

T = TypeVar("T")


class _Signer(SimpleSigner):
    """pyhanko's signer with signatures that depend on key and text alone (RFC 6979), the lower of the two."""

    def __init__(self, key: SigningKey, certificate: x509.Certificate):
        nothing = keys.PrivateKeyInfo()  # the key stays with its own library
        others = SimpleCertificateStore()  # type: ignore[no-untyped-call]
        super().__init__(signing_cert=certificate, signing_key=nothing, cert_registry=others, embed_roots=False)
        self._private = key.private

    async def async_sign_raw(self, data: bytes, digest_algorithm: str, dry_run: bool = False) -> bytes:
        if digest_algorithm != "sha256":
            raise TersumError(N_("Records are signed with SHA-256 only."), field="signature", value=digest_algorithm)
        return low(self._private.sign(data, ec.ECDSA(hashes.SHA256(), deterministic_signing=True)))

    async def unsigned_attrs(self, *_given: Any, **_named: Any) -> None:
        """Nothing stands in a signature that is not signed."""


def signed(pdf: bytes, key: SigningKey, *, at: datetime) -> bytes:
    """Return a PDF of typst signed by a key and certified as final; the same three give the same bytes.

    Parameters
    ----------
    pdf : bytes
        As :func:`tersum.documents.visit_record.record_pdf` gives it.
    key : SigningKey
        As :func:`tersum.records.keys.signing_key` gives it.
    at : datetime
        The signer's time, with an offset: the record's own.

    Source
    ------
    ISO 32000-1:2008, 12.8 (DocMDP, P = 1); ETSI EN 319 142-1, level B-B: no trusted time, which needs a network.
    """
    place = pdf_file.prepared(pdf, at=at, name=_("Signature of the issuer"))
    digest = hashlib.sha256(place.signed_bytes).digest()
    certificate = x509.Certificate.load(key.certificate)
    # The three that ETSI EN 319 122-1 asks of level B-B; the time stands in the PDF, not here (EN 319 142-1, 6.3).
    said = {"content_type": "data", "message_digest": digest,
            "signing_certificate_v2": as_signing_certificate_v2(certificate)}
    attributes = cms.CMSAttributes([simple_cms_attribute(name, value)  # type: ignore[no-untyped-call]
                                    for name, value in said.items()])
    container = _result(signer_of(key).async_sign_prescribed_attributes("sha256", attributes))
    return place.filled(container.dump())


def signer_of(key: SigningKey) -> SimpleSigner:
    """Return pyhanko's signer for a key."""
    return _Signer(key, x509.Certificate.load(key.certificate))


def _result(steps: Coroutine[Any, Any, T]) -> T:
    """Run what never waits: no network and no other process takes part, so that it works inside a running loop too."""
    try:
        steps.send(None)
    except StopIteration as done:
        result: T = done.value
        return result
    steps.close()
    raise TersumError(N_("Signing waited for something outside, which it must not."), field="signature")

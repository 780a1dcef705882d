"""The signed head: how far an organisation's facts go, the root of the tree over all of them, under a key."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from tersum.errors import OutOfRange
from tersum.records import canonical
from tersum.records.keys import SigningKey, fingerprint
from tersum.records.schema import HASH, UUID, Instant, Record, Text, Whole

SCHEMA = "tersum/signed-head/1"
PREFIX = SCHEMA.encode() + b"\n"
SHAPE = Record({"schema": Text(SCHEMA, SCHEMA), "organisation_id": UUID, "sequence": Whole(1), "hash": HASH,
                "tree": HASH, "utc": Instant(), "key": HASH})


@dataclass(frozen=True)
class TreeHead:
    """What a signed head says: facts 1 to ``sequence`` have the root ``tree``, and the last has the hash ``hash``."""

    organisation_id: str
    sequence: int
    hash: str
    tree: str
    utc: str
    key: str

    def body(self) -> bytes:
        """Return the canonical bytes that are signed."""
        return canonical.canonical({"schema": SCHEMA, "organisation_id": self.organisation_id,
                                    "sequence": self.sequence, "hash": self.hash, "tree": self.tree, "utc": self.utc,
                                    "key": self.key})


def signed_head(head: TreeHead, key: SigningKey) -> dict[str, str]:
    """Return a head as a bundle holds it: its body, the signature over it, and the certificate of the key."""
    body = head.body()
    signature = key.private.sign(PREFIX + body, ec.ECDSA(hashes.SHA256()))
    certificate = x509.load_der_x509_certificate(key.certificate)
    return {"body": body.decode(), "signature": base64.b64encode(signature).decode(),
            "certificate": certificate.public_bytes(serialization.Encoding.PEM).decode()}


def head_signed(given: Mapping[str, Any]) -> TreeHead | None:
    """Return the head that a bundle holds if its signature is that of its own key; None if anything is off.

    Whether that key is to be trusted is not asked here.
    """
    try:
        body = str(given["body"]).encode()
        says = canonical.parsed(body)
        if SHAPE.faults("head", says) or not isinstance(says, dict):
            return None
        certificates = x509.load_pem_x509_certificates(str(given["certificate"]).encode())
        public, signature = certificates[0].public_key(), base64.b64decode(str(given["signature"]), validate=True)
        if len(certificates) != 1 or base64.b64encode(signature).decode() != given["signature"]:
            return None
        if not isinstance(public, ec.EllipticCurvePublicKey) or not isinstance(public.curve, ec.SECP256R1):
            return None
        if fingerprint(public) != says["key"]:
            return None
        public.verify(signature, PREFIX + body, ec.ECDSA(hashes.SHA256()))
    except (ValueError, InvalidSignature, binascii.Error, UnicodeEncodeError, OutOfRange):
        return None
    return TreeHead(**{name: value for name, value in says.items() if name != "schema"})  # type: ignore[arg-type]

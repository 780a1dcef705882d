"""The signature's container in its one form: what is in it, and the same bytes built again from that."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

from asn1crypto import cms, tsp, x509  # type: ignore[import-untyped]
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature
from cryptography.x509 import load_der_x509_certificate

from tersum.records.keys import fingerprint

# The order of the curve P-256 (SEC 2, 2.4.2). Of the two signatures r, s and r, order - s only the lower is used.
P256_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
# Object identifiers and the version number 1, as DER.
_SIGNED_DATA = bytes.fromhex("06092a864886f70d010702")
_DATA = bytes.fromhex("06092a864886f70d010701")
_SHA256 = bytes.fromhex("06096086480165030402010500")  # with NULL for its parameters, as most programs write it
_ECDSA_WITH_SHA256 = bytes.fromhex("06082a8648ce3d040302")
_ONE = b"\x02\x01\x01"
ATTRIBUTES = {"content_type", "message_digest", "signing_certificate_v2"}


@dataclass(frozen=True)
class Container:
    """What a signature says: the digest it is for, who signed, and the two parts that were signed and did sign."""

    digest: bytes
    certificate: bytes
    attributes: bytes
    signature: bytes

    @property
    def public_key(self) -> ec.EllipticCurvePublicKey:
        """The key in the certificate."""
        public = load_der_x509_certificate(self.certificate).public_key()
        if not isinstance(public, ec.EllipticCurvePublicKey) or not isinstance(public.curve, ec.SECP256R1):
            raise ValueError("not a key on P-256")
        return public

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the public key, 64 hexadecimal digits."""
        return fingerprint(self.public_key)

    def is_signed(self) -> bool:
        """Tell whether the key in the certificate made the signature over the attributes."""
        try:
            self.public_key.verify(self.signature, self.attributes, ec.ECDSA(hashes.SHA256()))
        except InvalidSignature:
            return False
        return True


@lru_cache(maxsize=4)
def container_in(padded: bytes) -> Container:
    """Return what a container says, if its bytes are the one form of that, followed by zeros only.

    Raises
    ------
    ValueError
        For any other bytes: another order, another length of a length, a field more, another of two equal signatures.
    """
    # The library reads more forms than the one; what it read is believed only once rebuilding gives the same bytes.
    info = cms.ContentInfo.load(padded)
    data = info["content"]
    signer, certificates = data["signer_infos"][0], data["certificates"]
    attributes = signer["signed_attrs"]
    certificate = certificates[0].chosen.dump()
    said = {one["type"].native: one["values"] for one in attributes}
    if set(said) != ATTRIBUTES or len(attributes) != len(ATTRIBUTES):
        raise ValueError("other attributes")
    named = said["signing_certificate_v2"][0]
    if not isinstance(named, tsp.SigningCertificateV2) or (
            named["certs"][0]["cert_hash"].native != hashlib.sha256(certificate).digest()):
        raise ValueError("the certificate is not the one signed for")
    # Signed are the attributes as a set (RFC 5652, 5.4), so the tag of a field becomes that of a set.
    whole = b"\x31" + attributes.dump()[1:]
    container = Container(said["message_digest"][0].native, certificate, whole, signer["signature"].native)
    if built(container).ljust(len(padded), b"\0") != padded:
        raise ValueError("not the one form")
    return container


def built(container: Container) -> bytes:
    """Return the container of these parts as DER: every choice that the standards leave open is made here.

    Written by hand, from the inside out, since a library that has read the bytes would hand back what it read.

    Source
    ------
    RFC 5652, 5.1 and 5.3; RFC 5754, 2.2 and 3.2; X.690, clauses 8.1 and 10.1.
    """
    body = x509.Certificate.load(container.certificate)["tbs_certificate"]
    sha256 = _sequence(_SHA256)
    signer = _sequence(_ONE, _sequence(body["issuer"].dump(), body["serial_number"].dump()), sha256,
                       b"\xa0" + container.attributes[1:], _sequence(_ECDSA_WITH_SHA256),
                       _value(0x04, low(container.signature)))
    signed_data = _sequence(_ONE, _value(0x31, sha256), _sequence(_DATA), _value(0xA0, container.certificate),
                            _value(0x31, signer))
    return _sequence(_SIGNED_DATA, _value(0xA0, signed_data))


def low(signature: bytes) -> bytes:
    """Return the lower of the two signatures that say the same, in its one form."""
    r, s = decode_dss_signature(signature)
    return encode_dss_signature(r, min(s, P256_ORDER - s))


def _sequence(*parts: bytes) -> bytes:
    return _value(0x30, *parts)


def _value(tag: int, *parts: bytes) -> bytes:
    """Return one value with its length in the shortest form."""
    body = b"".join(parts)
    if len(body) < 0x80:
        return bytes([tag, len(body)]) + body
    length = len(body).to_bytes((len(body).bit_length() + 7) // 8, "big")
    return bytes([tag, 0x80 | len(length)]) + length + body

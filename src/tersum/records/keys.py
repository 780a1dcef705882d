"""The keys that sign visit records: made at the first use, kept beside the data, readable by their owner only."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from tersum.errors import N_, OutOfRange, TersumError
from tersum.records.home import folder, keep_once, sync_folder
from tersum.records.trouble import StorageStopped

ID_DIGITS = 32  # of the 64 hexadecimal digits of a fingerprint; 128 bits cannot be met by another key
_NO_END = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)  # RFC 5280, 4.1.2.5: no well-defined end
_EARLIER = timedelta(days=1)  # so that a clock set right by some hours does not make a record older than its key


class MissingKey(TersumError):
    """The key that this installation signed with is gone, or anybody may read it."""

    code = "missing-key"
    exit_code = 7


@dataclass(frozen=True)
class SigningKey:
    """A private key with its self-issued certificate (DER)."""

    private: ec.EllipticCurvePrivateKey
    certificate: bytes

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the public key, 64 hexadecimal digits."""
        return fingerprint(self.private.public_key())

    @property
    def key_id(self) -> str:
        """The first half of the fingerprint."""
        return self.fingerprint[:ID_DIGITS]


def fingerprint(public: ec.EllipticCurvePublicKey) -> str:
    """Return the SHA-256 of a public key (its SubjectPublicKeyInfo, DER) as 64 hexadecimal digits."""
    return hashlib.sha256(public.public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo)).hexdigest()


def signing_key(home: Path, *, now: datetime) -> SigningKey:
    """Return the key that this installation signs with; one is made where there has never been one.

    Parameters
    ----------
    home : Path
        The data folder.
    now : datetime
        Used only when the key is made, for its certificate; with an offset.

    Raises
    ------
    MissingKey
        If there was a key and its file is gone, does not fit its certificate, or can be read by others.
    StorageStopped
        If a new key cannot be kept.
    """
    keys = home / "keys"
    current = keys / "current"
    if not current.is_file():
        if any(keys.glob("*.cert.pem")):
            raise _missing(current)
        try:
            _make(keys, now)
        except OSError as trouble:
            raise StorageStopped(
                N_("The signing key could not be kept in {value}: {reason}. Nothing was signed. Check the folder's "
                   "owner and permissions, then try again."),
                field="keys", value=str(keys), reason=trouble.strerror or str(trouble)) from trouble
    return _read(keys, current.read_text(encoding="ascii", errors="replace").strip())


def own_fingerprints(home: Path) -> Mapping[str, str]:
    """Return the fingerprint of every key this installation made, with the name of its file."""
    found = {}
    for path in sorted((home / "keys").glob("*.cert.pem")):
        found[_public_in(path.read_bytes(), str(path))] = path.name
    return found


def trusted_fingerprint(given: str) -> str:
    """Return the fingerprint, or the key number, that an option names: its digits, or a file with the public key.

    Parameters
    ----------
    given : str
        32 or 64 hexadecimal digits, blanks and colons between them or not; or the path of a certificate or public key
        in PEM form.

    Raises
    ------
    OutOfRange
        If it is neither.

    Examples
    --------
    >>> trusted_fingerprint("0123 4567 89AB CDEF 0123 4567 89ab cdef")
    '0123456789abcdef0123456789abcdef'
    """
    digits = re.sub(r"[\s:]", "", given).lower()
    if re.fullmatch(r"[0-9a-f]{32}|[0-9a-f]{64}", digits):
        return digits
    try:
        return _public_in(Path(given).read_bytes(), given)
    except (OSError, ValueError):
        raise OutOfRange("trust", given, N_("the 32 or 64 digits of a key number, or a file with a certificate or "
                                            "public key (PEM)")) from None


def _read(keys: Path, key_id: str) -> SigningKey:
    path = keys / f"{key_id}.key.pem"
    if not re.fullmatch(r"[0-9a-f]{32}", key_id) or not path.is_file():
        raise _missing(path)
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise MissingKey(N_("Others may read the signing key {value}: nothing is signed with it. Take their rights "
                            "away (chmod 600), and if somebody may have copied it, move the folder keys aside to start "
                            "a new key."), field="keys", value=str(path))
    try:
        private = serialization.load_pem_private_key(path.read_bytes(), password=None)
        certificate = x509.load_pem_x509_certificate((keys / f"{key_id}.cert.pem").read_bytes())
    except (OSError, ValueError):
        raise _missing(path) from None
    if not isinstance(private, ec.EllipticCurvePrivateKey) or private.public_key() != certificate.public_key():
        raise _missing(path)
    return SigningKey(private, certificate.public_bytes(serialization.Encoding.DER))


def _missing(path: Path) -> MissingKey:
    return MissingKey(N_("The signing key {value} is missing or damaged: nothing is signed. Restore the folder keys "
                         "from a backup; or, to start a new key, move that folder aside: records signed before then "
                         "verify with tersum verify --trust."), field="keys", value=str(path))


def _make(keys: Path, now: datetime) -> None:
    """Make a key and its certificate in a folder that appears whole; of two programs at once the first one wins."""
    made = folder(keys.with_name(f".keys.{secrets.token_hex(6)}"))
    private = ec.generate_private_key(ec.SECP256R1())
    key_id = fingerprint(private.public_key())[:ID_DIGITS]
    keep_once(made / f"{key_id}.key.pem", private.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()).decode().rstrip())
    keep_once(made / f"{key_id}.cert.pem",
              _certificate(private, key_id, now).public_bytes(serialization.Encoding.PEM).decode().rstrip())
    keep_once(made / "current", key_id)
    try:
        os.rename(made, keys)
    except OSError:
        shutil.rmtree(made)
        if not (keys / "current").is_file():
            raise
    sync_folder(keys.parent)


def _certificate(private: ec.EllipticCurvePrivateKey, key_id: str, now: datetime) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Tersum records, key {key_id}")])
    usage = x509.KeyUsage(digital_signature=True, content_commitment=True, key_encipherment=False,
                          data_encipherment=False, key_agreement=False, key_cert_sign=False, crl_sign=False,
                          encipher_only=False, decipher_only=False)
    return (x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(private.public_key())
            .serial_number(x509.random_serial_number()).not_valid_before(now - _EARLIER).not_valid_after(_NO_END)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(usage, critical=True).sign(private, hashes.SHA256()))


def _public_in(pem: bytes, name: str) -> str:
    try:
        public = x509.load_pem_x509_certificate(pem).public_key()
    except ValueError:
        public = serialization.load_pem_public_key(pem)  # type: ignore[assignment]
    if not isinstance(public, ec.EllipticCurvePublicKey):
        raise OutOfRange("trust", name, N_("a key on an elliptic curve, as Tersum makes them"))
    return fingerprint(public)

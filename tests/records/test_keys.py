"""The signing key: made once, readable by its owner only, and missed aloud when it is gone."""

import stat
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa

from tersum.errors import OutOfRange
from tersum.records.keys import MissingKey, fingerprint, own_fingerprints, signing_key, trusted_fingerprint
from tersum.records.trouble import StorageStopped

NOW = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)


def test_the_same_key_is_used_each_time(tmp_path):
    first = signing_key(tmp_path, now=NOW)
    again = signing_key(tmp_path, now=NOW)
    assert (first.key_id, first.certificate) == (again.key_id, again.certificate)
    assert list(own_fingerprints(tmp_path)) == [first.fingerprint]


def test_only_the_owner_may_read_it(tmp_path):
    key = signing_key(tmp_path, now=NOW)
    path = tmp_path / "keys" / f"{key.key_id}.key.pem"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "keys").stat().st_mode) == 0o700
    path.chmod(0o640)
    with pytest.raises(MissingKey, match="Others may read the signing key"):
        signing_key(tmp_path, now=NOW)


def test_it_is_a_key_on_p_256_with_a_certificate_for_signing_only(tmp_path):
    key = signing_key(tmp_path, now=NOW)
    assert isinstance(key.private.curve, ec.SECP256R1)
    certificate = x509.load_der_x509_certificate(key.certificate)
    assert certificate.issuer == certificate.subject
    usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    assert usage.digital_signature and usage.content_commitment and not usage.key_cert_sign
    assert certificate.not_valid_after_utc.year == 9999


@pytest.mark.parametrize("lost", ["key", "current", "garbled", "other"])
def test_a_key_that_is_gone_is_missed_and_none_is_made_in_its_place(tmp_path, lost):
    key = signing_key(tmp_path, now=NOW)
    keys = tmp_path / "keys"
    if lost == "key":
        (keys / f"{key.key_id}.key.pem").unlink()
    elif lost == "current":
        (keys / "current").unlink()
    elif lost == "garbled":
        (keys / f"{key.key_id}.key.pem").write_text("not a key")
    else:
        stranger = ec.generate_private_key(ec.SECP256R1())
        (keys / f"{key.key_id}.key.pem").write_bytes(stranger.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()))
    with pytest.raises(MissingKey, match="missing or damaged: nothing is signed. Restore the folder keys"):
        signing_key(tmp_path, now=NOW)
    assert list(own_fingerprints(tmp_path)) == [key.fingerprint]


def test_two_programs_at_once_agree_on_one_key(tmp_path):
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda _: signing_key(tmp_path, now=NOW).key_id, range(8)))
    assert len(set(made)) == 1


def test_a_folder_that_cannot_be_written_is_told(tmp_path, monkeypatch):
    from tersum.records import keys

    def refused(*_given):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(keys, "keep_once", refused)
    with pytest.raises(StorageStopped, match="could not be kept in .*Permission denied. Nothing was signed"):
        signing_key(tmp_path, now=NOW)


def test_a_data_folder_that_is_no_folder_is_told(tmp_path):
    (tmp_path / "home").write_text("a file")
    with pytest.raises(StorageStopped, match="could not be kept"):
        signing_key(tmp_path / "home", now=NOW)


def test_a_key_is_named_by_its_digits_or_by_a_file(tmp_path):
    key = signing_key(tmp_path, now=NOW)
    shouted = " ".join(key.fingerprint[place:place + 4] for place in range(0, 64, 4)).upper()
    assert trusted_fingerprint(shouted) == key.fingerprint
    assert trusted_fingerprint(key.key_id) == key.key_id
    assert trusted_fingerprint(str(tmp_path / "keys" / f"{key.key_id}.cert.pem")) == key.fingerprint
    public = tmp_path / "public.pem"
    public.write_bytes(key.private.public_key().public_bytes(
        serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo))
    assert trusted_fingerprint(str(public)) == fingerprint(key.private.public_key())


@pytest.mark.parametrize("given", ["", "0123", "0" * 31, "0" * 33, "g" * 32, "/no/such/file", "README.md"])
def test_what_names_no_key_is_refused(given):
    with pytest.raises(OutOfRange, match="32 or 64 digits"):
        trusted_fingerprint(given)


def test_a_key_of_another_kind_is_refused(tmp_path):
    path = tmp_path / "rsa.pem"
    path.write_bytes(rsa.generate_private_key(public_exponent=65537, key_size=2048).public_key().public_bytes(
        serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo))
    with pytest.raises(OutOfRange, match="elliptic curve"):
        trusted_fingerprint(str(path))

"""Every byte of a record counts: whatever is changed, added or signed by others is refused, each with its sentence."""

import os
import random
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from documents.forgeries import forgeries
from documents.poppler import signature_of, text_of
from tersum.documents import verify_text, verifying
from tersum.documents.pdf_file import signature_places
from tersum.documents.signed_record import signed_record
from tersum.documents.signing import signed
from tersum.documents.verifying import AS_ISSUED, CODES, UNKNOWN_KEY, Verification
from tersum.errors import TersumError

SOAK = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
SAMPLE = 2_000
MASKS = (0x01, 0x20, 0xFF)  # the smallest change, the other case of a letter, every bit
SHAPES = ["appended line break", "appended comment", "second revision", "note over the text", "second signature",
          "copied signature",
          "signed by another key", "cut in half", "last byte missing", "unsigned", "PDF of another program",
          "empty file", "a text", "wrapped signature", "shorter range", "high signature", "unsigned attribute",
          "exchanged certificate", "long length", "small digits", "written padding"]


@pytest.fixture(scope="module")
def forged(issued, unsigned, record, other_key):
    """Every forged record by name."""
    made = forgeries(issued, unsigned, record, other_key)
    assert list(made) == SHAPES
    return made


def test_a_record_as_issued_is_accepted_by_the_key_or_its_number(issued, key, record):
    for trusted in ([key.fingerprint], [key.key_id], [key.fingerprint.upper()], ["0" * 64, key.key_id]):
        found = verifying.verification(issued, trusted)
        assert found.genuine and found.number == record.number and found.key_id == key.key_id
    assert found.signed_utc == "2026-03-02T10:05:00Z"


def test_the_same_record_and_key_give_the_same_bytes(issued, unsigned, record, key):
    assert signed(unsigned, key, at=record.issued_at) == issued


def test_a_signed_record_is_checked_as_it_is_made(issued, record, key):
    made = signed_record(replace(record, key_id=""), key)
    assert (made.pdf, made.number, made.key_id) == (issued, record.number, key.key_id)
    assert made.check_code == verifying.verification(issued, [key.key_id]).check_code


def test_a_record_that_would_not_verify_is_not_handed_out(record, key, monkeypatch):
    monkeypatch.setattr(verifying, "_one_revision", lambda _body: False)
    with pytest.raises(TersumError, match="does not verify after signing; it was not issued"):
        signed_record(record, key)


def test_the_zone_of_the_time_changes_no_byte(record, key, issued):
    there = record.issued_at.astimezone(ZoneInfo("Pacific/Auckland"))
    assert signed_record(replace(record, issued_at=there), key).pdf == issued


def test_another_program_finds_it_valid_and_whole(issued, tmp_path):
    said = signature_of(issued, tmp_path)
    assert "Signature is Valid." in said and "Total document signed" in said
    assert "ETSI.CAdES.detached" in said and "SHA-256" in said


def test_signing_changes_no_word(issued, unsigned, tmp_path):
    assert text_of(issued, tmp_path) == text_of(unsigned, tmp_path)


def test_a_record_by_an_unknown_key_is_not_believed(issued):
    found = verifying.verification(issued, [])
    assert found.code == UNKNOWN_KEY and len(found.fingerprint) == 64 and not found.number


@pytest.mark.parametrize("shape", SHAPES)
def test_a_forged_record_is_refused_with_its_reason(forged, key, shape):
    body, code = forged[shape]
    found = verifying.verification(body, [key.fingerprint])
    assert not found.genuine
    assert found.code == code


def test_every_byte_counts(issued, key):
    """Flip bytes one after the other: all of them in the soak; here all of the signature's and a sample of the rest."""
    assert len(issued) <= 60_000
    place = signature_places(issued)[0]
    signature = range(place.at - 300, place.at + len(place.digits) + 1)
    rest = range(len(issued)) if SOAK else random.Random(20260302).sample(range(len(issued)), SAMPLE)
    positions = dict.fromkeys([*signature, *rest])
    believed = []
    for position in positions:
        for mask in MASKS if SOAK else [MASKS[position % 3]]:
            body = bytearray(issued)
            body[position] ^= mask
            if verifying.verification(bytes(body), [key.fingerprint]).code == AS_ISSUED:
                believed.append((position, mask))
        assert not believed, f"flipped byte and mask, of {len(issued)}: {believed}"


@pytest.mark.parametrize("place", ["start", "middle", "signature", "end"])
def test_a_byte_taken_out_or_put_in_is_refused(issued, key, place):
    at = {"start": 20, "middle": len(issued) // 3, "signature": signature_places(issued)[0].at + 40,
          "end": len(issued) - 12}[place]
    for body in (issued[:at] + issued[at + 1:], issued[:at] + b"0" + issued[at:]):
        assert not verifying.verification(body, [key.fingerprint]).genuine


def test_a_hostile_file_is_refused_and_never_raises(issued, key):
    dice = random.Random(7)
    for _ in range(60):
        body = bytearray(issued[:dice.randrange(len(issued))])
        for _ in range(dice.randrange(200)):
            if body:
                body[dice.randrange(len(body))] = dice.randrange(256)
        assert not verifying.verification(bytes(body), [key.fingerprint]).genuine


def test_every_finding_has_a_sentence_and_a_next_step():
    for code in CODES:
        found = Verification(code)
        assert verify_text.sentence(found).endswith(".")
        assert bool(verify_text.next_step(found)) == (code != AS_ISSUED)

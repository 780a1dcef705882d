"""The evidence bundle proves the record it was made for, and nothing that was changed in it."""

import json
import random

import pytest

from records.bundles import DAMAGES, MOMENT, a_bundle, an_organisation, damaged, issued, resealed
from tersum.errors import OutOfRange
from tersum.records import bundle as bundles
from tersum.records.bundle import checked_bundle
from tersum.records.keys import signing_key
from tersum.records.trouble import Conflict, NoStore
from tersum.records.withdrawing import states, withdrawn


@pytest.fixture
def there(tmp_path):
    store, pdfs = an_organisation(tmp_path / "home")
    with store:
        yield tmp_path / "home", store, pdfs


def written(given):
    return json.dumps(given, ensure_ascii=False).encode()


def test_bundle_of_every_record_proves_it_and_says_whether_it_counts(there):
    home, store, pdfs = there
    known = {one.number: one for one in states(store)}
    assert set(known) == set(pdfs) and len({one.state for one in known.values()}) > 1
    for number, pdf in pdfs.items():
        given, key = a_bundle(home, store, number)
        found = checked_bundle(written(given), [key.key_id], pdf)
        assert (found.code, found.genuine) == (known[number].state, True), number
        assert found.counts == (known[number].state == "in-force")
        assert found.head.sequence == store.head().sequence and found.head.hash == store.head().hash


def test_only_a_trusted_key_is_believed(there, tmp_path):
    home, store, _pdfs = there
    given, key = a_bundle(home, store, "R-0")
    assert checked_bundle(written(given), [key.fingerprint]).genuine
    assert checked_bundle(written(given), []).code == "unknown-key"
    other = signing_key(tmp_path / "other", now=MOMENT)
    assert checked_bundle(written(given), [other.fingerprint]).code == "unknown-key"


def test_another_pdf_is_not_the_record(there):
    home, store, pdfs = there
    given, key = a_bundle(home, store, "R-1")
    assert checked_bundle(written(given), [key.key_id], pdfs["R-1"] + b"\n").code == "other-pdf"


@pytest.mark.parametrize("kind", DAMAGES)
def test_each_kind_of_damage_is_refused(there, tmp_path, kind, monkeypatch):
    home, store, _pdfs = there
    other = signing_key(tmp_path / "other", now=MOMENT)
    monkeypatch.setattr("records.bundles.DAMAGES", (kind,))
    for seed in range(8):
        for number in ("R-0", "R-1"):
            given, key = a_bundle(home, store, number)
            changed, done = damaged(given, key, other, random.Random(seed))
            found = checked_bundle(written(changed), [key.key_id])
            assert not found.genuine, (kind, done, seed, found)


def test_every_flipped_byte_is_refused(there):
    home, store, _pdfs = there
    given, key = a_bundle(home, store, "R-2")
    body = written(given)
    # Blanks between the tokens and the certificate, which proves nothing, may change without changing what is said.
    spare = body.index(b"-----BEGIN"), body.index(b"-----END")
    tried = 0
    for place in range(0, len(body), 7):
        if spare[0] <= place <= spare[1] + 30 or body[place:place + 1] == b" ":
            continue
        flipped = body[:place] + bytes([body[place] ^ 1]) + body[place + 1:]
        assert not checked_bundle(flipped, [key.key_id]).genuine, (place, body[place - 20:place + 20])
        tried += 1
    assert tried > 500


@pytest.mark.parametrize("body", [b"", b"{}", b"[]", b"null", b"\xff", b"{" * 5000,
                                  b'{"schema": "tersum/evidence-bundle/1"}'])
def test_what_is_no_bundle_is_said_to_be_none(body):
    assert checked_bundle(body, []).code == "not-a-bundle"


def test_key_given_twice_is_refused(there):
    home, store, _pdfs = there
    given, key = a_bundle(home, store, "R-0")
    body = written(given).replace(b'{"schema"', b'{"number": "R-9", "schema"', 1)
    assert checked_bundle(body, [key.key_id]).code == "not-a-bundle"


def test_facts_of_two_visits_are_refused(there):
    home, store, _pdfs = there
    one, key = a_bundle(home, store, "R-0")
    two, _key = a_bundle(home, store, "R-1")
    mixed = one | {"facts": [*one["facts"], *two["facts"]]}
    assert checked_bundle(written(mixed), [key.key_id]).code == "other-visit"


def test_head_signed_for_a_tree_that_does_not_hold_the_facts_is_refused(there):
    home, store, _pdfs = there
    given, key = a_bundle(home, store, "R-0")
    assert checked_bundle(written(resealed(given, key, tree="0" * 64)), [key.key_id]).code == "not-in-tree"


def test_withdrawn_record_is_genuine_and_no_longer_counts(there):
    home, store, pdfs = there
    number = next(one.number for one in states(store) if one.state == "in-force")
    fact = withdrawn(store, number, reason="wrong-readings")
    given, key = a_bundle(home, store, number)
    found = checked_bundle(written(given), [key.key_id], pdfs[number])
    assert (found.code, found.genuine, found.counts, found.sequence) == ("withdrawn", True, False, fact.sequence)
    with pytest.raises(Conflict):
        withdrawn(store, number, reason="other")


def test_only_another_record_of_the_visit_can_replace_one(there):
    _home, store, _pdfs = there
    number, other = (one.number for one in states(store) if one.state == "in-force" and "again" not in one.number)
    with pytest.raises(OutOfRange):
        withdrawn(store, number, reason="replaced", replaced_by=other)
    with pytest.raises(NoStore):
        withdrawn(store, "R-99", reason="other")


def test_later_record_of_the_same_visit_replaces_the_earlier(there):
    home, store, _pdfs = there
    first = next(one for one in states(store) if one.state == "in-force" and "again" not in one.number)
    issued(store, first.visit_id, "R-later", b"%PDF later")
    given, key = a_bundle(home, store, first.number)
    found = checked_bundle(written(given), [key.key_id])
    assert (found.code, found.replaced_by, found.genuine) == ("replaced", "R-later", True)


def test_no_bundle_of_a_record_that_was_not_issued(there):
    home, store, _pdfs = there
    with pytest.raises(NoStore):
        a_bundle(home, store, "R-99")


def test_type_that_came_later_passes(there, monkeypatch):
    home, store, _pdfs = there
    given, key = a_bundle(home, store, "R-0")
    monkeypatch.setattr("tersum.records.facts.TYPES", {})
    assert checked_bundle(written(given), [key.key_id]).genuine
    assert bundles.GENUINE == ("in-force", "replaced", "withdrawn")

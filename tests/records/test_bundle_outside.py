"""A verifier written by somebody else, from the page of the format alone, agrees with the program's own check."""

import json
import os
import random

import pytest

from records.bundles import MOMENT, a_bundle, an_organisation, damaged
from records.outside_verifier import accepts
from tersum.records.bundle import checked_bundle
from tersum.records.keys import signing_key

FULL = os.environ.get("TERSUM_TEST_PROFILE") == "soak"
ORGANISATIONS, EACH = (50, 20) if FULL else (4, 15)


def told(body, trusted, pdf):
    found = checked_bundle(body, trusted, pdf)
    return found.code if found.genuine else None


def test_verifier_knows_nothing_of_the_program():
    with open(accepts.__code__.co_filename, encoding="utf-8") as file:
        text = file.read()
    assert "tersum." not in text.replace('"tersum/', "") and len(text.splitlines()) <= 150


@pytest.mark.parametrize("seed", range(ORGANISATIONS))
def test_both_agree_on_good_and_on_damaged_bundles(tmp_path, seed, record_property):
    made, states = random.Random(seed), set()
    store, pdfs = an_organisation(tmp_path / "home", seed=seed, visits=6)
    other, agreed = signing_key(tmp_path / "other", now=MOMENT), 0
    with store:
        bundles = {number: a_bundle(tmp_path / "home", store, number) for number in pdfs}
    for _round in range(EACH):
        number = made.choice(sorted(pdfs))
        given, key = bundles[number]
        pdf = made.choice([None, pdfs[number]])
        body = json.dumps(given, ensure_ascii=made.random() < 0.5, indent=made.choice([None, 1])).encode()
        good = accepts(body, {key.key_id}, pdf)
        assert good is not None and good == told(body, {key.key_id}, pdf)
        states.add(good)
        changed, kind = damaged(given, key, other, made)
        body = json.dumps(changed, ensure_ascii=False).encode()
        assert accepts(body, {key.key_id}, pdf) is None and told(body, {key.key_id}, pdf) is None, kind
        agreed += 2
    record_property("bundles", agreed)
    assert agreed == 2 * EACH and states

"""Claim words: they cover what they name, no more, and nothing is guessed between the lists."""

import pytest

from tersum.errors import UnknownName
from tersum.lethality.label_claims import claim, claim_words, covers, resistance_order


@pytest.mark.parametrize("word", claim_words())
def test_no_organism_is_covered_and_not_covered(word):
    found = claim(word)
    assert found.covers and found.not_covered and not set(found.covers) & set(found.not_covered)


@pytest.mark.parametrize("word", claim_words())
def test_no_claim_covers_prions(word):
    assert covers(word, "prions") == "not-covered"


def test_wider_claims_cover_what_narrower_ones_do():
    narrow, middle, wide = (set(claim(one).covers) for one in ("limited virucidal", "limited spectrum virucidal",
                                                               "virucidal"))
    assert narrow < middle < wide
    assert [covers(one, "norovirus") for one in ("limited virucidal", "limited spectrum virucidal")] == [
        "not-covered", "covered"]


def test_what_neither_list_names_is_not_guessed():
    assert covers("virucidal", "hepatitis E") == "cannot-tell" == covers("sporicidal", "C. difficile")


def test_spores_are_covered_by_no_claim_but_the_sporicidal_one():
    assert all(covers(one, "bacterial spores") in ("not-covered", "cannot-tell") for one in claim_words())
    assert claim("sporicidal").covers == ("the spores named on the label",)


def test_order_starts_with_prions_and_ends_with_lipid_viruses():
    assert resistance_order()[0] == "prions" and resistance_order()[-1] == "lipid viruses"


def test_unknown_word_is_offered_near_ones():
    with pytest.raises(UnknownName, match="virucidal"):
        claim("virocidal")

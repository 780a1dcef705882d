"""The mixing card: the volumes of the facts, in the order of pouring, on a page for each solution."""

from dataclasses import replace

import pytest

from documents import sample_records
from documents.poppler import pages_of, text_of
from documents.test_visit_record import HOSTILE
from tersum.catalogue.load import product
from tersum.documents import mixing_text
from tersum.documents.mixing_card import cards_pdf
from tersum.documents.text import PSEUDO_LOCALE
from tersum.errors import Faults
from tersum.visit.mixing import mixing_cards

PLAN, _SEED, _WORK = sample_records.example()
CARDS = mixing_cards(PLAN, product)


def made(cards=CARDS, plan=PLAN, **options):
    return cards_pdf(plan, cards, at=sample_records.ISSUED, **options)


def test_every_number_and_sentence_of_a_solution_stands_on_its_card(tmp_path):
    text = text_of(made(), tmp_path, "-layout")
    for card in CARDS:
        for label, amount in [*mixing_text.amounts(card), *mixing_text.strengths(card)]:
            assert label in text
            for word in amount.split(" ("):
                assert word.strip("()") in text
        for line in mixing_text.instructions(card):
            assert line.split(";")[0] in text


def test_volumes_stand_in_the_order_of_pouring(tmp_path):
    text = text_of(made(CARDS[:1]), tmp_path, "-layout")
    assert text.index("1 water") < text.index("2 concentrate")
    first = replace(CARDS[0], product=replace(CARDS[0].product, pour_order="concentrate-first"))
    text = text_of(made((first,)), tmp_path, "-layout")
    assert text.index("1 concentrate") < text.index("2 water")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_solution_has_a_page_and_the_same_bytes_twice(paper, tmp_path):
    assert made(paper=paper) == made(paper=paper)
    assert pages_of(made(paper=paper), tmp_path)[0] == len(CARDS)


def test_there_is_room_for_initials_lot_and_times(tmp_path):
    text = text_of(made(), tmp_path)
    for words in ("mixed at", "use before", "lot of the concentrate", "mixed by (initials)"):
        assert text.count(words) == len(CARDS)


def test_texts_are_translated_and_markup_stays_text(tmp_path):
    assert "Mixing card" not in text_of(made(lang=PSEUDO_LOCALE), tmp_path)
    plan = replace(PLAN, place=HOSTILE)
    assert "*a* #b $c$ <d> _e_ [f]" in text_of(made(plan=plan), tmp_path)


def test_what_cannot_be_printed_is_refused():
    with pytest.raises(Faults, match="U+4EAC".replace("+", r"\+")):
        made((replace(CARDS[0], step=replace(CARDS[0].step, what="北京")),))
    with pytest.raises(Exception, match="at least one step with a product"):
        made(())

"""Whatever names a product of the demo says that its label wins, and what to mind by its label and its class."""

import re
from html import unescape

import pytest

from documents import sample_records
from documents.poppler import text_of
from tersum.catalogue import load
from tersum.chemistry.hazard_product import product_hazard
from tersum.chemistry.ratio import parse_ratio
from tersum.documents.mixing_card import cards_pdf
from tersum.documents.mixing_page import markdown
from tersum.documents.visit_record import record_pdf
from tersum.visit.mixing import mixing_cards
from web.addresses import html_pages

PRODUCTS = [load.product(name) for name in ("Demo Concentrate A", "Demo Cleaner B")]
LABEL_WINS = re.compile(r"(?i)\blabel and (the )?safety data sheet[^.]* (go before|win over)|"
                        r"\blabel, the safety data sheet and local rules come before")

# By the class of each: burns, irritant vapour and an oxidiser; burns. Written out, so that the rule is checked as well.
PROTECTION = {
    "Demo Concentrate A": ("Tight goggles", "Chemical gloves (EN ISO 374-1)", "Open doors and windows before",
                           "Leave vessels vented", "Rinse used rags at once", "Concentrate into water, never",
                           "Entering again: not before the label allows", "section 4 of the safety data sheet"),
    "Demo Cleaner B": ("Tight goggles", "Chemical gloves (EN ISO 374-1)", "Concentrate into water, never",
                       "section 4 of the safety data sheet"),
}


def words(text):
    """One space between words: line breaks of a page are no part of what it says."""
    return " ".join(text.split())


def of_page(html):
    return words(unescape(re.sub(r"<[^>]+>", " ", html.replace("</bdi>", "").replace("<bdi>", ""))))


def missing(text, *, protect=True):
    """Return what a text that names products of the demo leaves out; nothing for one that names none.

    How to protect whoever works is for those who mix and work, not for the customer's record.
    """
    left_out = []
    for product in PRODUCTS:
        if product.name not in text:
            continue
        left_out += [] if LABEL_WINS.search(text) else [f"{product.name}: whose word wins"]
        left_out += [f"{product.name}: {line}" for line in product.cautions if words(line) not in text]
        ratio = parse_ratio(product.label_ratio, reading=product.ratio_reading)
        hazard = product_hazard(product, ratio)
        left_out += [f"{product.name}: {line}" for line in PROTECTION[product.name] if protect and line not in text]
        for found in (hazard.neat, hazard.working):
            left_out += [f"{product.name}: {code}" for code in found.label_at_worst.h_codes if code not in text]
    return left_out


def names_any(text):
    return any(product.name in text for product in PRODUCTS)


def test_every_page_that_names_a_product_says_what_to_mind(site):
    pages = {name: of_page(site.get(path).text) for name, path in html_pages(site).items()}
    pages |= {f"card {place}": of_page(site.get(f"{site.visit}/cards/{place}").text) for place in (2, 5)}
    left_out = {name: missing(text) for name, text in pages.items() if missing(text)}
    assert left_out == {}
    assert sum(map(names_any, pages.values())) >= 3, "the visit and its cards name products"


@pytest.mark.parametrize("name", ["finished", "unfinished"])
def test_every_record_that_names_a_product_says_what_to_mind(name, tmp_path):
    text = words(text_of(record_pdf(getattr(sample_records, name)()), tmp_path))
    assert names_any(text) and missing(text, protect=False) == []


def test_every_card_to_print_or_send_says_what_to_mind(tmp_path):
    plan, _seed, _work = sample_records.example()
    for card in mixing_cards(plan, load.product):
        printed = words(text_of(cards_pdf(plan, (card,), at=sample_records.ISSUED), tmp_path))
        sent = words("".join(markdown(plan, (card,))))
        assert names_any(printed) and missing(printed) == []
        assert names_any(sent) and missing(sent) == []


def test_each_kind_of_step_is_shown_with_what_to_mind_in_it(site):
    """The example's steps: vacuuming, washing, rinsing, drying, disinfecting."""
    text = of_page(site.get(site.visit).text)
    for line in ("Sharps are picked up with a tool", "Droppings are never vacuumed or brushed dry",
                 "Wet floors are slippery", "No running engine", "Let somebody know where you are"):
        assert line in text, line

"""Leaves the label's cautions out of cards, pages and records."""

from dataclasses import replace

from tersum.catalogue import load

WHAT = "a product is shown without the cautions of its label"
BREAKS = ["tests/web/test_cautions_everywhere.py::test_every_page_that_names_a_product_says_what_to_mind",
          "tests/web/test_cautions_everywhere.py::test_every_card_to_print_or_send_says_what_to_mind"]


def apply(monkeypatch):
    from tersum.documents import mixing_text, step_cautions

    card_lines, before = mixing_text.instructions, step_cautions._cautions
    labels = {line for name in ("Demo Concentrate A", "Demo Cleaner B") for line in load.product(name).cautions}
    monkeypatch.setattr(mixing_text, "instructions",
                        lambda card: [line for line in card_lines(card) if line not in labels])
    monkeypatch.setattr(step_cautions, "_cautions", lambda step, product_of: [
        line for line in before(step, lambda name: replace(product_of(name), cautions=()))])

"""The mixing card of a visit as a page of Markdown, to print or to send."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tersum.documents import mixing_text
from tersum.documents.hazard_card import hazard_lines
from tersum.documents.text import _
from tersum.records.export import markdown_lines
from tersum.visit.mixing import MixingCard
from tersum.visit.plan import Plan


def markdown(plan: Plan, cards: Sequence[MixingCard]) -> Iterator[str]:
    """Yield the lines of a page with every working solution of a plan."""
    for card in cards:
        title = _("Mixing card: {place}, {what}").format(place=plan.place, what=mixing_text.heading(card))
        rows = [*mixing_text.amounts(card), *mixing_text.strengths(card)]
        yield from markdown_lines(title, [_("Invented demo data.")] if plan.invented else [],
                                  [_("what"), _("how much")], rows)
        yield "\n"
        for line in mixing_text.instructions(card):
            yield f"- {line}\n"
        yield "\n" + _("Hazard class, computed:") + "\n\n"
        for line in hazard_lines(mixing_text.hazards(card)):
            yield f"- {line}\n"
        yield "\n" + _("Mixed at: ________  by: ________  lot: ________") + "\n\n"

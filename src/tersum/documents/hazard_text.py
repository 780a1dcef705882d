"""Hazard class in words: classes and statements, what is not known, each sum against its limit, whose word wins."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tersum.catalogue.hazard_entry import HazardEntry
from tersum.chemistry.hazard import Classification, Fired, Gap
from tersum.chemistry.hazard_labels import label_of, wording
from tersum.chemistry.hazard_product import ProductHazard
from tersum.documents.numbers import number_text
from tersum.documents.text import _
from tersum.errors import N_

LABEL_WINS = N_("The supplier's label and safety data sheet, and local law, win over all of this: it is a screening "
                "aid, no label.")
NOTHING = N_("No classification triggered by the listed ingredients. That is no statement that it does no harm.")
SIGNALS: Mapping[str, str] = {"danger": N_("Danger"), "warning": N_("Warning"), "none": N_("no signal word")}

GAPS: Mapping[str, str] = {
    "rest-not-listed": N_("{number} % w/w is not listed: what it adds cannot be told, so no class can be excluded."),
    "ingredient-not-known": N_("{about}, {number} % w/w: its hazards are not known here, so no class can be excluded. "
                               "Take them from section 3 of the safety data sheet."),
    "index-number-not-known": N_("{about}: index number {text} is not in the list, so the ingredient counts as "
                                 "unknown."),
    "ph-not-stated": N_("No pH is known for it: corrosion by an extreme pH cannot be excluded."),
    "ph-computed": N_("pH {number} was computed for the dilution in pure water; a reading says more."),
    "ph-rule-set-aside": N_("pH {number}: the pH rule was set aside because the acid or alkaline reserve and test data "
                            "are stated to show no corrosion."),
    "newest-entry-not-read": N_("{about}: the newest line of the law was not read ({text}). What is shown may be out "
                                "of date; the stricter of what is known was taken."),
    "minimum-classification": N_("{about}: {text} is the least it may be; its data may ask for a stricter category."),
    "m-factor-not-stated": N_("{about}: no M factor is known for {text}, so that class cannot be excluded in any "
                              "share."),
    "entry-recalled": N_("{about}: its classes were recalled, not read ({text})."),
    "class-not-computed": N_("{about} is {text}, which is not computed here: ask its supplier about the mixture."),
    "estimate-on-bound": N_("{text}: the estimate lies on the bound only by a converted value. A measured toxicity "
                            "decides between two categories."),
    "density-not-stated": N_("{about}: no density is stated; the one that makes it strongest was taken."),
}
STATUS: Mapping[str, str] = {
    "as-read": N_("as read"),
    "may-have-changed": N_("as read; may have changed since"),
    "superseded": N_("superseded on {until}: no longer the law"),
    "expected": N_("expected, not read: only makes the answer stricter"),
    "recalled": N_("recalled, not read"),
    "no-harmonised-entry": N_("no harmonised entry"),
    "supplier": N_("stated by the supplier"),
}
# Each rule with its place in Annex I.
RULES: Mapping[str, str] = {
    "skin-sum": N_("skin, sum (3.2.3)"),
    "skin-not-additive": N_("skin, not additive (3.2.4)"),
    "eye-sum": N_("eye, sum (3.3.3)"),
    "eye-not-additive": N_("eye, not additive (3.3.4)"),
    "acute-estimate": N_("acute toxicity (3.1.3.6)"),
    "stot-sum": N_("airways, drowsiness (3.8.3.4)"),
    "aquatic-sum": N_("water life (4.1.3.5.5)"),
    "oxidising-limit": N_("oxidising, own limit"),
    "flash-point": N_("flash point not known (practice)"),
    "supplementary-limit": N_("supplementary, own limit"),
    "ph-extreme": N_("pH of the mixture (3.2.3.1.2)"),
    "ph-not-stated": N_("pH not known"),
    "organic-peroxide-oxygen": N_("available oxygen (2.15.2.1)"),
}
TRIGGERED, POSSIBLE = N_("triggered"), N_("cannot be excluded")
EUH206 = "EUH206"


def answer(found: Classification) -> str:
    """Return the first line on a mixture: its signal word, or that nothing is triggered."""
    if found.nothing_triggered:
        return _(NOTHING)
    return _("Signal word by the listed ingredients: {word}.").format(word=_(SIGNALS[found.label.signal]))


def at_worst(found: Classification) -> str | None:
    """Return what to work by where something stricter cannot be excluded."""
    if found.label_at_worst.h_codes == found.label.h_codes and not found.cannot_tell:
        return None
    codes = ", ".join((*found.label_at_worst.h_codes, *found.label_at_worst.euh_codes)) or _("none")
    return _("Cannot tell more: protect people by the stricter codes: {codes}.").format(codes=codes)


def class_rows(found: Classification) -> list[tuple[str, str, str]]:
    """Return class, statement, and whether it is triggered or cannot be excluded."""
    rows = []
    for one in found.endpoints:
        if one.category:
            rows.append((one.category, _statement(one.category, found), _(TRIGGERED)))
        if one.at_worst and one.undecided:
            rows.append((one.at_worst, _statement(one.at_worst), _(POSSIBLE)))
    for code in found.label_at_worst.euh_codes:
        sold = _(" (where it is sold to the public)") if code == EUH206 else ""
        rows.append((code, _(wording(code)) + sold, _(TRIGGERED if code in found.label.euh_codes else POSSIBLE)))
    return rows


def entry_rows(found: Classification) -> list[tuple[str, str, str, str]]:
    """Return each ingredient with its share, index number, and how far its entry may be trusted."""
    rows = []
    for one in found.composition.parts:
        for place, entry in enumerate(one.entries or (None,)):
            share = "" if place else number_text(one.ww_pct)
            rows.append((one.name if not place else "", share, (entry and entry.index_number) or "", _trust(entry)))
    if found.composition.unlisted_ww_pct:
        rows.append((_("not listed"), number_text(found.composition.unlisted_ww_pct), "", _("unknown")))
    return rows


def trace_rows(found: Classification) -> list[tuple[str, str, str, str, str]]:
    """Return every rule that was asked: its place, class, sum, limit, and what it said."""
    return [(_(RULES[one.code]), one.category, _shown(one.total), _shown(one.limit), _said(one)) for one in found.trace]


def gap_texts(found: ProductHazard, mixture: Classification) -> Iterator[str]:
    """Yield what is not known of a product and one mixture of it; each sentence once."""
    seen = set()
    for gap in (*found.gaps, *mixture.gaps):
        text = gap_text(gap)
        if text not in seen and not (gap.code == "ph-computed" and mixture is found.neat):
            seen.add(text)
            yield text


def gap_text(gap: Gap) -> str:
    """Return one thing that is not known, in a sentence."""
    number = "" if gap.number is None else number_text(gap.number)
    return _(GAPS[gap.code]).format(about=gap.about, number=number, text=gap.text)


def list_lines(found: Classification) -> list[str]:
    """Return the date and legal text of the list, and the newest amendment it knows of."""
    made = found.list_date
    return [_("List of substances of {date}; {basis}.").format(date=made.date, basis=made.basis),
            _("Newest amendment known: {amendment}.").format(amendment=made.newest_amendment), _(LABEL_WINS)]


def precautions(found: Classification) -> list[tuple[str, str]]:
    """Return the P-codes to work by, with their wording."""
    return [(code, _(wording(code))) for code in found.label_at_worst.p_codes]


def _statement(category: str, found: Classification | None = None) -> str:
    if found is not None and category == "Eye Dam. 1" and found.eyes_covered:
        return _("covered by H314")
    code = label_of([category]).h_codes[0]
    by_test = _(" The type is found by test.") if category == "Org. Perox." else ""
    return f"{code} {_(wording(code))}{by_test}"


def _trust(entry: HazardEntry | None) -> str:
    if entry is None:
        return _("unknown")
    return _(STATUS[entry.status]).format(until=entry.until or "")


def _shown(value: float) -> str:
    return _("any") if value > 1e8 else number_text(value)


def _said(one: Fired) -> str:
    if not one.reached:
        return _("not reached")
    return _(TRIGGERED if one.certain else POSSIBLE)

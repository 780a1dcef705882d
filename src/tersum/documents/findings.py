"""What a check of the ledger found, as sentences."""

from __future__ import annotations

from tersum.documents.text import _
from tersum.errors import N_
from tersum.records.findings import Finding

_SENTENCES = {
    "no-facts": N_("There is no fact at all, though an organisation always has its first."),
    "facts-missing": N_("Facts are missing before fact {sequence} ({type}): {count} after fact {after}."),
    "body-changed": N_("Fact {sequence} ({type}, {fact_id}) was changed after it was sealed."),
    "not-a-fact": N_("Fact {sequence} ({type}, {fact_id}) is not in the form of a fact: {fault}"),
    "column-differs": N_("Fact {sequence} ({type}, {fact_id}): its column {column} was changed: the sealed fact says "
                         "{fact_says}, the column {table_says}."),
    "link-broken": N_("Fact {sequence} ({type}, {fact_id}) is not linked to what now stands before it, fact {before}: "
                      "one of the two was replaced, moved or put in."),
    "repeated": N_("Fact {sequence} ({type}, {fact_id}) repeats the {what} of fact {first}."),
    "batch-rows-missing": N_("Fact {sequence} ({type}, {fact_id}) sealed {sealed} rows; {found} are there."),
    "batch-changed": N_("Rows of fact {sequence} ({type}, {fact_id}) were changed, moved or exchanged; first at row "
                        "{row}."),
    "batch-rows-of-no-fact": N_("There are batch rows of fact {fact_id}, which is not there or sealed none."),
    "personal-value-gone": N_("Fact {sequence} ({type}, {fact_id}): the {field} of subject {subject_id} is gone, and "
                              "no fact says that it was erased."),
    "personal-value-differs": N_("Fact {sequence} ({type}, {fact_id}): the {field} of subject {subject_id} was changed "
                                 "after it was sealed."),
    "erased-but-there": N_("Subject {subject_id} was erased, yet {table} still holds something of it: an old copy was "
                           "brought back."),
    "draw-differs": N_("Fact {sequence} ({type}, {fact_id}): the seed shown is not the one sealed in the plan."),
    "verdict-differs": N_("Fact {sequence} ({type}, {fact_id}): computed again from the facts before it, {path} is "
                          "{computed}; sealed is {sealed}."),
    "verdict-not-computable": N_("Fact {sequence} ({type}, {fact_id}) cannot be computed again: {fault}"),
    "table-differs": N_("Table {table}, row {position} of fact {sequence} ({type}, {fact_id}): {column} is "
                        "{table_says}; the fact says {fact_says}. Run: tersum ledger rebuild"),
    "table-row-of-no-fact": N_("Table {table} holds {rows} rows that come from no fact. Run: tersum ledger rebuild"),
    "tail-cut-off": N_("Fact {sequence} is not there, though its head was remembered ({remembered}): the newest facts "
                       "were cut off, or an old copy was brought back."),
    "not-the-remembered-fact": N_("Fact {sequence} ({type}, {fact_id}) is not the one that was remembered "
                                  "({remembered}): the ledger was written anew from there or before."),
    "clock-went-back": N_("Fact {sequence} ({type}, {fact_id}) says {utc}, which is before {before}, said by the fact "
                          "before it from the same device: a clock was changed."),
}


def sentence(finding: Finding) -> str:
    """Return a finding as a sentence in the reader's language."""
    shown = {"sequence": finding.sequence, "type": finding.type, "fact_id": finding.fact_id, **finding.parameters}
    if shown.get("row", 0) is None:
        shown["row"] = "?"
    return _(_SENTENCES[finding.code]).format(**{name: _short(value) for name, value in shown.items()})


def codes() -> tuple[str, ...]:
    """Return every code that has a sentence."""
    return tuple(_SENTENCES)


def _short(value: object) -> str:
    text = "".join(mark if mark.isprintable() else " " for mark in str(value))
    return text if len(text) <= 120 else text[:117] + "..."

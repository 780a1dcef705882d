"""What a check of an evidence bundle found, as one sentence and a next step."""

from __future__ import annotations

from tersum.documents.text import _
from tersum.errors import N_
from tersum.records import bundle
from tersum.records.bundle import BundleCheck

_AGAIN = N_("Ask the company for a bundle of this record.")
_SENTENCES = {
    bundle.IN_FORCE: (N_("The bundle bears record {number} out: every fact in it was sealed as it stands, under a head "
                         "signed by a key you trust, and as of {utc} the record counts."), ""),
    bundle.REPLACED: (N_("Record {number} was issued as the bundle says, and a later one of the same visit counts "
                         "instead: {replaced_by} (as of {utc})."), N_("Ask the company for record {replaced_by}.")),
    bundle.WITHDRAWN: (N_("Record {number} was issued as the bundle says, and was withdrawn since (as of {utc})."),
                       N_("Ask the company why, and whether another record counts instead.")),
    bundle.NOT_A_BUNDLE: (N_("This file is not an evidence bundle."), _AGAIN),
    bundle.HEAD_WRONG: (N_("The head of the bundle is not as it was signed."), _AGAIN),
    bundle.UNKNOWN_KEY: (N_("The bundle is signed by an unknown key: this installation did not make that key and it "
                            "was not named as trusted."),
                         N_("Ask the company for the number of its key, by another way than this file, and run tersum "
                            "verify again with --trust NUMBER")),
    bundle.FACT_WRONG: (N_("A fact of the bundle does not have the form of one, or is out of its order."), _AGAIN),
    bundle.NOT_IN_TREE: (N_("Fact {sequence} of the bundle is not one that the company had sealed: it was changed, or "
                            "added."), _AGAIN),
    bundle.ROWS_WRONG: (N_("Rows under fact {sequence} of the bundle are not as they were sealed."), _AGAIN),
    bundle.OTHER_VISIT: (N_("The bundle holds facts of more than one visit, or of none."), _AGAIN),
    bundle.NO_SUCH_RECORD: (N_("The bundle does not say that record {number} was issued."), _AGAIN),
    bundle.OTHER_PDF: (N_("The PDF is not the file that was issued as record {number}."),
                       N_("Ask the company for the file as it was issued.")),
}


def sentence(found: BundleCheck) -> str:
    """Return what was found."""
    return _(_SENTENCES[found.code][0]).format(**_places(found))


def next_step(found: BundleCheck) -> str:
    """Return what to do now; empty where there is nothing to do."""
    step = _SENTENCES[found.code][1]
    return _(step).format(**_places(found)) if step else ""


def _places(found: BundleCheck) -> dict[str, object]:
    return {"number": found.number, "sequence": found.sequence, "replaced_by": found.replaced_by or "-",
            "utc": found.head.utc[:16].replace("T", " ") + " UTC" if found.head else "-"}

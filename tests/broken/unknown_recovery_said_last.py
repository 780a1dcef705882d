"""Says what is not known about a chemical after everything else."""

from tersum.documents import residue_text

WHAT = "that nobody knows how much a chemical upsets the reading is said last"
BREAKS = ["tests/cli/test_evidence_verbs.py::test_a_recovery_that_is_unknown_is_said_first"]


def apply(monkeypatch):
    honest = residue_text.residue_lines
    monkeypatch.setattr(residue_text, "residue_lines", lambda groups: honest(groups)[::-1])

"""Looks at every fact by itself and never at the one before it."""

from tersum.records.inspection import Inspection

WHAT = "the link to the fact before is not looked at, so that facts can be replaced with a hash that fits"
BREAKS = ["tests/records/test_tampering.py::test_relinked_chain_is_found_where_it_was_opened",
          "tests/records/test_tampering.py::test_facts_of_another_organisation_do_not_pass",
          "tests/records/test_tampering.py::test_swapped_facts_are_found"]


def apply(monkeypatch):
    honest = Inspection.findings
    monkeypatch.setattr(Inspection, "findings", lambda self: (
        one for one in honest(self) if one.code not in ("link-broken", "facts-missing")))

"""Names no rule as known from memory only."""

from tersum.lethality import carriers, efficacy, neutraliser

WHAT = "results rest on recalled rules without saying so"
BREAKS = ["tests/lethality/test_efficacy.py::test_rules_from_memory_are_named_in_the_result",
          "tests/cli/test_efficacy.py::test_rules_from_memory_are_named_in_every_result_that_uses_them"]


def apply(monkeypatch):
    for module in (efficacy, carriers, neutraliser):
        monkeypatch.setattr(module, "memorised", lambda rules: ())

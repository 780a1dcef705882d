"""Reads a validation control out of its range as a product that did not do enough."""

from dataclasses import replace

from tersum.lethality import efficacy, surface_efficacy, suspension
from tersum.lethality.efficacy import INVALID
from tersum.lethality.log_reduction import NOT_MET

WHAT = "a test that its own controls make invalid is told as not met"
BREAKS = ["tests/lethality/test_suspension.py::test_control_out_of_range_makes_a_great_reduction_invalid",
          "tests/lethality/test_surface_efficacy.py::test_wipe_that_carries_nothing_even_with_water_shows_nothing"]


def apply(monkeypatch):
    honest = efficacy.evaluated

    def told(*given, **more):
        found = honest(*given, **more)
        return replace(found, answer=NOT_MET) if found.answer == INVALID else found

    for module in (efficacy, suspension, surface_efficacy):
        monkeypatch.setattr(module, "evaluated", told)

"""A limit is taken for an instrument, swab and area that it does not belong to."""

from tersum.records.limits_file import Limits

WHAT = "a limit of one instrument, swab and area is carried over to another"
BREAKS = ["tests/cli/test_decide.py::test_limit_of_another_instrument_is_a_fault_and_releases_nothing",
          "tests/cli/test_decide.py::test_limit_of_another_swab_or_area_is_a_fault",
          "tests/records/test_limits_file.py::test_limit_belongs_to_instrument_swab_area_and_surface"]


def apply(monkeypatch):
    monkeypatch.setattr(Limits, "of_meter", lambda self, meter: self.limits)

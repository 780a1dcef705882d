"""Lets the source end when the wiping ends, as if nothing were wet any more."""

from tersum.chemistry import exposure

WHAT = "fabric that is still wet gives nothing off"
BREAKS = ["tests/chemistry/test_air.py::test_source_goes_on_while_fabric_is_wet"]


def apply(monkeypatch):
    monkeypatch.setattr(exposure, "_wet_until_min", lambda task: task.work_min)

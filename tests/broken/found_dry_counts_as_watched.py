"""Takes a look that found the surface dry for the moment at which it dried."""

from tersum.visit import contact

WHAT = "time nobody watched counts as wet"
BREAKS = ["tests/visit/test_carried_out.py::test_surface_found_dry_dried_somewhere_since_the_last_look"]


def apply(monkeypatch):
    honest = contact.wet_time
    monkeypatch.setattr(contact, "wet_time", lambda marks, *, ended_min, watched: honest(
        marks, ended_min=ended_min, watched=True))

"""Writes what was typed into the page as it stands."""

from tersum.web import rendering

WHAT = "values are not escaped in pages"
BREAKS = ["tests/web/test_bad_input.py::test_marker_in_every_field_of_every_form_is_kept_or_refused_but_never_run"
          "[marker0]"]


def apply(monkeypatch):
    monkeypatch.setattr(rendering._environment(), "autoescape", False)

"""Takes forms that the pages of another host send."""

from tersum.web import routes

WHAT = "a form is taken wherever it comes from"
BREAKS = ["tests/web/test_policies.py::test_form_from_another_page_is_refused_and_nothing_changes[headers0]"]


def apply(monkeypatch):
    monkeypatch.setattr(routes, "is_from_here", lambda scope: True)

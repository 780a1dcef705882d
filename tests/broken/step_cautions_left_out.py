"""Shows the steps of a visit without what to mind in their kind of work."""

from tersum.documents import step_cautions

WHAT = "sharps, droppings, wet floors and exhaust are not named before the steps they belong to"
BREAKS = ["tests/web/test_cautions_everywhere.py::test_each_kind_of_step_is_shown_with_what_to_mind_in_it"]


def apply(monkeypatch):
    monkeypatch.setattr(step_cautions, "step_caution_lines", lambda kind: [])

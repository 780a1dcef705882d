"""A model that expects less than the label shortens the contact time."""

WHAT = "where a model expects less than the label the model's time comes out"
BREAKS = ["tests/properties/test_lethality_laws.py::test_a_shorter_label_time_can_never_come_out",
          "tests/cli/test_contact.py::test_law_may_ask_for_longer_and_never_for_less"]


def apply(monkeypatch):
    from tersum.lethality import label_time

    # The larger of the two times is what comes out; here it is the model's, whichever is larger.
    monkeypatch.setattr(label_time, "max", lambda label_min, model_min: model_min, raising=False)

"""A surface that dried and was wetted again counts as wet all along."""

WHAT = "the contact time goes on after the surface has dried"
BREAKS = ["tests/cli/test_contact.py::test_marks_become_an_answer_with_its_exit_code"]


def apply(monkeypatch):
    from tersum.lethality import wet_time

    def all_along(marks, *, ended_min, watched=True):
        return wet_time.WetTime(ended_min - marks[0][0], ended_min - marks[0][0], 0)

    monkeypatch.setattr(wet_time, "wet_time", all_along)

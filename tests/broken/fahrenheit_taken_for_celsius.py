"""A trace in °F that does not say so is taken as °C."""

WHAT = "nobody asks whether a trace that was never cool and hotter than the boil is in °F"
BREAKS = ["tests/cli/test_heat.py::test_fahrenheit_is_asked_about_and_may_be_said"]


def apply(monkeypatch):
    from tersum.records import trace_file

    monkeypatch.setattr(trace_file, "looks_like_fahrenheit", lambda coolest_c, hottest_c, *, cap_c=100.0: False)

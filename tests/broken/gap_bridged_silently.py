"""A gap in a trace is filled with a straight line, and nobody is told."""

WHAT = "an interval of a trace counts however long it is"
BREAKS = ["tests/lethality/test_heat_trace.py::test_gap_earns_nothing_and_is_said",
          "tests/cli/test_heat.py::test_gap_spike_and_boil_are_said"]


def apply(monkeypatch):
    from tersum.lethality import heat_trace

    monkeypatch.setattr(heat_trace, "GAP_INTERVALS", 1e12)

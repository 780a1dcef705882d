"""The dose of a trace is taken from its mean temperature."""

WHAT = "A0 is counted from the mean temperature of an interval instead of the mean of its rates"
BREAKS = ["tests/lethality/test_heat_trace.py::test_ramp_is_integrated_exactly_and_never_from_its_mean",
          "tests/properties/test_lethality_laws.py::test_a0_does_not_change_when_a_piecewise_linear_trace_is_resampled"]


def apply(monkeypatch):
    from tersum.lethality import heat_trace
    from tersum.lethality.heat import dose_at
    from tersum.lethality.heat_rate import Credit

    def of_the_mean(counted, seconds, temps, *, cap_c, method):
        mean = (temps[:-1] + temps[1:]) / 2.0
        return Credit(dose_at(mean, seconds, counted=counted) * counted.unit_s, seconds, None)

    monkeypatch.setattr(heat_trace, "credit", of_the_mean)

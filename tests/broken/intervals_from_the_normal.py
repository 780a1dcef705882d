"""Every interval of few values taken from the normal distribution instead of Student's t."""

WHAT = "Student's t is replaced by the normal quantile"
BREAKS = [
    "tests/chemistry/test_meter_drift.py::test_interval_of_the_trend_covers_the_truth_in_95_of_100_histories",
]


def apply(monkeypatch):
    from scipy.special import ndtri

    def normal(confidence, _degrees_of_freedom):
        return float(ndtri(0.5 * (1.0 + confidence)))

    monkeypatch.setattr("tersum.chemistry.meter_drift.t_factor", normal)

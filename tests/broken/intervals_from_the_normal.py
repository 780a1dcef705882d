"""Every interval of few values taken from the normal distribution instead of Student's t."""

WHAT = "Student's t is replaced by the normal quantile"
BREAKS = [
    "tests/chemistry/test_meter_drift.py::test_interval_of_the_trend_covers_the_truth_in_95_of_100_histories",
    "tests/chemistry/test_decay.py::test_interval_of_a_fitted_rate_covers_the_truth_93_to_97_times_in_100",
]


def apply(monkeypatch):
    from scipy.special import ndtri

    def normal(confidence, _degrees_of_freedom):
        return float(ndtri(0.5 * (1.0 + confidence)))

    for module in ("meter_drift", "decay", "use_by"):
        monkeypatch.setattr(f"tersum.chemistry.{module}.t_factor", normal)

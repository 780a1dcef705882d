"""A trace on record: the least sensor's dose, its interval, what was not credited, and the hash of its file."""

import hashlib

import pytest

from tersum.errors import TersumError
from tersum.lethality.heat import dose
from tersum.lethality.heat_trace import Logging, heat_dose
from tersum.records.heat_on_record import heat_on_record
from tersum.visit.heat_step import TraceAsked, heat_met

STEADY = "time_s,temp_c_seat,temp_c_door\n" + "".join(f"{10 * row},80.0,85.0\n" for row in range(7))


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "trace.csv").write_text(STEADY, encoding="utf-8")
    return tmp_path


def test_least_sensor_stands_for_the_step_with_its_interval_and_hash(folder):
    found = heat_on_record(folder, TraceAsked("trace.csv", sensor_u_k=1.0))
    assert (found.sensor, found.sensors, found.samples, found.a0) == ("temp_c_seat", 2, 7, 60.0)
    assert (found.low, found.high) == pytest.approx((60.0 * 10**-0.1, 60.0 * 10**0.1), rel=1e-5)
    assert found.sha256 == hashlib.sha256(STEADY.encode()).hexdigest()
    again = heat_dose([10.0 * row for row in range(7)], [80.0] * 7, counted=dose("A0"), logging=Logging(sensor_u_k=1.0))
    assert found.a0 == pytest.approx(again.dose)


def test_dose_without_the_sensors_uncertainty_has_no_interval_and_proves_nothing(folder):
    found = heat_on_record(folder, TraceAsked("trace.csv"))
    assert (found.low, found.high) == (None, None)
    assert "sensor-uncertainty-not-stated" in found.findings
    assert heat_met(1.0, found) == "cannot-tell"


@pytest.mark.parametrize("text", [
    "time_s,temp\n0,80\n", "time_s,temp_c\n0,80\n", "time_s,temp_c\n0,80\n10,80\n5,80\n",
    "time_s,temp_c\n0,140\n10,205\n"])
def test_bad_trace_is_refused_and_gives_no_dose(tmp_path, text):
    (tmp_path / "trace.csv").write_text(text, encoding="utf-8")
    with pytest.raises(TersumError):
        heat_on_record(tmp_path, TraceAsked("trace.csv"))


def test_trace_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(TersumError):
        heat_on_record(tmp_path, TraceAsked("none.csv"))

"""Doses from traces: rates summed, gaps and spikes earn nothing, what is wrong is said."""

import math
import tracemalloc

import numpy as np
import pytest
from scipy.integrate import quad

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.heat import dose, sensor_factor
from tersum.lethality.heat_trace import CHUNK, Logging, TraceDose, heat_dose, looks_like_fahrenheit

A0, F0 = dose("A0"), dose("F0")
FREE = dose("A0", cut_off_c=-math.inf)
RAMP_S = np.linspace(0.0, 300.0, 11)
RAMP_C = 60.0 + RAMP_S / 10.0


def rate_at(seconds, temps, at, *, cap=100.0, cut=65.0):
    temp = np.interp(at, seconds, temps)
    return 0.0 if temp < cut else 10.0 ** ((min(temp, cap) - 80.0) / 10.0)


def test_ramp_is_integrated_exactly_and_never_from_its_mean():
    exact = heat_dose(RAMP_S, RAMP_C, counted=FREE)
    trapezoid = heat_dose(RAMP_S, RAMP_C, counted=FREE, logging=Logging(method="trapezoid"))
    assert exact.dose == pytest.approx(433.86, abs=0.01) and trapezoid.dose == pytest.approx(450.98, abs=0.01)
    assert exact.mean_c == pytest.approx(75.0)


@pytest.mark.parametrize("temps", [
    [20.0, 64.0, 66.0, 90.0, 70.0, 60.0], [60.0, 110.0, 130.0, 99.0, 40.0, 120.0], [80.0, 80.0, 80.0, 80.0, 80.0, 80.0],
    [64.9999, 65.0001, 64.9999, 99.9999, 100.0001, 99.9999], [30.0, 140.0, 30.0, 140.0, 30.0, 140.0],
])
def test_cut_off_and_cap_inside_an_interval_are_exact(temps):
    seconds = np.array([0.0, 10.0, 17.0, 30.0, 31.0, 55.0])
    # Steps of a trace like this would be spikes: it is the integral that is looked at here.
    found = heat_dose(np.linspace(0, 55, 5501), np.interp(np.linspace(0, 55, 5501), seconds, temps), counted=A0)
    direct = sum(quad(lambda at: rate_at(seconds, temps, at), a, b, limit=400, points=None, epsabs=1e-12)[0]
                 for a, b in zip(np.linspace(0, 55, 1101)[:-1], np.linspace(0, 55, 1101)[1:], strict=True))
    assert found.dose == pytest.approx(direct, rel=1e-4, abs=1e-6)


def test_hotter_than_the_boil_earns_no_more_than_the_boil_and_is_said():
    found = heat_dose([0.0, 10.0], [140.0, 140.0], counted=A0)
    assert found.dose == pytest.approx(1000.0) and found.findings["above-the-boil"] == pytest.approx(10.0)
    assert heat_dose([0.0, 60.0], [121.0, 121.0], counted=F0, logging=Logging(cap_c=None)).dose == pytest.approx(1.0)


def test_gap_earns_nothing_and_is_said():
    seconds = np.array([0.0, 1.0, 2.0, 3.0, 13.0, 14.0])
    found = heat_dose(seconds, np.full(6, 80.0), counted=A0)
    assert found.dose == pytest.approx(4.0) and found.findings["gap"] == pytest.approx(10.0)
    wide = heat_dose(seconds, np.full(6, 80.0), counted=A0, logging=Logging(longest_gap_s=20.0))
    assert wide.dose == pytest.approx(14.0) and "gap" not in wide.findings


def test_spike_earns_nothing_on_either_side_and_is_said():
    temps = np.full(9, 70.0)
    temps[4] = 99.0
    found = heat_dose(np.arange(9.0), temps, counted=A0)
    assert found.dose == pytest.approx(6 * 0.1) and found.findings["spike"] == 1.0
    temps[4] = -40.0  # a dropout is no better
    assert heat_dose(np.arange(9.0), temps, counted=A0).dose == pytest.approx(6 * 0.1)


def test_spike_is_found_across_pieces_of_a_trace():
    temps = np.full(12, 70.0)
    temps[5] = 99.0
    whole = heat_dose(np.arange(12.0), temps, counted=A0)
    for cut in range(1, 12):
        running = TraceDose(A0)
        running.add(np.arange(12.0)[:cut], temps[:cut])
        running.add(np.arange(12.0)[cut:], temps[cut:])
        found = running.result()
        assert found.dose == pytest.approx(whole.dose) and found.findings == whole.findings, cut


def test_stay_shorter_than_three_time_constants_earns_nothing():
    seconds = np.arange(100.0)
    temps = np.where((seconds >= 10) & (seconds < 14), 80.0, 60.0)
    temps[40:80] = 80.0
    short = heat_dose(seconds, temps, counted=A0, logging=Logging(time_constant_s=5.0))
    every = heat_dose(seconds, temps, counted=A0)
    assert short.findings["short-stay"] == 1.0 and "short-stay" not in every.findings
    assert 39.0 < short.dose < 40.5 < every.dose


def test_sensor_uncertainty_makes_an_interval_of_the_whole_sum():
    found = heat_dose([0.0, 100.0, 200.0], [80.0, 80.0, 80.0], counted=A0, logging=Logging(sensor_u_k=1.0))
    assert found.low == pytest.approx(200.0 * sensor_factor(-1.0, counted=A0).item())
    assert found.high == pytest.approx(200.0 * sensor_factor(1.0, counted=A0).item())
    edge = heat_dose([0.0, 100.0, 200.0], [65.5, 65.5, 65.5], counted=A0, logging=Logging(sensor_u_k=1.0))
    assert edge.low == 0.0 < edge.dose < edge.high  # the lower end falls below the cut-off


def test_no_stated_sensor_means_no_interval_and_says_so():
    found = heat_dose([0.0, 100.0], [80.0, 80.0], counted=A0)
    assert math.isnan(found.low) and math.isnan(found.high) and "sensor-uncertainty-not-stated" in found.findings


def test_trace_that_never_got_hot_is_nothing_and_says_so():
    found = heat_dose([0.0, 100.0], [50.0, 64.0], counted=A0)
    assert found.dose == 0.0 and found.findings["never-hot-enough"] == 64.0


def test_result_may_be_asked_for_in_between():
    running = TraceDose(A0)
    running.add([0.0, 1.0], [80.0, 80.0])
    assert running.result().dose == pytest.approx(1.0)
    running.add([2.0, 3.0], [80.0, 80.0])
    assert running.result().dose == pytest.approx(3.0) == running.result().dose


def test_pieces_give_what_the_whole_gives():
    rng = np.random.default_rng(3)
    seconds = np.cumsum(rng.uniform(0.5, 1.5, 3 * CHUNK))
    temps = 75.0 + np.cumsum(rng.normal(0.0, 0.3, seconds.size)) % 30.0
    logging = Logging(longest_gap_s=100.0, sensor_u_k=0.5, time_constant_s=2.0)
    whole = heat_dose(seconds, temps, counted=A0, logging=logging)
    running = TraceDose(A0, logging)
    for start in range(0, seconds.size, 5000):
        running.add(seconds[start:start + 5000], temps[start:start + 5000])
    found = running.result()
    assert (found.dose, found.low, found.high, found.samples) == pytest.approx(
        (whole.dose, whole.low, whole.high, whole.samples), rel=1e-12)
    assert found.findings == pytest.approx(whole.findings)


def test_long_trace_is_summed_in_little_memory():
    running = TraceDose(A0)
    tracemalloc.start()
    for start in range(0, 400_000, 10_000):
        running.add(np.arange(start, start + 10_000.0), np.full(10_000, 80.0))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert running.result().dose == pytest.approx(399_999.0) and peak < 5e6


def test_reset_of_the_logger_is_refused_with_its_sample():
    with pytest.raises(OutOfRange, match=r"time_s, sample 4.*was the logger reset"):
        heat_dose([0.0, 1.0, 2.0, 0.0, 1.0], np.full(5, 80.0), counted=A0)
    running = TraceDose(A0)
    running.add([0.0, 1.0], [80.0, 80.0])
    with pytest.raises(OutOfRange, match="time_s, sample 3"):
        running.add([1.0], [80.0])


@pytest.mark.parametrize(("seconds", "temps", "told"), [
    ([0.0], [80.0], "two samples"), ([0.0, 1.0], [80.0], "one temperature for each time"),
    ([0.0, math.nan], [80.0, 80.0], "time_s, sample 2"), ([0.0, 1.0], [80.0, math.inf], "temp_c, sample 2"),
    ([0.0, 1.0], [80.0, 4000.0], "-100 to 1000"), ([0.0, 1.0], ["a", "b"], "numbers"),
    ([0.0, 1.0], [True, False], "numbers"),
])
def test_what_is_no_trace_is_refused(seconds, temps, told):
    with pytest.raises(OutOfRange, match=told):
        heat_dose(seconds, temps, counted=A0)


def test_fahrenheit_that_does_not_say_so_is_suspected():
    assert looks_like_fahrenheit(68.0, 203.0) and not looks_like_fahrenheit(20.0, 95.0)
    assert not looks_like_fahrenheit(68.0, 121.0, cap_c=None)  # steam under pressure may well be


def test_settings_that_are_none_are_refused():
    with pytest.raises(UnknownName, match="trapezoid"):
        Logging(method="simpson")
    for wrong in ({"sensor_u_k": -1.0}, {"longest_gap_s": 0.0}, {"time_constant_s": math.nan}):
        with pytest.raises(OutOfRange, match=next(iter(wrong))):
            Logging(**wrong)

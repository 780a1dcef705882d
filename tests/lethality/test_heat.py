"""Doses of moist heat at one temperature."""

import math

import pytest

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.heat import (
    a0_classes,
    at_reference,
    d_at,
    d_from_rate,
    dose,
    dose_at,
    hold_s,
    logs_in,
    sensor_factor,
    z_from_series,
    z_value,
)

A0, F0 = dose("A0"), dose("F0")


def test_ten_degrees_are_worth_a_factor_of_ten():
    assert dose_at([70.0, 80.0, 90.0], 600.0, counted=A0) == pytest.approx([60.0, 600.0, 6000.0])


def test_below_the_cut_off_nothing_is_counted():
    assert dose_at([64.99, 65.0], 1e6, counted=A0)[0] == 0.0
    assert dose_at(65.0, 600.0, counted=A0) == pytest.approx(18.974, abs=1e-3)


def test_f0_is_counted_in_minutes_at_121_and_its_reference_is_kept():
    assert dose_at(121.0, 900.0, counted=F0) == pytest.approx(15.0)
    assert at_reference(15.0, counted=F0, reference_c=121.11) == pytest.approx(14.625, abs=1e-3)
    assert dose_at(121.0, 900.0, counted=dose("F0", reference_c=121.11)) == pytest.approx(14.625, abs=1e-3)


def test_hold_and_dose_are_inverse():
    assert dose_at(73.0, hold_s(600.0, 73.0, counted=A0), counted=A0) == pytest.approx(600.0)


@pytest.mark.parametrize(("temp_c", "seconds"), [(65, 18974), (70, 6000), (80, 600), (90, 60), (93, 30.1), (100, 6)])
def test_hold_for_600_is_that_of_the_table(temp_c, seconds):
    assert hold_s(600.0, temp_c, counted=A0) == pytest.approx(seconds, rel=0.002)


def test_no_time_is_long_enough_below_the_cut_off():
    with pytest.raises(OutOfRange, match="65 °C or more"):
        hold_s(60.0, 60.0, counted=A0)


def test_one_degree_of_the_sensor_is_a_quarter_of_the_dose():
    assert sensor_factor([1.0, -1.0], counted=A0) == pytest.approx([1.2589, 0.7943], abs=1e-4)


def test_classes_say_how_they_are_known():
    assert [(one.dose, one.known) for one in a0_classes()] == [(60.0, "memory"), (600.0, "secondary"),
                                                               (3000.0, "secondary")]
    assert not any("spor" in one.asked_of for one in a0_classes())


def test_z_from_a_series_is_that_of_two_points_on_a_line():
    d = [18.0, 18.0 * 10 ** (-3 / 6.3), 18.0 * 10 ** (-7 / 6.3)]
    assert z_from_series([98.0, 101.0, 105.0], d) == pytest.approx(6.3)
    assert z_value(d[0], d[2], cool_c=98.0, hot_c=105.0) == pytest.approx(6.3)


def test_time_per_log_is_not_taken_far_beyond_what_was_measured():
    assert d_at(1.0, 60.0, reference_c=70.0, z_k=7.5, measured_c=(60.0, 72.0)) == pytest.approx(10 ** (10 / 7.5))
    for far in (54.0, 78.0, 100.0):
        with pytest.raises(OutOfRange, match="near what was measured"):
            d_at(1.0, far, reference_c=70.0, z_k=7.5, measured_c=(60.0, 72.0))


def test_rate_and_time_per_log_agree():
    assert logs_in(3.0, d_from_rate(math.log(10))) == pytest.approx(3.0)


@pytest.mark.parametrize("call", [
    lambda: z_value(1.4, 18.0, cool_c=98.0, hot_c=105.0), lambda: z_value(18.0, 1.4, cool_c=105.0, hot_c=98.0),
    lambda: z_from_series([98.0], [18.0]), lambda: z_from_series([98.0, 98.0], [18.0, 1.4]),
    lambda: z_from_series([98.0, 105.0], [1.4, 18.0]), lambda: z_from_series([98.0, 105.0], [18.0]),
    lambda: dose_at(80.0, -1.0, counted=A0), lambda: dose_at("80", 1.0, counted=A0), lambda: hold_s(-1, 80, counted=A0),
    lambda: logs_in(1.0, 0.0), lambda: d_from_rate(-1.0), lambda: sensor_factor(math.nan, counted=A0),
])
def test_what_is_no_heat_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()


def test_another_dose_is_refused():
    with pytest.raises(UnknownName, match="A0, F0"):
        dose("B0")

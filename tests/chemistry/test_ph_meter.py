"""Calibration of a pH meter."""

import math

import pytest

from tersum.chemistry.ph_meter import Acceptance, BufferPoint, calibration, nernst_slope
from tersum.errors import Faults, OutOfRange


def electrode(*buffers, temp_c=25.0, slope_pct=98.0, offset_mv=5.0, bend=0.0):
    """What an electrode of this slope and offset shows in these buffers."""
    slope = nernst_slope(temp_c) * slope_pct / 100.0
    return [BufferPoint(ph, offset_mv - slope * (ph - 7.0) + bend * (ph - 7.0) ** 2) for ph in buffers]


@pytest.mark.parametrize(("temp_c", "mv"), [(0, 54.199), (20, 58.167), (25, 59.159), (37, 61.541), (100, 74.041)])
def test_nernst_slope_at_each_temperature(temp_c, mv):
    assert nernst_slope(temp_c) == pytest.approx(mv, abs=0.001)


def test_two_points_give_back_the_electrode():
    made = calibration(electrode(4.006, 6.865, slope_pct=97.0, offset_mv=-8.0), temp_c=25.0)
    assert made.slope_pct == pytest.approx(97.0) and made.offset_mv == pytest.approx(-8.0)
    assert made.residuals_ph == pytest.approx([0.0, 0.0], abs=1e-12) and made.verdict == "good"


def test_order_of_the_buffers_changes_nothing():
    points = electrode(4.006, 6.865, 9.18, bend=0.3)
    assert calibration(points[::-1], temp_c=25.0) == calibration(points, temp_c=25.0)


def test_sample_is_read_on_the_line_between_its_two_neighbours():
    points = electrode(4.006, 6.865, 9.18, bend=0.4)
    made = calibration(points, temp_c=25.0)
    for point in points:
        assert made.segment(point.potential_mv).ph(point.potential_mv) == pytest.approx(point.ph)
    assert made.segments[0].slope_mv != pytest.approx(made.segments[1].slope_mv)


def test_three_points_show_a_bent_electrode():
    made = calibration(electrode(4.006, 6.865, 9.18, bend=1.5), temp_c=25.0)
    assert "not-straight" in [reason.code for reason in made.reasons] and made.verdict == "clean-and-repeat"
    assert sum(made.residuals_ph) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("slope_pct", "verdict"), [(99.0, "good"), (95.0, "good"), (94.0, "clean-and-repeat"),
                                                    (90.5, "clean-and-repeat"), (89.0, "replace"),
                                                    (104.0, "clean-and-repeat")])
def test_customary_limits_of_the_slope(slope_pct, verdict):
    assert calibration(electrode(4.006, 6.865, slope_pct=slope_pct), temp_c=25.0).verdict == verdict


def test_offset_beyond_its_limit_is_no_good_calibration():
    made = calibration(electrode(4.006, 6.865, offset_mv=31.0), temp_c=25.0)
    assert made.verdict == "clean-and-repeat" and made.reasons[0].code == "offset"


def test_settings_replace_the_customary_limits():
    strict = Acceptance(99.0, 101.0, 98.5, 5.0, 0.01)
    assert calibration(electrode(4.006, 6.865, slope_pct=98.0), temp_c=25.0, acceptance=strict).verdict == "replace"


def test_slope_percent_counts_from_the_slope_at_the_measured_temperature():
    cold = calibration(electrode(4.004, 6.951, temp_c=5.0), temp_c=5.0)
    assert cold.slope_pct == pytest.approx(98.0) and cold.slope_mv < 0.98 * nernst_slope(25.0)


@pytest.mark.parametrize("second", [4.006, 4.3])
def test_two_equal_buffers_are_refused(second):
    with pytest.raises(OutOfRange, match="at least 0.5 pH apart"):
        calibration([BufferPoint(4.006, 170.0), BufferPoint(second, 169.0)], temp_c=25.0)


def test_swapped_buffers_are_asked_about():
    with pytest.raises(OutOfRange, match="swapped"):
        calibration([BufferPoint(4.006, 4.1), BufferPoint(6.865, 171.9)], temp_c=25.0)


@pytest.mark.parametrize("count", [0, 1, 4])
def test_one_buffer_or_four_are_refused(count):
    with pytest.raises(OutOfRange, match="two or three"):
        calibration(electrode(*(2.0, 4.0, 7.0, 9.0)[:count]), temp_c=25.0)


def test_all_faults_of_a_calibration_are_told_at_once():
    with pytest.raises(Faults) as told:
        calibration([BufferPoint(math.nan, 0.0), BufferPoint(6.865, 5000.0)], temp_c=99.0)
    assert [fault.field for fault in told.value.faults] == ["temp_c", "buffer 1: ph", "buffer 2: potential_mv"]

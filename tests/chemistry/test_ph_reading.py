"""A pH reading, its budget and its flags."""

import math

import numpy as np
import pytest

from tersum.chemistry.ph_meter import BufferPoint, calibration, nernst_slope
from tersum.chemistry.ph_reading import MeterUncertainty, field_uncertainty, hydronium_ratio, reading
from tersum.errors import Faults

MADE = calibration([BufferPoint(4.006, 177.0), BufferPoint(6.865, 8.0)], temp_c=25.0)


def codes(found):
    return [flag.code for flag in found.flags]


def test_reading_in_a_buffer_is_its_set_value():
    assert reading(177.0, MADE, sample_c=25.0).ph == pytest.approx(4.006)


def test_temperature_compensation_corrects_the_slope_about_ph_7():
    warm, cold = (reading(177.0, MADE, sample_c=temp_c).ph for temp_c in (35.0, 15.0))
    assert warm > reading(177.0, MADE, sample_c=25.0).ph > cold
    # 0 mV of the electrode (offset taken off) stays at pH 7 whatever the temperature.
    offset = MADE.segments[0].offset_mv
    assert reading(offset, MADE, sample_c=60.0).ph == pytest.approx(7.0)


def test_field_uncertainty_is_between_three_and_five_hundredths():
    found = reading(100.0, MADE, sample_c=25.0)
    assert 0.03 <= found.standard_uncertainty <= 0.05
    assert math.hypot(*found.budget.values()) == pytest.approx(found.standard_uncertainty)


def test_budget_agrees_with_a_simulation():
    """Buffers, potentials and temperature moved at random spread the reading as the budget says, within 10 %."""
    rng, wide = np.random.default_rng(3), MeterUncertainty(0.01, 0.5, 0.0, 1.5)
    seen = []
    for _ in range(4000):
        e = rng.standard_normal(6)
        made = calibration([BufferPoint(4.006 + 0.01 * e[0], 177.0 + 0.5 * e[1]),
                            BufferPoint(6.865 + 0.01 * e[2], 8.0 + 0.5 * e[3])], temp_c=25.0)
        seen.append(reading(120.0 + 0.5 * e[4], made, sample_c=25.0 + 1.5 * e[5], uncertainty=wide).ph)
    found = reading(120.0, MADE, sample_c=25.0, uncertainty=wide, resolution_ph=0.0)
    assert np.std(seen) == pytest.approx(found.standard_uncertainty, rel=0.1)


def test_reading_beyond_the_buffers_is_flagged_and_less_certain():
    inside, beyond = reading(100.0, MADE, sample_c=25.0), reading(290.0, MADE, sample_c=25.0)
    assert "outside-the-buffers" in codes(beyond) and not codes(inside)
    assert beyond.budget["buffers"] > inside.budget["buffers"]


def test_condensate_of_low_conductivity_is_flagged():
    assert codes(reading(100.0, MADE, sample_c=25.0, conductivity_us_cm=40.0)) == ["low-conductivity"]
    assert not codes(reading(100.0, MADE, sample_c=25.0, conductivity_us_cm=400.0))


def test_sample_that_is_not_at_the_temperature_of_the_buffers_is_flagged():
    assert codes(reading(100.0, MADE, sample_c=26.0)) == []
    assert codes(reading(100.0, MADE, sample_c=31.0)) == ["sample-not-at-buffer-temperature"]


def test_reading_with_a_worn_electrode_carries_its_verdict():
    slope = 0.92 * nernst_slope(25.0)
    worn = calibration([BufferPoint(4.0, 3.0 * slope), BufferPoint(7.0, 0.0)], temp_c=25.0)
    flag, = [one for one in reading(50.0, worn, sample_c=25.0).flags if one.code == "calibration-not-good"]
    assert flag.about == "clean-and-repeat" and flag.number == pytest.approx(92.0)


def test_strongly_acid_reading_is_outside_the_accurate_range():
    assert "outside-accurate-range" in codes(reading(310.0, MADE, sample_c=25.0))


def test_all_faults_of_a_reading_are_told_at_once():
    with pytest.raises(Faults) as told:
        reading(5000.0, MADE, sample_c=-5.0, resolution_ph=2.0, conductivity_us_cm=-1.0)
    assert len(told.value.faults) == 4


# hydrogen-ion ratio

@pytest.mark.parametrize(("u", "factor"), [(0.02, 1.14), (0.05, 1.38), (0.1, 1.92)])
def test_ratio_is_divided_and_multiplied_by_its_factor(u, factor):
    found = hydronium_ratio(4.37, 3.55, u_a=u, u_b=u)
    assert found.ratio == pytest.approx(6.607, abs=0.001) and found.factor == pytest.approx(factor, abs=0.006)
    assert found.low * found.high == pytest.approx(found.ratio**2)


def test_reading_to_a_tenth_supports_one_digit_of_a_ratio():
    assert hydronium_ratio(4.4, 3.6, u_a=0.03, u_b=0.03).digits == 1
    assert hydronium_ratio(4.40, 3.60, u_a=0.005, u_b=0.005).digits == 2


def test_what_both_readings_share_cancels():
    apart = hydronium_ratio(4.4, 3.6, u_a=0.05, u_b=0.05)
    shared = hydronium_ratio(4.4, 3.6, u_a=0.05, u_b=0.05, shared_frac=0.75)
    assert shared.factor < apart.factor and hydronium_ratio(4.4, 3.6, u_a=0.05, u_b=0.05, shared_frac=1.0).factor == 1.0


def test_equal_readings_give_one_with_an_interval_around_it():
    found = hydronium_ratio(4.0, 4.0, u_a=0.05, u_b=0.05)
    assert found.low < 1.0 == found.ratio < found.high


def test_bad_ratio_inputs_are_told_together():
    with pytest.raises(Faults) as told:
        hydronium_ratio(99.0, 3.0, u_a=-0.1, u_b=0.02, coverage=0.0, shared_frac=2.0)
    assert [fault.field for fault in told.value.faults] == ["ph_a", "u_a", "coverage", "shared_frac"]


def test_uncertainties_that_stand_in_are_practice():
    assert field_uncertainty().junction_ph == 0.03

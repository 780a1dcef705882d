"""Contact in a solution: laws, fading strength, unreachable targets, exponents."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from tersum.errors import Faults, OutOfRange
from tersum.lethality.contact import (
    Kinetics,
    ct_reached,
    log10_reduction,
    strength_exponent,
    time_for_logs,
    time_per_log_min,
    wait_for,
    wait_for_ct,
)


def test_straight_law_doubles_with_time_and_strength():
    law = Kinetics(0.46)
    one = log10_reduction(law, 5.0, 2.0)
    assert log10_reduction(law, 5.0, 4.0) == pytest.approx(2 * one)
    assert log10_reduction(law, 10.0, 2.0) == pytest.approx(2 * one)


@pytest.mark.parametrize("power", [0.5, 1.0, 2.3])
@pytest.mark.parametrize("exponent", [0.7, 1.0, 4.0])
def test_fading_strength_is_the_integral_of_the_rate(power, exponent):
    law = Kinetics(0.3, exponent, power, 0.07)
    direct, _ = quad(lambda t: 0.3 * power * (4.0 * math.exp(-0.07 * t)) ** exponent * t ** (power - 1) / math.log(10),
                     0.0, 12.0)
    assert float(log10_reduction(law, 4.0, 12.0)) == pytest.approx(direct, rel=1e-6)


def test_law_forward_then_back_returns_the_time():
    for law in (Kinetics(0.3, 1.2, 0.8), Kinetics(0.3, 1.2, 1.7, 0.05)):
        minutes = np.array([0.5, 3.0, 20.0])
        found = wait_for(law, 6.0, log10_reduction(law, 6.0, minutes))
        assert found.reachable.all() and found.contact_min == pytest.approx(minutes)


def test_target_beyond_the_ceiling_is_never_a_number():
    found = wait_for_ct([99.9, 100.0, 120.0], 5.0, fading_per_min=0.05)
    assert found.reachable.tolist() == [True, False, False]
    assert np.isnan(found.contact_min).tolist() == [False, True, True]
    assert found.most == pytest.approx([100.0] * 3)


def test_exponent_changes_rate_of_fading_and_ceiling():
    assert float(wait_for_ct(1.0, 5.0, fading_per_min=0.05, exponent=2.0).most) == pytest.approx(25.0 / 0.1)


def test_no_strength_reaches_nothing_and_nothing_needs_no_time():
    assert not wait_for(Kinetics(0.3), 0.0, 1.0).reachable
    assert float(wait_for(Kinetics(0.3), 0.0, 0.0).contact_min) == 0.0


def test_ct_of_a_steady_strength_is_strength_times_time():
    assert float(ct_reached(5.0, 4.0)) == pytest.approx(20.0)


def test_shoulder_left_out_makes_the_time_too_short():
    assert time_for_logs(1.1, 5.0, shoulder=4.1) == pytest.approx(9.6)
    assert time_for_logs(1.1, 5.0) == pytest.approx(5.5)
    assert time_per_log_min(math.log(10)) == pytest.approx(1.0)


def test_all_faults_of_a_law_are_told_at_once():
    with pytest.raises(Faults, match="rate") as found:
        Kinetics(0.0, -1.0, float("nan"), -0.1)
    assert len(found.value.faults) == 4


@pytest.mark.parametrize("call", [
    lambda: log10_reduction(Kinetics(1.0), -1.0, 1.0), lambda: log10_reduction(Kinetics(1.0), 1.0, -1.0),
    lambda: log10_reduction(Kinetics(1.0), True, 1.0), lambda: log10_reduction(Kinetics(1.0), math.nan, 1.0),
    lambda: wait_for(Kinetics(1.0), 1.0, -1.0), lambda: wait_for(Kinetics(1.0), "5", 1.0),
    lambda: strength_exponent(24.0, 9.4, 0.05, 0.05), lambda: strength_exponent(0.0, 9.4, 0.05, 0.1),
    lambda: time_per_log_min(0.0), lambda: time_for_logs(1.0, 2.0, shoulder=-1.0),
])
def test_what_is_no_strength_or_time_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()

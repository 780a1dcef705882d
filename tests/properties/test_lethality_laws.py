"""Laws of doses, contact times and counts, whatever the numbers."""

import math

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from tersum.lethality.contact import Kinetics, log10_reduction, wait_for
from tersum.lethality.heat import dose, dose_at, hold_s
from tersum.lethality.heat_trace import Logging, TraceDose, heat_dose
from tersum.lethality.label_time import LABEL, LONGER, ModelRange, Situation, contact_needed
from tersum.lethality.mpn import design, mpn
from tersum.lethality.mpn_interval import METHODS, mpn_interval
from tersum.lethality.steam_contact import materials, steam_contact
from tersum.lethality.temperature import time_at
from tersum.lethality.wet_time import contact_met, wet_time

A0 = dose("A0")
# Spikes are looked at elsewhere: here every step is one that a surface can make.
STEPS = st.lists(st.floats(-18.0, 18.0), min_size=2, max_size=11)
STEP = st.floats(0.5, 60.0)
LAWS = st.builds(Kinetics, rate=st.floats(1e-4, 5.0), exponent=st.floats(0.0, 3.0), power=st.floats(0.3, 3.0),
                 fading_per_min=st.one_of(st.just(0.0), st.floats(1e-4, 1.0)))


@st.composite
def traces(draw):
    temps = np.clip(draw(st.floats(55.0, 100.0)) + np.cumsum([0.0, *draw(STEPS)]), 50.0, 105.0)
    return np.arange(temps.size) * draw(STEP), temps


@given(traces(), st.integers(1, 10), st.one_of(st.none(), st.floats(0.0, 3.0)))
def test_a0_is_additive_over_joined_traces(trace, at, sensor):
    """The dose of a trace is that of its two parts, which share the sample where they meet."""
    seconds, temps = trace
    cut = 1 + at % (seconds.size - 2)
    settings = Logging(sensor_u_k=sensor)
    whole, first, second = (heat_dose(seconds[part], temps[part], counted=A0, logging=settings)
                            for part in (slice(None), slice(None, cut + 1), slice(cut, None)))
    assert first.dose + second.dose == pytest.approx(whole.dose, rel=1e-9, abs=1e-12)
    assert first.credited_s + second.credited_s == pytest.approx(whole.credited_s, abs=1e-6)
    if sensor is not None:
        assert first.low + second.low == pytest.approx(whole.low, rel=1e-9, abs=1e-12)


@given(traces(), st.integers(2, 9))
def test_a0_does_not_change_when_a_piecewise_linear_trace_is_resampled(trace, finer):
    """More samples of the same straight lines tell nothing new."""
    seconds, temps = trace
    more = np.interp(np.linspace(0, seconds.size - 1, (seconds.size - 1) * finer + 1), np.arange(seconds.size), seconds)
    # The same straight lines, sampled more often.
    finely = heat_dose(more, np.interp(more, seconds, temps), counted=A0)
    assert finely.dose == pytest.approx(heat_dose(seconds, temps, counted=A0).dose, rel=1e-6, abs=1e-9)


@given(traces(), st.lists(st.integers(1, 11), max_size=4))
def test_a0_does_not_depend_on_the_pieces_a_trace_comes_in(trace, cuts):
    """A trace that is added piece by piece amounts to what it amounts to as a whole."""
    seconds, temps = trace
    running = TraceDose(A0, Logging(longest_gap_s=100.0))
    edges = [0, *sorted({one for one in cuts if one < seconds.size}), seconds.size]
    for start, stop in zip(edges, edges[1:], strict=False):
        running.add(seconds[start:stop], temps[start:stop])
    whole = heat_dose(seconds, temps, counted=A0, logging=Logging(longest_gap_s=100.0))
    assert running.result().dose == pytest.approx(whole.dose, rel=1e-9, abs=1e-12)


@given(traces())
def test_a0_is_never_more_than_the_hottest_sample_all_the_time(trace):
    """No way of summing makes more of a trace than its hottest, and never more than water at the boil."""
    seconds, temps = trace
    most = float(dose_at(min(temps.max(), 100.0), seconds[-1], counted=A0))
    assert heat_dose(seconds, temps, counted=A0).dose <= most * (1.0 + 1e-9)


@given(st.floats(65.0, 100.0), st.floats(1.0, 1e5))
def test_holding_as_long_as_told_earns_the_dose(temp, wanted):
    """The time to hold and the dose of holding are inverse."""
    assert float(dose_at(temp, hold_s(wanted, temp, counted=A0), counted=A0)) == pytest.approx(wanted)


@given(LAWS, st.floats(0.0, 1e4), st.floats(0.0, 1e4), st.floats(0.0, 1e4))
def test_more_time_never_lowers_the_predicted_reduction(law, strength, minutes, more):
    """Waiting longer can only add."""
    less, later = log10_reduction(law, strength, [minutes, minutes + more])
    assert later >= less * (1.0 - 1e-12)


@given(LAWS, st.floats(1.0, 1e4), st.floats(0.01, 12.0))
def test_waiting_as_long_as_told_reaches_the_reduction_or_nothing_does(law, strength, wanted):
    """A time that is given suffices; where none is given even an endless wait falls short."""
    found = wait_for(law, strength, wanted)
    if found.reachable:
        assume(1e-12 < float(found.contact_min) < 1e12)
        reached = float(log10_reduction(law, strength, found.contact_min))
        assert reached == pytest.approx(wanted, rel=1e-4)
    else:
        assert float(log10_reduction(law, strength, 1e9)) <= wanted * (1.0 + 1e-9)


@given(st.one_of(LAWS, LAWS, st.none()), st.floats(0.1, 60.0), st.floats(0.1, 9.0), st.floats(0.0, 5000.0),
       st.one_of(st.just(0.0), st.floats(0.0, 5000.0)), st.floats(0.0, 45.0),
       st.sampled_from(["clean", "clean", "clean", "blood"]))
@example(Kinetics(1.0), 30.0, 3.0, 1000.0, 0.0, 20.0, "clean")  # a law that expects far less than the label
def test_a_shorter_label_time_can_never_come_out(law, label, wanted, strength, demand, temp, soil):
    """Whatever a model says, the surface is kept wet for the label's time at the least."""
    tested = ModelRange((1.0, 4000.0), (5.0, 40.0), 8.0, 1e4)
    found = contact_needed(label, wanted, situation=Situation(strength, temp, demand, None, soil), kinetics=law,
                           tested=tested)
    assert found.contact_min >= label and found.label_min == label
    assert (found.answer == LONGER) == (found.contact_min > label)
    if found.answer == LABEL:
        assert found.model_min <= label


@given(st.lists(st.tuples(st.floats(0.0, 60.0), st.sampled_from(["wet", "dry", "wiped"])), max_size=8),
       st.floats(60.0, 90.0), st.booleans(), st.floats(0.1, 90.0), st.floats(0.0, 90.0))
def test_a_contact_time_that_is_met_is_met_for_every_shorter_label(marks, ended, watched, label, more):
    """Wet for long enough is long enough for less; and nothing is wet for longer than the step."""
    wet = wet_time(sorted(marks, key=lambda one: one[0]), ended_min=ended, watched=watched)
    assert 0.0 <= wet.low_min <= wet.high_min <= ended
    if contact_met(wet, label + more).answer == "met":
        assert contact_met(wet, label).answer == "met"
    if contact_met(wet, label).answer == "not-met":
        assert contact_met(wet, label + more).answer == "not-met"


@given(st.floats(0.1, 60.0), st.floats(1.0, 4.0), st.floats(15.0, 25.0), st.floats(15.0, 25.0))
def test_colder_never_needs_less_time(minutes, q10, one, other):
    """With a factor of 1 or more the colder of two tested temperatures takes at least as long."""
    cold, warm = sorted((one, other))
    assert time_at(minutes, at_c=20.0, wanted_c=cold, q10=q10, tested_c=(15.0, 25.0)) >= time_at(
        minutes, at_c=20.0, wanted_c=warm, q10=q10, tested_c=(15.0, 25.0)) * (1.0 - 1e-12)


@given(st.sampled_from(materials()), st.floats(0.5, 60.0), st.floats(0.1, 60.0))
def test_longer_steam_and_better_transfer_never_amount_to_less(name, seconds, more):
    """A longer dwell and the upper heat transfer can only add."""
    short, longer = steam_contact(name, seconds), steam_contact(name, min(seconds + more, 600.0))
    assert short.surface_c[0] <= short.surface_c[1] <= short.steam_c and short.dose[0] <= short.dose[1]
    assert longer.dose[0] >= short.dose[0] * (1.0 - 1e-3) and longer.surface_c[1] >= short.surface_c[1] - 1e-9


@given(st.lists(st.tuples(st.integers(1, 10), st.integers(0, 10)), min_size=1, max_size=4), st.sampled_from(METHODS))
def test_one_more_positive_tube_never_lowers_the_mpn(tubes, method):
    """More growth is more organisms; the number lies inside its interval, and the extremes have none."""
    of = [total for total, _ in tubes]
    grown = [min(total, seen) for total, seen in tubes]
    made = design(of, [10.0**-place for place in range(len(of))])
    found = mpn(grown, design=made)
    ends = mpn_interval(found, method=method)
    assert float(ends.low) <= float(found.mpn) <= float(ends.high)
    assert (str(found.operator) == ">") == math.isinf(float(found.mpn)) == (grown == of)
    if grown[0] < of[0]:
        more = mpn([grown[0] + 1, *grown[1:]], design=made)
        assert float(more.mpn) > float(found.mpn)

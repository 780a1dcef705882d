"""A small simulated visit, as it would be typed in."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.simulator.meter import Meter
from tersum.simulator.small_visit import SimulatedPoint, small_visit
from tersum.simulator.swabs import Habits
from tersum.units import parse_reading

POINTS = [SimulatedPoint("handle", "hard plastic", soil_log10=3.5), SimulatedPoint("seat", "textile", soil_log10=2.2)]


def visit(seed=1, **more):
    return small_visit(np.random.default_rng(seed), POINTS, **more)


def test_every_point_stage_round_and_swab_is_there_once():
    found = visit(rounds=2, swabs_each=3, treated_log10=1.0)
    keys = [(one.stage, one.round, one.point, one.swab) for one in found.swabs]
    assert len(keys) == len(set(keys)) == 4 * 2 * 3
    assert {(stage, round_) for stage, round_, *_ in keys} == {
        ("as_found", 1), ("cleaned", 1), ("cleaned", 2), ("treated", 1)}
    assert {one.surface for one in found.swabs if one.point == "seat"} == {"textile"}


def test_the_same_seed_gives_the_same_visit():
    assert visit(7) == visit(7) != visit(8)


def test_the_truth_beside_each_swab_is_one_per_point_and_step():
    found = visit(rounds=1)
    for stage in ("as_found", "cleaned"):
        first, second = (found.taken("handle", stage, swab=swab).true_rlu for swab in (1, 2))
        assert first == second
    assert found.taken("handle", "as_found").true_rlu != found.taken("handle", "cleaned").true_rlu


def test_what_is_shown_can_be_typed_in():
    meter = Meter(over_range_rlu=4000)
    clean = [SimulatedPoint("clean", "glass", soil_log10=0.2), SimulatedPoint("filthy", "floor", soil_log10=4.5)]
    found = small_visit(np.random.default_rng(3), clean, swabs_each=5, meter=meter)
    shown = {one.shown for one in found.swabs}
    assert "<5" in shown and ">4000" in shown and any(text.isdigit() for text in shown)
    for one in found.swabs:
        low, high = parse_reading(one.shown)
        assert low <= high


def test_cleaning_takes_off_what_the_point_says_on_average():
    found = [small_visit(np.random.default_rng(seed), [SimulatedPoint("p", "s")], rounds=2) for seed in range(400)]
    steps = [[np.log10(one.taken("p", stage, round_).true_rlu) for one in found]
             for stage, round_ in (("as_found", 1), ("cleaned", 1), ("cleaned", 2))]
    assert np.mean(steps, axis=1) == pytest.approx([3.0, 1.8, 0.6], abs=0.07)
    assert np.std(steps[0]) == pytest.approx(0.35, rel=0.15)


def test_a_bias_holds_for_the_whole_visit():
    apart = [np.log10(one.taken("handle", "as_found").true_rlu) for one in (visit(seed) for seed in range(3))]
    assert len(set(apart)) == 3
    biased = visit(5, swabs_each=40, meter=Meter(spread_log10=0.001), habits=Habits(shared_bias_log10=0.5))
    ratios = [float(one.shown) / one.true_rlu for one in biased.swabs if one.shown.isdigit() and one.true_rlu > 500]
    assert np.ptp(np.log10(ratios)) < 0.02 < abs(np.log10(ratios[0]))


def test_what_spoiled_a_swab_is_told_by_its_code():
    found = visit(2, swabs_each=2, habits=Habits(wet_frac=0.5))
    assert {one.fault for one in found.swabs} == {"", "wet-surface"}


@pytest.mark.parametrize("call", [
    lambda: small_visit(np.random.default_rng(1), []),
    lambda: small_visit(np.random.default_rng(1), [POINTS[0], POINTS[0]]),
    lambda: visit(rounds=0), lambda: visit(swabs_each=0), lambda: visit().taken("handle", "cleaned", 9)])
def test_a_visit_of_nothing_is_refused(call):
    with pytest.raises(OutOfRange):
        call()

"""Targets: one fraction for all actives, or the two that clash."""

import pytest

from tersum.chemistry.strength import Active
from tersum.chemistry.targets import Bounds, FractionInterval, NoFraction, ratio_for_targets
from tersum.errors import OutOfRange, UnknownName

STOCK = [Active("peracetic acid", 40000.0), Active("hydrogen peroxide", 200000.0), Active("acetic acid", 80000.0)]


def test_target_of_one_active_sets_the_fraction():
    found = ratio_for_targets(STOCK, [Bounds("peracetic acid", 1000.0, 1000.0)])
    assert found.low_frac == found.high_frac == found.chosen_frac == 0.025


def test_several_bounds_give_an_interval_and_who_sets_its_ends():
    found = ratio_for_targets(STOCK, [Bounds("Peracetic Acid", 1000.0, 4000.0), Bounds("acetic acid", None, 4000.0),
                                      Bounds("hydrogen peroxide", 2000.0)])
    assert (found.low_frac, found.low_set_by) == (0.025, "peracetic acid")
    assert (found.high_frac, found.high_set_by) == (0.05, "acetic acid")
    assert found.chosen_frac == pytest.approx((0.025 * 0.05) ** 0.5, rel=1e-12)


@pytest.mark.parametrize(("bounds", "low", "high", "chosen"), [
    (Bounds("peracetic acid", 1000.0), 0.025, 1.0, 0.025), (Bounds("peracetic acid", None, 1000.0), 0.0, 0.025, 0.025),
    (Bounds("peracetic acid", 40000.0, 40000.0), 1.0, 1.0, 1.0),
])
def test_one_bound_leaves_the_other_end_open(bounds, low, high, chosen):
    found = ratio_for_targets(STOCK, [bounds])
    assert (found.low_frac, found.high_frac, found.chosen_frac) == (low, high, chosen)


def test_bound_that_binds_nothing_sets_no_end():
    found = ratio_for_targets(STOCK, [Bounds("peracetic acid", 1000.0), Bounds("acetic acid", None, 90000.0)])
    assert found == FractionInterval(0.025, 1.0, "peracetic acid", None)


def test_two_actives_that_clash_are_named():
    with pytest.raises(NoFraction) as refused:
        ratio_for_targets(STOCK, [Bounds("peracetic acid", 2000.0), Bounds("acetic acid", 100.0, 3000.0)])
    sentence = str(refused.value)
    assert "peracetic acid needs at least 5 %" in sentence and "acetic acid allows at most 3.75 %" in sentence
    assert refused.value.exit_code == 1


def test_two_targets_that_say_the_same_agree():
    found = ratio_for_targets(STOCK, [Bounds("peracetic acid", 1000.0, 1000.0),
                                      Bounds("hydrogen peroxide", 5000.0, 5000.0)])
    assert found.chosen_frac == pytest.approx(0.025, rel=1e-12)


def test_concentrate_weaker_than_the_target_is_refused():
    with pytest.raises(OutOfRange, match="up to 40000 mg/L, the strength of the concentrate"):
        ratio_for_targets(STOCK, [Bounds("peracetic acid", 40001.0)])


def test_active_that_is_not_in_it_is_refused():
    with pytest.raises(UnknownName, match="peracetic acid"):
        ratio_for_targets(STOCK, [Bounds("peracetic", 1000.0)])


@pytest.mark.parametrize("bounds", [[], [Bounds("peracetic acid")], [Bounds("peracetic acid", 0.0)],
                                    [Bounds("peracetic acid", -1.0)], [Bounds("peracetic acid", float("nan"))],
                                    [Bounds("peracetic acid", None, float("inf"))],
                                    [Bounds("peracetic acid", 2000.0, 1000.0)]])
def test_bounds_that_ask_nothing_or_the_impossible_are_refused(bounds):
    with pytest.raises(OutOfRange):
        ratio_for_targets(STOCK, bounds)

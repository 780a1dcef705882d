"""Plaques: mean over what was plated, exact limits, none seen as a bound."""

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.plaques import plaque_count


def test_plaques_are_a_mean_over_what_was_plated():
    found = plaque_count([42, 38, 46], dilution=1e-5, inoculum_ml=0.2)
    assert (found.per_ml, found.low, found.high) == pytest.approx((2.1e7, 1.749e7, 2.5e7), rel=1e-3)


def test_no_plaque_is_below_one_on_all_that_was_plated():
    found = plaque_count([0, 0], dilution=1.0, inoculum_ml=0.5)
    assert found.operator == "<" and (found.per_ml, found.high) == pytest.approx((1.0, 2.9957), abs=1e-3)


@pytest.mark.parametrize("wrong", [{"plaques": []}, {"plaques": [-1]}, {"plaques": [1.5]}, {"dilution": 0.0},
                                   {"dilution": 2.0}, {"inoculum_ml": 0.0}])
def test_what_is_no_plaque_count_is_refused(wrong):
    given = {"plaques": [42], "dilution": 1e-5, "inoculum_ml": 0.2, **wrong}
    with pytest.raises(OutOfRange, match=next(iter(wrong))):
        plaque_count(given.pop("plaques"), **given)

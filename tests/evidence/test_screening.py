"""How little a rapid reading says of something else."""

import math

import pytest

from tersum.errors import OutOfRange
from tersum.evidence.screening import likelihood_ratio_positive, power_law_from_doubling, youden_j


def test_a_coin_separates_nothing():
    assert youden_j(0.5, 0.5) == 0.0
    assert likelihood_ratio_positive(0.5, 0.5) == 1.0


def test_a_perfect_cut_separates_wholly():
    assert youden_j(1, 1) == 1.0
    assert likelihood_ratio_positive(1, 1) == math.inf


def test_what_doubles_with_it_grows_tenfold_with_it():
    law = power_law_from_doubling(100)
    assert (law.exponent, law.ratio_per_tenfold) == (1.0, 10.0)


@pytest.mark.parametrize("call", [lambda: youden_j(1.1, 0.5), lambda: likelihood_ratio_positive(0.5, -0.1),
                                  lambda: power_law_from_doubling(-100), lambda: youden_j(True, 0.5)])
def test_shares_outside_0_to_1_are_refused(call):
    with pytest.raises(OutOfRange):
        call()

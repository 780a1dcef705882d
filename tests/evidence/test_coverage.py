"""Coverage factors."""

import math

import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.coverage import coverage_factor


def test_known_spread_takes_the_normal_factor():
    assert coverage_factor(0.95) == pytest.approx(1.959964, abs=1e-6)
    assert coverage_factor(0.95, one_sided=True) == pytest.approx(1.644854, abs=1e-6)


@pytest.mark.parametrize("freedom", [1, 2.5, 10, 200])
def test_estimated_spread_takes_t(freedom):
    assert coverage_factor(0.9, freedom) == pytest.approx(stats.t.ppf(0.95, freedom))


def test_known_and_estimated_go_together_in_one_array():
    found = coverage_factor(0.95, [5, math.inf])
    assert found.tolist() == pytest.approx([2.570582, 1.959964], abs=1e-6)


@pytest.mark.parametrize("given", [(0.0,), (1.0,), (0.95, 0), (0.95, math.nan), (True,)])
def test_impossible_coverage_is_refused(given):
    with pytest.raises(OutOfRange):
        coverage_factor(*given)

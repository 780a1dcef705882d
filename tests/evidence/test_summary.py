"""Mean and spread in two passes."""

import math

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.summary import summary


def test_summary_of_a_few_numbers_by_hand():
    found = summary([1, 2, 3, 6])
    assert (found.n, found.mean) == (4, 3.0)
    assert found.sd == pytest.approx(math.sqrt(14 / 3))
    assert found.lag1_autocorrelation == pytest.approx((2 + 0 + 0) / 14)


def test_large_numbers_keep_their_small_differences():
    """Mean of squares less square of the mean loses this wholly."""
    series = 1e9 + np.array([0.1, 0.2, 0.3])
    assert summary(series).sd == pytest.approx(0.1, rel=1e-6)
    assert abs(math.sqrt(max(0.0, (series**2).mean() - series.mean() ** 2)) - 0.0816) > 0.01


@pytest.mark.parametrize("values", [[1], [2, 2, 2], [1, math.nan], [1, math.inf], [True, 2], 3])
def test_what_has_no_spread_is_refused(values):
    with pytest.raises(OutOfRange):
        summary(values)

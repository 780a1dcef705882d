"""The interval behind a count."""

import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.counts import count_interval


@pytest.mark.parametrize("count", [0, 1, 7, 300])
def test_ends_leave_half_the_rest_on_either_side(count):
    lower, upper = count_interval(count, confidence=0.9)
    assert stats.poisson.cdf(count, upper) == pytest.approx(0.05)
    assert stats.poisson.sf(count - 1, lower) == pytest.approx(0.05 if count else 1.0)


@pytest.mark.parametrize("count", [-1, 1.5, True, float("nan")])
def test_what_cannot_be_counted_is_refused(count):
    with pytest.raises(OutOfRange):
        count_interval(count)

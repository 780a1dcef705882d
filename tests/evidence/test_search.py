"""The smallest whole number that fits."""

import pytest

from tersum.evidence.search import smallest_fitting


@pytest.mark.parametrize("truth", [1, 2, 3, 17, 99, 100])
def test_smallest_is_found_wherever_it_lies(truth):
    assert smallest_fitting(lambda n: n >= truth, low=1, most=100) == truth


def test_nothing_fits_up_to_the_end():
    assert smallest_fitting(lambda n: n > 100, low=1, most=100) is None

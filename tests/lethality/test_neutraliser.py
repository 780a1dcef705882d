"""Neutralisers: what they do not stop reads as reduction."""

import pytest

from tersum.errors import OutOfRange
from tersum.lethality.neutraliser import neutraliser_check


def test_product_that_goes_on_is_found():
    found = neutraliser_check([20, 25, 22], [60, 58, 62], [61, 60, 59])
    assert found.answer == "not-accepted" and [one.code for one in found.failing] == ["effectiveness"]


def test_neutraliser_that_harms_is_found():
    assert [one.code for one in neutraliser_check([40, 41, 42], [20, 20, 20], [61, 60, 59]).failing] == ["toxicity"]


def test_too_few_replicates_are_no_check():
    assert [one.code for one in neutraliser_check([60, 61], [60, 58, 62], [61, 60, 59]).failing] == ["replicates"]


def test_half_is_known_from_memory_and_says_so():
    assert neutraliser_check([60] * 3, [60] * 3, [60] * 3).from_memory == ("neutraliser.least_share",)


@pytest.mark.parametrize("arms", [([60], [60], [0]), ([-1], [60], [60]), ([], [60], [60]), (["a"], [60], [60])])
def test_what_is_no_count_is_refused(arms):
    with pytest.raises(OutOfRange, match="accepted"):
        neutraliser_check(*arms)

"""How many must be looked at."""

import pytest
from scipy import stats

from tersum.errors import OutOfRange
from tersum.evidence.family import (
    detection_probability,
    smallest_n_all_pass,
    smallest_n_for_share,
    smallest_n_to_detect,
)


@pytest.mark.parametrize("failures", [0, 1, 4])
@pytest.mark.parametrize("coverage", [0.5, 0.9, 0.999])
def test_one_fewer_would_not_carry_the_claim(coverage, failures):
    n = smallest_n_all_pass(coverage, 0.95, failures_allowed=failures)
    assert stats.binom.cdf(failures, n, 1 - coverage) <= 0.05 < stats.binom.cdf(failures, n - 1, 1 - coverage)


def test_a_claim_for_nearly_all_is_refused_and_not_searched_for_ever():
    with pytest.raises(OutOfRange, match="coverage"):
        smallest_n_all_pass(1 - 1e-12, 0.95)


@pytest.mark.parametrize(("points", "failing", "swabbed"), [(20, 3, 12), (20, 1, 19), (12, 5, 0), (12, 12, 1),
                                                          (12, 0, 12), (400, 20, 50)])
def test_chance_of_meeting_a_failing_point_is_hypergeometric(points, failing, swabbed):
    other = stats.hypergeom.sf(0, points, failing, swabbed)
    assert detection_probability(points, failing, swabbed) == pytest.approx(other, abs=1e-12)


def test_listed_points_of_a_cabin():
    assert [smallest_n_to_detect(20, failing) for failing in (1, 2, 3, 4, 5)] == [19, 16, 12, 10, 9]
    assert [smallest_n_to_detect(12, failing) for failing in (1, 2, 3)] == [12, 9, 7]


def test_broken_number_of_failing_points_counts_as_the_next_whole_one():
    assert smallest_n_for_share(12, 0.1) == smallest_n_to_detect(12, 2)
    assert smallest_n_for_share(100, 0.05) == smallest_n_to_detect(100, 5)


@pytest.mark.parametrize("call", [
    lambda: detection_probability(10, 11, 1), lambda: detection_probability(10, 1, 11),
    lambda: detection_probability(0, 0, 0), lambda: smallest_n_to_detect(10, 0), lambda: smallest_n_to_detect(10, 11),
    lambda: smallest_n_to_detect(10, 1, confidence=1.0), lambda: smallest_n_for_share(10, 0.0),
    lambda: smallest_n_all_pass(1.0, 0.95), lambda: smallest_n_all_pass(0.9, 0.95, failures_allowed=-1),
])
def test_impossible_lists_are_refused(call):
    with pytest.raises(OutOfRange):
        call()

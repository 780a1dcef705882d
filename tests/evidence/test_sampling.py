"""Plans that accept or refuse a series."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.sampling import acceptance_probability, failing_share_accepted, sequential_plan


def test_acceptance_falls_from_one_to_nothing():
    found = acceptance_probability([0.0, 0.01, 0.1, 0.5, 1.0], 52, 3)
    assert found[0] == 1.0 and found[-1] == 0.0
    assert (np.diff(found) < 0).all()


def test_large_plans_do_not_overflow():
    assert acceptance_probability(0.01, 5000, 50) == pytest.approx(0.538, abs=0.001)


def test_share_accepted_is_the_inverse():
    shares = np.array([0.01, 0.05, 0.2])
    assert failing_share_accepted(acceptance_probability(shares, 52, 3), 52, 3) == pytest.approx(shares)


def test_sequential_plan_makes_its_mistakes_no_more_often_than_accepted():
    plan, random = sequential_plan(0.02, 0.15), np.random.default_rng(6)
    for share, wrong, accepted_risk in ((0.02, "refused", 0.05), (0.15, "accepted", 0.1)):
        ends = [_walk(plan, random, share) for _ in range(1500)]
        # Wald's bounds are approximate: the risk may pass its mark by the factor 1 / (1 - the other risk).
        assert ends.count(wrong) / 1500 <= accepted_risk / 0.9 + 3 * (accepted_risk / 1500) ** 0.5


def _walk(plan, random, share):
    failures = 0
    for n in range(1, 2000):
        failures += random.random() < share
        accept = plan.accept_number(n)
        if accept is not None and failures <= accept:
            return "accepted"
        if failures >= plan.refuse_number(n):
            return "refused"
    return "neither"


def test_too_few_can_not_accept():
    plan = sequential_plan(0.01, 0.1)
    assert plan.accept_number(23) is None
    assert plan.accept_number(24) == 0
    assert plan.first_that_can_accept == 24


@pytest.mark.parametrize("call", [
    lambda: acceptance_probability(0.1, 5, 5), lambda: acceptance_probability(1.1, 5, 1),
    lambda: failing_share_accepted(1.0, 5, 1), lambda: sequential_plan(0.1, 0.1), lambda: sequential_plan(0.2, 0.1),
    lambda: sequential_plan(0.1, 0.2, refuse_good=0.6, accept_bad=0.5),
])
def test_plans_that_are_none_are_refused(call):
    with pytest.raises(OutOfRange):
        call()

"""What people, days and instruments add: known truths come back, and what cannot be told gets no number."""

import math

import numpy as np
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM

from tersum.errors import OutOfRange
from tersum.evidence.reproducibility import CONFOUNDED, NOT_CROSSED, ONE_LEVEL, reproducibility


def readings(seed, *, points=8, people=6, days=5, person_sd=0.15, day_sd=0.1, within=0.12):
    rng = np.random.default_rng(seed)
    point, person = (one.ravel().repeat(2) for one in np.meshgrid(np.arange(points), np.arange(people)))
    day = (point + 2 * person) % days
    y = (rng.normal(2.0, 0.4, points)[point] + rng.normal(0.0, person_sd, people)[person]
         + rng.normal(0.0, day_sd, days)[day] + rng.normal(0.0, within, point.size))
    return y, point, person, day


def test_known_components_come_back_on_average():
    seen = []
    for seed in range(12):
        y, point, person, day = readings(seed)
        found = reproducibility(y, point, {"person": person, "day": day})
        seen.append([found.repeatability_log10**2, *(one.spread_log10**2 for one in found.components)])
    within, people, days = np.mean(seen, axis=0)
    assert within == pytest.approx(0.12**2, rel=0.12)
    # Six and five levels a trial: the mean of twelve variances is good to about a half.
    assert people == pytest.approx(0.15**2, rel=0.55) and days == pytest.approx(0.1**2, rel=0.65)


def test_one_factor_agrees_with_statsmodels():
    y, point, person, _ = readings(3, day_sd=0.0)
    found = reproducibility(y, point, {"person": person})
    theirs = MixedLM(y, (point[:, None] == np.unique(point)).astype(float), person).fit(reml=True)
    assert found.repeatability_log10**2 == pytest.approx(theirs.scale, rel=1e-3)
    assert found.components[0].spread_log10**2 == pytest.approx(theirs.cov_re.item(), rel=1e-2)


def test_the_whole_is_the_sum_in_quadrature():
    y, point, person, day = readings(1)
    found = reproducibility(y, point, {"person": person, "day": day})
    parts = [found.repeatability_log10, *(one.spread_log10 for one in found.components)]
    assert found.whole and found.total_log10 == pytest.approx(math.sqrt(sum(one**2 for one in parts)))


def test_what_does_not_differ_is_none_seen():
    rng = np.random.default_rng(4)
    person = np.tile([0, 0, 1, 1], 10)
    y = np.repeat(rng.normal(2.0, 0.4, 10), 4) + np.tile([0.1, -0.1, 0.1, -0.1], 10)
    assert reproducibility(y, np.repeat(np.arange(10), 4), {"person": person}).components[0].spread_log10 == 0.0


def test_what_cannot_be_told_gets_no_number():
    y, point, person, _ = readings(2)
    found = reproducibility(y, point, {"person": person, "day": person + 7, "instrument": np.zeros(y.size)})
    why = {one.name: (one.why, one.beside) for one in found.components}
    assert why == {"person": ("", ""), "day": (CONFOUNDED, "person"), "instrument": (ONE_LEVEL, "")}
    assert not found.whole and math.isnan(found.components[1].spread_log10)


def test_people_who_never_swab_the_same_surface_are_not_told_from_surfaces():
    y, point, _, _ = readings(2)
    assert reproducibility(y, point, {"person": point // 4}).components[0].why == NOT_CROSSED


@pytest.mark.parametrize(("logs", "points"), [([1.0], [1]), ([1.0, 2.0], [1, 2]), ([1.0, 2.0, 3.0], [1, 1])])
def test_arguments_that_do_not_fit_are_refused(logs, points):
    with pytest.raises(OutOfRange):
        reproducibility(logs, points, {})

"""Mixed models against another library, and at their edges."""

import numpy as np
import pytest

from tersum.errors import OutOfRange
from tersum.evidence.censored_panels import censored_fit
from tersum.evidence.mixed_model import RandomPart, mixed_fit
from tersum.evidence.variance_components import components


def data(groups=12, each=3, seed=1):
    rng = np.random.default_rng(seed)
    codes = np.repeat(np.arange(groups), each)
    x = np.column_stack([np.ones(codes.size), rng.normal(0.0, 1.0, codes.size)])
    return x, x @ [2.0, 0.5] + rng.normal(0.0, 0.4, groups)[codes] + rng.normal(0.0, 0.3, codes.size), codes


def test_unbalanced_groups_agree_with_statsmodels():
    from statsmodels.regression.mixed_linear_model import MixedLM

    x, y, codes = (part[:-7] for part in data())
    theirs = MixedLM(y, x, codes).fit(reml=True)
    ours = mixed_fit(x, y, [RandomPart.level(codes)])
    assert ours.coefficients == pytest.approx(theirs.fe_params, abs=1e-5)
    assert ours.residual_variance == pytest.approx(theirs.scale, rel=1e-3)
    assert ours.parts[0].item() == pytest.approx(theirs.cov_re.item(), rel=1e-3)
    # Theirs are from the curvature over all parameters, ours take the variances as found.
    assert ours.standard_errors == pytest.approx(theirs.bse_fe, rel=1e-2)


def test_groups_that_do_not_differ_lie_at_the_edge():
    found = components([1.0, 3.0, 2.0, 2.0, 1.0, 3.0, 3.0, 1.0, 2.0], np.repeat([0, 1, 2], 3))
    assert found.none_between and found.between == 0.0


def test_a_fit_without_inequalities_is_the_unrestricted_likelihood():
    from statsmodels.regression.mixed_linear_model import MixedLM

    x, y, codes = data()
    theirs, ours = MixedLM(y, x, codes).fit(reml=False), censored_fit(x, y, y, codes)
    assert ours.coefficients == pytest.approx(theirs.fe_params, abs=1e-4)
    assert ours.residual_sd**2 == pytest.approx(theirs.scale, rel=1e-3)
    assert ours.panel_sd**2 == pytest.approx(theirs.cov_re.item(), rel=1e-3)
    assert np.sqrt(np.diag(ours.covariance)) == pytest.approx(theirs.bse_fe, rel=1e-2)


def test_a_wide_interval_says_next_to_nothing():
    """A value known to lie almost anywhere leaves the others' fit as it is."""
    x, y, codes = data()
    low, high = np.append(y, -np.inf), np.append(y, 50.0)
    alone = censored_fit(x, y, y, codes)
    beside = censored_fit(np.vstack([x, [1.0, 0.0]]), low, high, np.append(codes, 0))
    assert beside.coefficients == pytest.approx(alone.coefficients, abs=1e-4) and beside.censored == 1


@pytest.mark.parametrize("columns", [np.ones((4, 4)), np.ones((4, 2))])
def test_designs_that_leave_nothing_are_refused(columns):
    with pytest.raises(OutOfRange):
        mixed_fit(columns, [1.0, 2.0, 3.0, 4.0], [RandomPart.level([0, 0, 1, 1])])


def test_one_group_is_refused():
    with pytest.raises(OutOfRange, match="two groups or more"):
        mixed_fit(np.ones((4, 1)), [1.0, 2.0, 3.0, 4.0], [RandomPart.level([0, 0, 0, 0])])


def test_nothing_measured_is_refused():
    with pytest.raises(OutOfRange, match="measured values or more"):
        censored_fit(np.ones((4, 1)), np.full(4, -np.inf), np.ones(4), np.arange(4))

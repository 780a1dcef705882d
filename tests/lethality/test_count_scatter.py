"""What is behind a count."""

import numpy as np
import pytest
from scipy.stats import chi2, poisson

from tersum.errors import OutOfRange
from tersum.lethality.count_scatter import (
    dilution_quotient,
    dilution_spread,
    dispersion,
    expanded_uncertainty_log10,
    poisson_interval,
    study_log10,
    zero_upper,
)


def test_interval_has_tails_of_a_fortieth():
    for count in (1, 3, 14, 200):
        lower, upper = (float(one) for one in poisson_interval(count))
        assert (poisson.sf(count - 1, lower), poisson.cdf(count, upper)) == pytest.approx((0.025, 0.025))


def test_nothing_counted_has_an_upper_end_only():
    lower, upper = poisson_interval(0)
    assert lower == 0.0 and upper == pytest.approx(3.689, abs=1e-3) and zero_upper() == pytest.approx(2.9957, abs=1e-4)


def test_interval_covers_at_least_what_it_says():
    for mean in np.geomspace(0.5, 60.0, 40):
        counts = np.arange(0, 200)
        lower, upper = poisson_interval(counts)
        assert poisson.pmf(counts, mean)[(lower <= mean) & (mean <= upper)].sum() >= 0.95


def test_more_colonies_are_surer():
    assert expanded_uncertainty_log10(0.1, 10) > expanded_uncertainty_log10(0.1, 100)


def test_dispersion_is_chi_square():
    found = dispersion([235, 282])
    assert found.index == pytest.approx(4.273, abs=1e-3)
    assert found.p_value == pytest.approx(chi2.sf(found.index, 1)) and not found.flagged
    assert dispersion([100, 200]).flagged


def test_dilutions_that_disagree_are_said_to():
    assert dilution_quotient(190.5, 22.5).acceptable and not dilution_quotient(100.0, 25.0).acceptable


def test_dilution_errors_add_in_squares():
    assert dilution_spread(0.02, 9) == pytest.approx(0.06)


@pytest.mark.parametrize("call", [
    lambda: poisson_interval(-1), lambda: poisson_interval(1.5), lambda: poisson_interval(True),
    lambda: poisson_interval(3, confidence=1.0), lambda: dispersion([5]), lambda: dispersion([0, 0]),
    lambda: expanded_uncertainty_log10(0.1, 0), lambda: dilution_quotient(1.0, 0.0), lambda: study_log10(-1.0, 0.003),
    lambda: study_log10(1.0, 0.0), lambda: dilution_spread(0.02, -1),
])
def test_what_is_no_count_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()

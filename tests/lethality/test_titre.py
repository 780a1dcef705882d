"""Titres: published cases, assumed ends said, no number where half of the wells never show an effect."""

import math

import numpy as np
import pytest

from tersum.errors import Faults, OutOfRange
from tersum.lethality.titre import UNITS_PER_SPEARMAN_TCID50, no_effect_upper, reed_muench, spearman_kaerber, wells


def of(positive, total=8, first=-1.0, step=1.0, inoculum_ml=0.1):
    logs = [first - step * place for place in range(len(positive))]
    return wells(logs, positive, [total] * len(positive), inoculum_ml=inoculum_ml)


def test_step_curve_ends_half_a_step_beyond_its_last_full_dilution():
    assert spearman_kaerber(of([8, 8, 0, 0])).endpoint_log10 == pytest.approx(-2.5)


def test_shift_by_a_dilution_is_a_log():
    a, b = spearman_kaerber(of([8, 5, 2, 0])), spearman_kaerber(of([8, 5, 2, 0], first=-2.0))
    assert b.log10_per_ml - a.log10_per_ml == pytest.approx(1.0) and a.se_log10 == pytest.approx(b.se_log10)


def test_error_over_n_minus_1_is_wider_and_named():
    given = of([5, 3, 1, 0], total=5, first=-5.0)
    assert spearman_kaerber(given, variance="n").se_log10 == pytest.approx(0.2828, abs=1e-4)
    assert spearman_kaerber(given).se_log10 == pytest.approx(0.3162, abs=1e-4)


def test_missing_ends_are_assumed_and_said():
    found = spearman_kaerber(of([8, 7, 5, 3, 1]))
    assert found.endpoint_log10 == pytest.approx(-3.5)
    assert found.flags == ("next-weaker-dilution-assumed-all-negative",)
    weak = spearman_kaerber(of([6, 2, 0]))
    assert weak.flags == ("next-stronger-dilution-assumed-all-positive",)
    # As if a full dilution stood before the first.
    full = spearman_kaerber(of([8, 6, 2, 0], first=0.0))
    assert weak.endpoint_log10 == pytest.approx(full.endpoint_log10)


def test_no_effect_or_effect_everywhere_is_a_bound():
    below, above = spearman_kaerber(of([0, 0, 0])), spearman_kaerber(of([8, 8, 8]))
    assert (below.operator, above.operator) == ("<", ">") and math.isnan(below.se_log10)
    assert below.log10_per_ml == pytest.approx(0.5 + 1.0) and above.log10_per_ml == pytest.approx(3.5 + 1.0)


def test_shares_that_never_pass_a_half_are_a_bound():
    never, always = spearman_kaerber(of([3, 2, 1])), spearman_kaerber(of([8, 8, 6]))
    assert (never.operator, always.operator) == ("<", ">") and "no-half-way-point" in never.flags
    assert never.log10_per_ml == pytest.approx(1.0 + 1.0) and always.log10_per_ml == pytest.approx(3.0 + 1.0)


@pytest.mark.parametrize("positive", [[0, 0, 0], [8, 8, 8], [3, 2, 1], [8, 8, 6]])
def test_reed_muench_refuses_a_curve_without_its_half(positive):
    with pytest.raises(OutOfRange, match="from above 50 % to below it"):
        reed_muench(of(positive))


def test_reed_muench_has_no_error():
    found = reed_muench(of([5, 3, 1, 0], total=5, first=-5.0))
    assert found.per_ml == pytest.approx(2.08e7, rel=0.01) and math.isnan(found.se_log10)


def test_shares_that_rise_again_are_said():
    assert "shares-do-not-fall" in spearman_kaerber(of([8, 3, 5, 0])).flags


def test_order_of_the_dilutions_does_not_matter():
    a = wells([-3, -1, -2], [1, 8, 5], [8, 8, 8], inoculum_ml=0.1)
    assert spearman_kaerber(a).log10_per_ml == pytest.approx(spearman_kaerber(of([8, 5, 1])).log10_per_ml)


def test_spearman_kaerber_recovers_simulated_titres():
    """Mean over 600 simulated plates, titres spread over one decade; its Poisson factor of 0.56 is taken off."""
    rng = np.random.default_rng(7)
    logs, off = -np.arange(0.0, 8.0), []
    for truth in rng.uniform(4.0, 5.0, 600):
        grown = rng.binomial(8, 1.0 - np.exp(-(10.0**truth) * 0.1 * 10.0**logs))
        off.append(spearman_kaerber(wells(logs, grown, [8] * 8, inoculum_ml=0.1)).log10_per_ml - truth)
    assert np.mean(off) + math.log10(UNITS_PER_SPEARMAN_TCID50) == pytest.approx(0.0, abs=0.03)


def test_more_volume_makes_a_lower_limit():
    assert no_effect_upper(8, inoculum_ml=0.1, dilution=0.1) == pytest.approx(37.447, abs=0.001)
    assert no_effect_upper(96, inoculum_ml=0.1) < no_effect_upper(8, inoculum_ml=0.1)


@pytest.mark.parametrize(("logs", "positive", "total", "told"), [
    ([-1], [8], [8], "log10_dilution"), ([-1, -2], [9, 0], [8, 8], "no more than there are wells"),
    ([-1, -1], [8, 0], [8, 8], "evenly spaced"), ([-1, -2, -4], [8, 4, 0], [8, 8, 8], "evenly spaced"),
    ([1, 0], [8, 0], [8, 8], "0 or less"), ([-1, -2], [8, 0, 0], [8, 8], "one for each dilution"),
    ([-1, -2], [8, 0.5], [8, 8], "whole number"), ([-1, -2], [8, 0], [8, 0], "total"),
    ([-1, math.nan], [8, 0], [8, 8], "log10_dilution"),
])
def test_what_is_no_titration_is_refused(logs, positive, total, told):
    with pytest.raises((OutOfRange, Faults), match=told):
        wells(logs, positive, total, inoculum_ml=0.1)


def test_all_faults_of_a_titration_are_told_at_once():
    with pytest.raises(Faults) as found:
        wells([1, math.nan], [-1, 0], [8, 0], inoculum_ml=0.0)
    assert len(found.value.faults) >= 3


def test_one_well_a_dilution_has_no_variance_over_n_minus_1():
    given = wells([-1, -2, -3], [1, 1, 0], [1, 2, 1], inoculum_ml=0.1)
    assert spearman_kaerber(given).se_log10 > 0
    with pytest.raises(OutOfRange, match="variance"):
        spearman_kaerber(given, variance="n-1")

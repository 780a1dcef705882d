"""Carriers: growth or none on sixty, and mean reductions whose definition is named."""

import math

import numpy as np
import pytest
from scipy.stats import binomtest, ttest_ind

from tersum.errors import OutOfRange, UnknownName
from tersum.lethality.carriers import (
    carrier_efficacy,
    growth_on_carriers,
    mean_of_logs,
    mean_reduction,
    survivors_per_carrier,
)
from tersum.lethality.efficacy import requirement

AUREUS = "use-dilution, S. aureus"


@pytest.mark.parametrize(("method", "positive", "answer"), [
    (AUREUS, 3, "met"), (AUREUS, 4, "not-met"), ("use-dilution, P. aeruginosa", 6, "met"),
    ("use-dilution, P. aeruginosa", 7, "not-met"), ("germicidal spray", 1, "met"), ("germicidal spray", 2, "not-met"),
])
def test_carriers_with_growth_decide(method, positive, answer):
    assert growth_on_carriers(method, positive, log10_density=6.5).answer == answer


def test_density_out_of_range_or_another_number_of_carriers_is_invalid():
    for given in ({"log10_density": 5.9}, {"log10_density": 7.1}, {"log10_density": None},
                  {"log10_density": 6.5, "carriers": 30}):
        assert growth_on_carriers(AUREUS, 0, **given).answer == "invalid"


def test_method_whose_range_of_density_is_not_known_says_so():
    found = growth_on_carriers("germicidal spray", 0, log10_density=5.2)
    assert found.answer == "met" and found.flags == ("range-of-carrier-density-not-known",)
    assert growth_on_carriers("germicidal spray", 0, log10_density=None).answer == "invalid"
    assert growth_on_carriers(AUREUS, 0, log10_density=6.5).flags == ()


def test_no_growth_is_a_bound_and_all_growth_too():
    none, every = (growth_on_carriers(AUREUS, one, log10_density=6.5) for one in (0, 60))
    assert none.reduction.operator == ">" and none.reduction.value == pytest.approx(7.80, abs=0.01)
    assert none.survivors == pytest.approx(0.0499, abs=1e-4) and none.survivors_operator == "<"
    assert every.reduction.operator == "<=" and every.survivors_operator == ">"


def test_lower_limit_of_a_share_is_that_of_clopper_and_pearson():
    found = growth_on_carriers(AUREUS, 3, log10_density=6.5)
    highest = binomtest(3, 60, alternative="less").proportion_ci(0.95, method="exact").high
    assert found.lower_log10 == pytest.approx(6.5 - math.log10(-math.log1p(-highest)))
    none = growth_on_carriers(AUREUS, 0, log10_density=6.5)
    assert none.lower_log10 == pytest.approx(none.reduction.value)
    assert math.isnan(growth_on_carriers(AUREUS, 60, log10_density=6.5).lower_log10)


def test_share_with_growth_becomes_survivors():
    assert survivors_per_carrier(6, 60) == pytest.approx(0.10536, abs=1e-5)
    with pytest.raises(OutOfRange, match="fewer than all"):
        survivors_per_carrier(60, 60)


def test_read_criteria_are_not_called_memory_and_recalled_ones_are():
    assert growth_on_carriers(AUREUS, 3, log10_density=6.5).from_memory == ()
    assert growth_on_carriers("germicidal spray", 1, log10_density=6.5).from_memory


def test_standard_error_and_freedom_are_those_of_welch():
    control, treated = [6.42, 6.55, 6.48], [1.3, 2.1, 1.75, 0.95, 1.6]
    found = mean_of_logs(control, treated)
    other = ttest_ind(control, treated, equal_var=False)
    assert found.degrees_of_freedom == pytest.approx(other.df)
    assert found.reduction.value / found.se_log10 == pytest.approx(other.statistic)
    assert found.lower_log10 == pytest.approx(other.confidence_interval(0.9).low)


def test_two_definitions_differ_on_uneven_carriers_and_name_themselves():
    cfu = [10.0, 10.0, 10.0, 10000.0]
    logs, mean = (mean_reduction([6.5], cfu, definition=one) for one in ("mean-of-logs", "log-of-mean"))
    assert logs.reduction.value == pytest.approx(4.75) and mean.reduction.value == pytest.approx(3.1008, abs=1e-4)
    assert (logs.definition, mean.definition) == ("mean-of-logs", "log-of-mean")


@pytest.mark.parametrize("definition", ["mean-of-logs", "log-of-mean"])
def test_carrier_without_growth_makes_the_mean_a_bound(definition):
    found = mean_reduction([6.5, 6.4], [0.0, 100.0], limit_cfu=5.0, definition=definition)
    assert found.reduction.operator == ">=" and "carriers-without-growth-taken-at-their-limit" in found.flags


def test_lower_limit_holds_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(11)
    lower = [mean_of_logs(rng.normal(6.5, 0.1, 3), rng.normal(1.5, 0.4, 6)).lower_log10 for _ in range(2000)]
    assert 0.93 < np.mean(np.array(lower) <= 5.0) < 0.97


def test_mean_that_scrapes_past_shows_its_lower_limit():
    found = carrier_efficacy(requirement("OCSPP 810.2300 food-contact sanitiser"),
                             mean_of_logs([6.5, 6.6, 6.4], [1.1, 1.6, 1.4]))
    assert found.answer == "met" and "lower-limit-below-the-requirement" in found.flags
    assert found.details["lower_log10"] < 5.0
    alone = carrier_efficacy(requirement("OCSPP 810.2300 food-contact sanitiser"), mean_of_logs([6.5], [1.1]))
    assert "no-replicates" in alone.flags and math.isnan(alone.details["lower_log10"])


@pytest.mark.parametrize("call", [
    lambda: growth_on_carriers(AUREUS, 61, log10_density=6.5),
    lambda: growth_on_carriers(AUREUS, -1, log10_density=6.5),
    lambda: growth_on_carriers(AUREUS, 1.5, log10_density=6.5),
    lambda: growth_on_carriers(AUREUS, 1, log10_density=math.nan),
    lambda: mean_reduction([], [1.0]), lambda: mean_reduction([6.5], []), lambda: mean_reduction([6.5], [-1.0]),
    lambda: mean_reduction([6.5], [1.0], limit_cfu=0.0), lambda: mean_reduction([6.5], [1.0], definition="mean"),
])
def test_what_is_no_carrier_is_refused(call):
    with pytest.raises(OutOfRange, match="accepted"):
        call()


def test_unknown_method_is_refused():
    with pytest.raises(UnknownName, match="use-dilution, S. aureus"):
        growth_on_carriers("use-dilution", 1, log10_density=6.5)

"""From evidence cases to the evidence functions."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from published.adapters import Question, adapts
from tersum.evidence.blank import net_bounds
from tersum.evidence.censoring import lognormal_fit, marked_bounds
from tersum.evidence.conformity import all_conform, each_needed, p_conform, release_level
from tersum.evidence.counts import count_interval
from tersum.evidence.coverage import coverage_factor
from tersum.evidence.family import smallest_n_all_pass, smallest_n_for_share
from tersum.evidence.kaplan_meier import kaplan_meier
from tersum.evidence.looks import false_release, first_time_share, release_multiplier
from tersum.evidence.outlier import grubbs
from tersum.evidence.proportions import clopper_pearson, share_pct, wilson, zero_failures_upper
from tersum.evidence.reduction import percent_from_log10, reduction, reduction_from_percent
from tersum.evidence.repeatability import cv_to_log10, repeatability_factor, repeatability_limit, within_sd
from tersum.evidence.ros import ros
from tersum.evidence.sample_size import (
    ancova_factors,
    groups_for_anova,
    groups_of_two,
    pairs_for_difference,
    size_for_mean,
    size_for_proportion,
)
from tersum.evidence.sampling import acceptance_probability, failing_share_accepted, sequential_plan
from tersum.evidence.screening import likelihood_ratio_positive, power_law_from_doubling, youden_j
from tersum.evidence.summary import summary
from tersum.evidence.tolerance import one_sided_factor, two_sided_factor

AUTHORITIES = Path(__file__).resolve().parents[3] / "authorities"
LN10 = math.log(10.0)  # a log10 is a natural log in another unit


def _each(function: Callable[..., Any], *values: Any) -> Any:
    """Call a function of single numbers for one number, or for each of a list (single numbers go with every one)."""
    lists = [value for value in values if isinstance(value, list)]
    if not lists:
        return function(*values)
    spread = [value if isinstance(value, list) else [value] * len(lists[0]) for value in values]
    return [function(*row) for row in zip(*spread, strict=True)]


# --- summary statistics -------------------------------------------------------------------------------------------


def _summary(values: list[float]) -> dict[str, Any]:
    found = summary(values)
    return {"mean": found.mean, "sd": found.sd, "lag1_autocorrelation": found.lag1_autocorrelation}


@adapts("summary-statistics", "data", optional=("unit",))
def summary_of_data(question: Question) -> dict[str, Any]:
    return _summary(question.inputs["data"])


@adapts("summary-statistics", "dataset", "n", optional=("unit",))
def summary_of_named_set(question: Question) -> dict[str, Any]:
    assert "michels" in question.inputs["dataset"].casefold(), "only Michelson's series is kept under authorities/"
    kept = tomllib.loads((AUTHORITIES / "michelso.toml").read_text(encoding="utf-8"))
    assert len(kept["speed"]) == question.inputs["n"]
    return _summary([kept["offset"] + speed / kept["per"] for speed in kept["speed"]])


@adapts("summary-statistics", "construction", "n")
def summary_of_constructed_series(question: Question) -> dict[str, Any]:
    first, one, other = map(float, re.findall(r"\d+\.\d+", question.inputs["construction"])[:3])
    turns = (one, other)
    return _summary([first, *(turns[place % 2] for place in range(question.inputs["n"] - 1))])


# --- reduction ----------------------------------------------------------------------------------------------------


@adapts("reduction", "log10_reduction")
def percents(question: Question) -> dict[str, Any]:
    return {"percent": percent_from_log10(question.inputs["log10_reduction"])}


@adapts("reduction", "before", "after", "blank", optional=("unit",))
def reduction_with_blank(question: Question) -> dict[str, Any]:
    before, after, blank = (question.inputs[name] for name in ("before", "after", "blank"))
    raw = reduction(before, before, after, after, spread_log10=1.0)  # the spread enters intervals alone: none is asked
    net = reduction(*net_bounds(before, before, blank), *net_bounds(after, after, blank), spread_log10=1.0)
    return {"raw_percent": raw.percent, "net_percent": net.percent, "net_ratio": net.left_frac, "net_log10": net.log10}


@adapts("reduction", "before", "after", "sd_log10", "replicates_each", "coverage", optional=("unit",))
def reduction_with_interval(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = reduction(given["before"], given["before"], given["after"], given["after"],
                      spread_log10=given["sd_log10"], n_before=given["replicates_each"],
                      n_after=given["replicates_each"], coverage=given["coverage"])
    lower, upper = found.percent_interval
    return {"log10_reduction": found.log10, "half_width": found.half_width_log10, "percent_lower": lower,
            "percent_upper": upper}


# --- censoring ----------------------------------------------------------------------------------------------------


@adapts("censoring", "value", "below", "log", optional=("unit",))
def censored_likelihood(question: Question) -> dict[str, Any]:
    found = lognormal_fit(*marked_bounds(question.inputs["value"], below=question.inputs["below"]))
    if question.inputs["log"] == "natural":
        return {"meanlog": found.mean_ln, "sdlog": found.spread_ln}
    return {"meanlog": found.mean_log10, "sdlog": found.spread_log10}


@adapts("censoring", "value", "below", optional=("unit",))
def censored_ros(question: Question) -> dict[str, Any]:
    found = ros(*marked_bounds(question.inputs["value"], below=question.inputs["below"]))
    return {"imputed_sorted": found.imputed, "mean": found.mean, "sd": found.sd}


@adapts("censoring", "value", "below", "flip_constant", optional=("unit",))
def censored_kaplan_meier(question: Question) -> dict[str, Any]:
    # Where the readings are turned round does not matter to the result: the constant is not wanted.
    found = kaplan_meier(*marked_bounds(question.inputs["value"], below=question.inputs["below"]))
    return {"mean": found.mean, "median": found.median}


@adapts("censoring", "time", "event", optional=("unit",))
def right_censored_kaplan_meier(question: Question) -> dict[str, Any]:
    still_going = [event == 0 for event in question.inputs["event"]]
    found = kaplan_meier(*marked_bounds(question.inputs["time"], above=still_going))
    return {"survival": found.share, "median": found.median, "mean": found.mean}


# --- one point against its limit ----------------------------------------------------------------------------------


@adapts("verdict", "y", "u", "upper_limit", optional=("unit",))
def conformance_of_a_value(question: Question) -> dict[str, Any]:
    given = question.inputs
    # The value stands where a log10 reading stands, so that the limit is handed over as what has that logarithm.
    return {"p_conform": p_conform(given["y"], 1, limit_rlu=10.0 ** given["upper_limit"], spread_log10=given["u"])}


@adapts("verdict", "reading", "limit", "sd_log10", "n", optional=("unit",))
def conformance_of_a_reading(question: Question) -> dict[str, Any]:
    given = question.inputs
    spread = {"limit_rlu": given["limit"], "spread_log10": given["sd_log10"]}
    return {"p_conform": p_conform(math.log10(given["reading"]), given["n"], **spread),
            "acceptance_limit_95": release_level(given["n"], **spread, multiplier=release_multiplier(1))}


@adapts("verdict", "conformance_probability", "one_sided")
def guard_bands(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"guard_band_in_u": coverage_factor(given["conformance_probability"], one_sided=given["one_sided"])}


@adapts("verdict", "df", "coverage")
def t_factors(question: Question) -> dict[str, Any]:
    return {"t": coverage_factor(question.inputs["coverage"], question.inputs["df"])}


@adapts("verdict", "sr", "coverage")
def limit_of_repeatability(question: Question) -> dict[str, Any]:
    return {"r": repeatability_limit(question.inputs["sr"],
                                     multiple=float(coverage_factor(question.inputs["coverage"])))}


@adapts("verdict", "first", "second", optional=("unit",))
def spread_of_duplicates(question: Question) -> dict[str, Any]:
    spread = within_sd(question.inputs["first"], question.inputs["second"])
    return {"within_sd": spread, "repeatability_2sd_of_diff": repeatability_limit(spread, multiple=2.0)}


@adapts("verdict", "true_value", "sd", "stage_1", "stage_2")
def risk_of_two_looks(question: Question) -> dict[str, Any]:
    assert question.inputs["true_value"] == "exactly at the limit" and question.inputs["sd"] == "known"
    return {"false_release_at_k_1_6449": false_release(release_multiplier(1), 2),
            "k_for_5_percent": release_multiplier(2, risk=0.05)}


@adapts("verdict", "limit", "sd_log10", "swabs", "guard_k", "true_fraction_of_limit")
def released_first_time(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"guarded_limit": release_level(given["swabs"], limit_rlu=given["limit"], spread_log10=given["sd_log10"],
                                           multiplier=given["guard_k"]),
            "p_released": first_time_share(given["true_fraction_of_limit"], spread_log10=given["sd_log10"],
                                           swabs=given["swabs"], multiplier=given["guard_k"])}


# --- all points together ------------------------------------------------------------------------------------------


@adapts("family-decision", "coverage", "confidence", "failures_allowed")
def fleet_sizes(question: Question) -> dict[str, Any]:
    given = question.inputs
    size = partial(smallest_n_all_pass, failures_allowed=given["failures_allowed"])
    return {"n": _each(size, given["coverage"], given["confidence"])}


@adapts("family-decision", "failures", "n", "confidence_one_sided")
def no_failure_bound(question: Question) -> dict[str, Any]:
    assert question.inputs["failures"] == 0
    return {"upper": zero_failures_upper(question.inputs["n"], confidence=question.inputs["confidence_one_sided"])}


@adapts("family-decision", "p_conform_each", "points")
def whole_vehicle(question: Question) -> dict[str, Any]:
    each, points = question.inputs["p_conform_each"], question.inputs["points"]
    return {"p_all": _each(lambda count: all_conform([each] * count), points),
            "each_needed_for_95": _each(partial(each_needed, overall=0.95), points)}


@adapts("family-decision", "points", "p_conform_each", "correlation")
def whole_vehicle_with_shared_error(question: Question) -> dict[str, Any]:
    each = [question.inputs["p_conform_each"]] * question.inputs["points"]
    return {"p_all": _each(lambda shared: all_conform(each, correlation=shared), question.inputs["correlation"])}


# --- shares, counts, outliers -------------------------------------------------------------------------------------


@adapts("proportion", "x", "n", "confidence")
def share_interval(question: Question) -> dict[str, Any]:
    # The inputs are the same for both intervals; the source says which of them it gives. Wilson's is the one to show.
    source = question.source.casefold()
    exact, score = (any(word in source for word in words) for words in (
        ("clopper", "exact", "binom.test", "beta quantile"), ("wilson", "score", "prop.test")))
    assert not (exact and score), f"which interval is meant? {question.source}"
    method = clopper_pearson if exact else wilson
    lower, upper = method(question.inputs["x"], question.inputs["n"], confidence=question.inputs["confidence"])
    return {"interval": [lower.tolist(), upper.tolist()], "lower": lower, "upper": upper}


@adapts("counts", "count", "confidence")
def poisson(question: Question) -> dict[str, Any]:
    lower, upper = count_interval(question.inputs["count"], confidence=question.inputs["confidence"])
    return {"lower": lower, "upper": upper}


@adapts("outlier", "data", "alpha_one_sided")
def farthest_value(question: Question) -> dict[str, Any]:
    sides = [grubbs(question.inputs["data"], risk=question.inputs["alpha_one_sided"], side=side)
             for side in ("high", "low")]
    farthest = max(sides, key=lambda found: found.distance)
    return {"G": farthest.distance, "critical": farthest.critical}


# --- sizes and plans ----------------------------------------------------------------------------------------------


@adapts("sample-size", "alpha_one_sided", "beta", "delta_over_sigma")
def readings_for_a_mean(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = size_for_mean(given["delta_over_sigma"], risk=given["alpha_one_sided"], power=1.0 - given["beta"])
    return {"n_normal": found.by_normal, f"n_with_t_df{found.degrees_of_freedom}": found.by_t, "n_final": found.n}


@adapts("sample-size", "p0", "p1", "alpha_one_sided", "beta")
def points_for_a_share(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = size_for_proportion(given["p0"], given["p1"], risk=given["alpha_one_sided"], power=1.0 - given["beta"])
    return {"n": found.n, "n_continuity": found.n_with_continuity}


@adapts("sample-size", "d", "alpha_two_sided", "power")
def two_groups(question: Question) -> dict[str, Any]:
    given = question.inputs
    size = partial(groups_of_two, risk=given["alpha_two_sided"], power=given["power"])
    return {"n_per_group": _each(size, given["d"])}


@adapts("sample-size", "groups", "f", "alpha", "power")
def several_groups(question: Question) -> dict[str, Any]:
    given = question.inputs
    size = partial(groups_for_anova, risk=given["alpha"], power=given["power"])
    return {"n_per_group": _each(size, given["groups"], given["f"])}


@adapts("sample-size", "dz", "alpha_two_sided", "power")
def pairs(question: Question) -> dict[str, Any]:
    given = question.inputs
    size = partial(pairs_for_difference, risk=given["alpha_two_sided"], power=given["power"])
    return {"n_pairs": _each(size, given["dz"])}


@adapts("sample-size", "rho", optional=("arms",))
def worth_of_before_values(question: Question) -> dict[str, Any]:
    found = ancova_factors(question.inputs["rho"])
    return {"ancova_over_post": found.ancova, "change_over_post": found.change_score}


@adapts("limit-setting", "n", "coverage", "confidence")
def tolerance_factors(question: Question) -> dict[str, Any]:
    given = tuple(question.inputs[name] for name in ("n", "coverage", "confidence"))
    one_sided = one_sided_factor(*given)
    if isinstance(given[0], list):
        return {"k": one_sided}
    return {"k": one_sided, "k_one_sided_exact": one_sided, "k_two_sided_exact": two_sided_factor(*given),
            "k_two_sided_howe": two_sided_factor(*given, approximate=True)}


@adapts("sampling-plan", "n", "c", "p")
def operating_characteristic(question: Question) -> dict[str, Any]:
    return {"pa": acceptance_probability(question.inputs["p"], question.inputs["n"], question.inputs["c"])}


@adapts("sampling-plan", "n", "ac", "pa")
def shares_accepted(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"percent_nonconforming": 100.0 * failing_share_accepted(given["pa"], given["n"], given["ac"])}


@adapts("sampling-plan", "p1", "p2", "alpha", "beta")
def item_by_item(question: Question) -> dict[str, Any]:
    given = question.inputs
    plan = sequential_plan(given["p1"], given["p2"], refuse_good=given["alpha"], accept_bad=given["beta"])
    return {"h1": plan.h1, "h2": plan.h2, "s": plan.slope,
            "first_n_that_can_accept_with_zero": plan.first_that_can_accept,
            "reject_number_at_n1": plan.refuse_number(1), "reject_number_at_n24": plan.refuse_number(24)}


@adapts("sampling-plan", "lot", "level_of_detection", "confidence", "accept")
def finite_list(question: Question) -> dict[str, Any]:
    given = question.inputs
    assert given["accept"] == 0, "only plans that allow no failing point are claimed"
    size = partial(smallest_n_for_share, confidence=given["confidence"])
    return {"n": _each(size, given["lot"], given["level_of_detection"])}


# --- what is published of rapid readings --------------------------------------------------------------------------


@adapts("atp-evidence", "pairs", "both_below_100", "both_above_100", "split", "first_below_second_above",
        "split_gap_over_100", optional=("unit",))
def duplicate_pairs(question: Question) -> dict[str, Any]:
    given = question.inputs
    names = {"clean_percent": "both_below_100", "dirty_percent": "both_above_100", "equivocal_percent": "split",
             "false_negative_percent": "first_below_second_above", "gap_percent": "split_gap_over_100"}
    return {result: share_pct(given[count], given["pairs"]) for result, count in names.items()}


def _percent_with_wilson(x: int, n: int, confidence: float) -> dict[str, Any]:
    return {"percent": share_pct(x, n), "wilson_percent": [100.0 * end.item()
                                                           for end in wilson(x, n, confidence=confidence)]}


@adapts("atp-evidence", "splits", "pairs", "confidence")
def flip_rate(question: Question) -> dict[str, Any]:
    return _percent_with_wilson(*(question.inputs[name] for name in ("splits", "pairs", "confidence")))


@adapts("atp-evidence", "positive", "n", optional=("lod_rlu_per_100cm2",))
def share_above_detection(question: Question) -> dict[str, Any]:
    return _percent_with_wilson(question.inputs["positive"], question.inputs["n"], 0.95)


@adapts("atp-evidence", "cv")
def spread_from_cv(question: Question) -> dict[str, Any]:
    spread = cv_to_log10(question.inputs["cv"])
    return {"sd_ln": spread * LN10, "sd_log10": spread, "repeatability_factor_95": repeatability_factor(spread)}


@adapts("atp-evidence", "percent_reduction", "ci", "sensitivity", "specificity",
        optional=("benchmark_rlu", "cfu_per_cm2"))
def reduction_and_cut(question: Question) -> dict[str, Any]:
    given = question.inputs
    stated = reduction_from_percent(given["percent_reduction"], *given["ci"])
    return {"log10_reduction": stated.log10, "log10_ci": [stated.low_log10.item(), stated.high_log10.item()],
            "ratio_after_over_before": stated.left_frac,
            "youden_j": youden_j(given["sensitivity"], given["specificity"]),
            "likelihood_ratio_positive": likelihood_ratio_positive(given["sensitivity"], given["specificity"])}


@adapts("atp-evidence", "cfu_increase_per_doubling_percent",
        optional=("n_surfaces", "median_rlu", "auc", "cutoff_rlu", "spearman"))
def growth_with_readings(question: Question) -> dict[str, Any]:
    law = power_law_from_doubling(question.inputs["cfu_increase_per_doubling_percent"])
    return {"exponent_cfu_on_rlu": law.exponent, "cfu_ratio_per_tenfold_rlu": law.ratio_per_tenfold}

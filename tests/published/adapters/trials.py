"""From cases on trials, monitoring, agreement and recovery to the evidence functions."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from published.adapters import Question, adapts
from tersum.evidence.agreement import deming, kappa, limits_of_agreement
from tersum.evidence.ancova import after_only, ancova, change_score
from tersum.evidence.calibration_line import calibration_line
from tersum.evidence.control_charts import c_chart, cusum, ewma, individuals, p_chart
from tersum.evidence.mixed_model import RandomPart, mixed_fit
from tersum.evidence.multiplicity import dunnett_factor, dunnett_p, holm
from tersum.evidence.paired import paired_difference, paired_equivalence
from tersum.evidence.recovery import corrected, method_spread, recovery, recovery_ratio
from tersum.evidence.rerandomisation import rerandomise, sign_flips, smallest_p
from tersum.evidence.roc import area_from_ratings
from tersum.evidence.run_length import RULES, cusum_run_length, ewma_run_length, rules_run_length, shewhart_run_length
from tersum.evidence.trend import mann_kendall, single_break
from tersum.evidence.variance_components import components, grouped_anova

AUTHORITIES = Path(__file__).resolve().parents[3] / "authorities"
RULE_OF = dict(zip(("1 beyond 3 sigma", "2 of 3 beyond 2 sigma same side", "4 of 5 beyond 1 sigma same side",
                    "8 in a row same side"), RULES, strict=True))


def _kept(name: str) -> dict[str, Any]:
    return tomllib.loads((AUTHORITIES / f"{name}.toml").read_text(encoding="utf-8"))


# --- variance components ------------------------------------------------------------------------------------------


@adapts("variance-components", "data", optional=("unit",))
def one_way(question: Question) -> dict[str, Any]:
    found = grouped_anova(list(question.inputs["data"].values()))
    return {"ss_between": found.ss_between, "ss_within": found.ss_within, "df_between": found.df_between,
            "df_within": found.df_within, "ms_within": found.ms_within, "F": found.f, "r_squared": found.r_squared,
            "residual_sd": found.residual_sd}


@adapts("variance-components", "yield_by_batch")
def batches(question: Question) -> dict[str, Any]:
    given = question.inputs["yield_by_batch"]
    values = [value for batch in given.values() for value in batch]
    found = components(values, [name for name, batch in given.items() for _ in batch])
    return {"grand_mean": found.mean, "var_between": found.between, "var_within": found.within,
            "se_mean": found.mean_error}


@adapts("variance-components", "dataset", "model")
def sleep_study(question: Question) -> dict[str, Any]:
    assert question.inputs["dataset"] == "lme4::sleepstudy", "only this data set is kept under authorities/"
    assert question.inputs["model"] == "Reaction ~ Days + (Days | Subject), REML"
    reaction = np.array(_kept("sleepstudy")["reaction"])
    people, times = reaction.shape
    days, who = np.tile(np.arange(float(times)), people), np.repeat(np.arange(people), times)
    found = mixed_fit(np.column_stack([np.ones(days.size), days]), reaction.ravel(),
                      [RandomPart.level_and_slope(who, days)])
    level, slope = found.parts[0].diagonal()
    return {"intercept": found.coefficients[0], "slope": found.coefficients[1], "var_intercept": level,
            "var_slope": slope, "var_residual": found.residual_variance}


# --- treatments compared ------------------------------------------------------------------------------------------


@adapts("treatment-comparison", "paired_differences_eighth_inch")
def maize(question: Question) -> dict[str, Any]:
    differences = question.inputs["paired_differences_eighth_inch"]
    found, turned = paired_difference(differences), sign_flips(differences)
    return {"sum": turned.statistic, "t": found.t, "p_t_two_sided": found.p_two_sided,
            "count_one_sided": turned.count_upper, "total": turned.total, "count_two_sided": turned.count_two_sided,
            "p_permutation_two_sided": turned.p_two_sided}


@adapts("treatment-comparison", "a", "b")
def sleep(question: Question) -> dict[str, Any]:
    found = paired_difference(np.subtract(question.inputs["a"], question.inputs["b"]))
    return {"mean_difference": found.mean, "t": found.t, "p": found.p_two_sided, "ci": [found.low, found.high]}


def _anorexia() -> tuple[list[float], list[float], list[str]]:
    arms = _kept("anorexia")["arms"]
    after, before = ([value for arm in arms.values() for value in arm[name]] for name in ("after", "before"))
    return after, before, [name for name, arm in arms.items() for _ in arm["after"]]


@adapts("treatment-comparison", "dataset", "model")
def anorexia_fit(question: Question) -> dict[str, Any]:
    assert question.inputs["model"] == "Postwt ~ Prewt + Treat, reference CBT"
    after, before, arms = _anorexia()
    found = ancova(after, before, arms, reference="CBT")
    # With the before value as offset, what is fitted is the change on the before value.
    offset = ancova(np.subtract(after, before), before, arms, reference="CBT")
    (cont, se_cont), (ft, se_ft) = found.against_reference("Cont"), found.against_reference("FT")
    return {"intercept": found.intercept, "cont_minus_cbt": cont, "ft_minus_cbt": ft, "se_cont": se_cont,
            "se_ft": se_ft, "prewt_slope": found.before_slope, "prewt_slope_with_offset": offset.before_slope,
            "se_intercept": found.intercept_error, "se_prewt": found.before_slope_error,
            "residual_ms": found.residual_mean_square}


@adapts("treatment-comparison", "dataset", "reference")
def anorexia_both_ways(question: Question) -> dict[str, Any]:
    change, adjusted = (method(*_anorexia(), reference=question.inputs["reference"])
                        for method in (change_score, ancova))
    return {"F": change.f, "p": change.p, "change_cbt_minus_cont": change.against_reference("CBT")[0],
            "change_ft_minus_cont": change.against_reference("FT")[0],
            "ancova_cbt_minus_cont": adjusted.against_reference("CBT")[0],
            "ancova_ft_minus_cont": adjusted.against_reference("FT")[0],
            "se_change_ft": change.against_reference("FT")[1], "se_ancova_ft": adjusted.against_reference("FT")[1]}


@adapts("treatment-comparison", "n_pairs", "mean_log10_difference", "sd_difference", "margin_log10")
def two_one_sided(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = paired_equivalence(given["n_pairs"], given["mean_log10_difference"], given["sd_difference"],
                               margin_log10=given["margin_log10"])
    return {"p_lower": found.p_lower, "p_upper": found.p_upper, "ci90": [found.low, found.high]}


@adapts("treatment-comparison", "pairs")
def smallest(question: Question) -> dict[str, Any]:
    return {"min_two_sided_p": smallest_p(question.inputs["pairs"])}


@adapts("randomisation", "population", "successes", "draws", "observed")
def tea(question: Question) -> dict[str, Any]:
    given = question.inputs
    picked = [place < given["draws"] for place in range(given["population"])]
    hits = given["observed"], given["draws"], given["successes"]
    first = [1.0] * hits[0] + [0.0] * (hits[1] - hits[0])
    rest = [1.0] * (hits[2] - hits[0])
    values = first + rest + [0.0] * (given["population"] - len(first) - len(rest))
    return {"p": rerandomise(values, picked, [0] * given["population"]).p_upper}


@adapts("multiplicity", "control", "drug_a", "drug_b")
def blood(question: Question) -> dict[str, Any]:
    names = ("control", "drug_a", "drug_b")
    values = [value for name in names for value in question.inputs[name]]
    found = after_only(values, [name for name in names for _ in question.inputs[name]], reference="control")
    sizes = {name: len(question.inputs[name]) for name in names}
    loads = [math.sqrt(sizes[arm] / (sizes[arm] + sizes["control"])) for arm in found.arms]
    statistic = found.differences / found.standard_errors
    reach = dunnett_factor(len(loads), found.degrees_of_freedom, loads=loads) * found.standard_errors
    return {"statistic": statistic, "p": dunnett_p(statistic, found.degrees_of_freedom, loads=loads),
            "lower": found.differences - reach, "upper": found.differences + reach}


@adapts("multiplicity", "df", "treatments", "joint_confidence")
def dunnett_table(question: Question) -> dict[str, Any]:
    given = question.inputs
    rows = {name: [dunnett_factor(many, given["df"], coverage=given["joint_confidence"], one_sided=one_sided)
                   for many in given["treatments"]] for name, one_sided in (("two_sided", False), ("one_sided", True))}
    return rows


@adapts("multiplicity", "p")
def stepwise(question: Question) -> dict[str, Any]:
    return {"adjusted": holm(question.inputs["p"])}


# --- monitoring ---------------------------------------------------------------------------------------------------


@adapts("monitoring", "data", "d2", "D4")
def individuals_and_range(question: Question) -> dict[str, Any]:
    found = individuals(question.inputs["data"], d2=question.inputs["d2"], d4=question.inputs["D4"])
    return {"center": found.center, "mr_bar": found.moving_range, "ucl": found.upper, "lcl": found.lower,
            "mr_ucl": found.range_upper}


@adapts("monitoring", "counts")
def counts(question: Question) -> dict[str, Any]:
    found = c_chart(question.inputs["counts"])
    above = [place for place in found.outside if question.inputs["counts"][place] > found.upper[place]]
    return {"center": found.center, "ucl": found.upper[0], "lcl": found.lower[0], "points_above_ucl": len(above)}


@adapts("monitoring", "defectives", "subgroup_size")
def shares(question: Question) -> dict[str, Any]:
    found = p_chart(question.inputs["defectives"], question.inputs["subgroup_size"])
    return {"center": found.center, "ucl": found.upper[0], "lcl": found.lower[0]}


@adapts("monitoring", "data", "lam", "ewma0", "sigma", "k")
def weighted(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = ewma(given["data"], target=given["ewma0"], sigma=given["sigma"], lam=given["lam"], width=given["k"],
                 exact_start=False)
    return {"ewma": found.ewma, "ucl": found.upper[-1], "lcl": found.lower[-1]}


@adapts("monitoring", "group_means", "target", "k", "h")
def cumulative(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = cusum(given["group_means"], target=given["target"], allowance=given["k"], limit=given["h"])
    return {"s_hi": found.high, "s_lo": found.low, "first_signal_index_1based": int(found.first_above) + 1}


@adapts("monitoring", "limits_sigma", "shift_sigma")
def run_of_shewhart(question: Question) -> dict[str, Any]:
    return {"arl": shewhart_run_length(question.inputs["shift_sigma"], limits_sigma=question.inputs["limits_sigma"])}


@adapts("monitoring", "k", "h", "two_sided", "shift_sigma")
def run_of_cusum(question: Question) -> dict[str, Any]:
    assert question.inputs["two_sided"] is True
    return {"arl": cusum_run_length(question.inputs["shift_sigma"], allowance=question.inputs["k"],
                                    limit=question.inputs["h"])}


@adapts("monitoring", "lam", "L", "shift_sigma")
def run_of_ewma(question: Question) -> dict[str, Any]:
    return {"arl": ewma_run_length(question.inputs["shift_sigma"], lam=question.inputs["lam"],
                                   width=question.inputs["L"])}


@adapts("monitoring", "rules", "shift_sigma")
def run_of_rules(question: Question) -> dict[str, Any]:
    rules = [RULE_OF[rule] for rule in question.inputs["rules"]]
    return {"arl": rules_run_length(rules, shift_sigma=float(question.inputs["shift_sigma"]))}


@adapts("trend", "dataset")
def nile(question: Question) -> dict[str, Any]:
    assert "Nile" in question.inputs["dataset"], "only this series is kept under authorities/"
    kept = _kept("nile")
    drift, jump = mann_kendall(kept["flow"]), single_break(kept["flow"])
    return {"S": drift.s, "var_S": drift.variance, "Z": drift.z, "p_two_sided": drift.p_two_sided,
            "sen_slope": drift.slope, "last_year_before": kept["first_year"] + jump.last_before - 1,
            "mean_before": jump.mean_before, "mean_after": jump.mean_after, "pettitt_index": jump.pettitt_place}


# --- agreement, curves, recovery ----------------------------------------------------------------------------------


@adapts("agreement", "method_a", "method_b", optional=("unit",))
def peak_flow(question: Question) -> dict[str, Any]:
    found = limits_of_agreement(question.inputs["method_a"], question.inputs["method_b"], multiple=2.0)
    return {"mean_difference": found.mean_difference, "sd_difference": found.sd_difference, "lower": found.lower,
            "upper": found.upper, "r": found.correlation}


@adapts("agreement", "x", "y", "variance_ratio")
def line_of_closest_fit(question: Question) -> dict[str, Any]:
    found = deming(question.inputs["x"], question.inputs["y"], variance_ratio=question.inputs["variance_ratio"])
    return {"slope": found.slope, "intercept": found.intercept}


@adapts("agreement", "x", "y", "variance_ratio_y_over_x", optional=("error_variance_x", "error_variance_y"))
def line_with_ratio(question: Question) -> dict[str, Any]:
    found = deming(question.inputs["x"], question.inputs["y"],
                   variance_ratio=question.inputs["variance_ratio_y_over_x"])
    return {"slope": found.slope, "intercept": found.intercept}


@adapts("agreement", "table")
def beyond_chance(question: Question) -> dict[str, Any]:
    found = kappa(question.inputs["table"])
    return {"kappa": found.kappa, "ase": found.standard_error, "lower": found.lower, "upper": found.upper}


@adapts("calibration-regression", "x", "y")
def norris(question: Question) -> dict[str, Any]:
    found = calibration_line(question.inputs["x"], question.inputs["y"])
    return {"b0": found.intercept, "b1": found.slope, "se_b0": found.intercept_error, "se_b1": found.slope_error,
            "residual_sd": found.residual_sd, "r_squared": found.r_squared, "F": found.f}


@adapts("roc", "negative_by_rating", "positive_by_rating")
def ratings(question: Question) -> dict[str, Any]:
    found = area_from_ratings(question.inputs["negative_by_rating"], question.inputs["positive_by_rating"])
    return {"auc": found.area, "se": found.standard_error}


@adapts("recovery", "surface", "recovery_percent")
def by_surface(question: Question) -> dict[str, Any]:
    shares = dict(zip(question.inputs["surface"], question.inputs["recovery_percent"], strict=True))
    ratio, bias = recovery_ratio(shares["stainless steel"], shares["plastic"])
    return {"ratio_steel_over_plastic": ratio, "log10_bias_plastic_vs_steel": bias}


@adapts("recovery", "cv_between_lab_percent", "cv_within_lab_percent", optional=("target_cfu_per_100cm2",))
def by_load(question: Question) -> dict[str, Any]:
    return {"cv_method_percent": method_spread(question.inputs["cv_between_lab_percent"],
                                               question.inputs["cv_within_lab_percent"])}


@adapts("recovery", "sample", "spiked_sample", "spike_in_clean", "u_rel_sample", "u_rel_spiked", "u_rel_spike",
        optional=("unit",))
def spike(question: Question) -> dict[str, Any]:
    given = question.inputs
    known = recovery(given["sample"], given["spiked_sample"], given["spike_in_clean"],
                     unspiked_rel=given["u_rel_sample"], spiked_rel=given["u_rel_spiked"],
                     spike_rel=given["u_rel_spike"])
    return {"recovery": known.share, "corrected": corrected(given["sample"], known,
                                                            net_rel=given["u_rel_sample"]).net_rlu}

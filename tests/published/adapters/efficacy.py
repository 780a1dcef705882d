"""From cases on survivor curves, efficacy tests, operators, ultraviolet doses, dose and response to the functions."""

from __future__ import annotations

import math
from typing import Any

from published.adapters import Question, adapts
from tersum.lethality.carrier_dose import logistic_dose
from tersum.lethality.carriers import (
    LOG_OF_MEAN,
    MEAN_OF_LOGS,
    growth_on_carriers,
    mean_of_logs,
    mean_reduction,
    survivors_per_carrier,
)
from tersum.lethality.count_scatter import dilution_quotient
from tersum.lethality.efficacy import requirement, rules_of
from tersum.lethality.log_reduction import MET, at_least, exactly
from tersum.lethality.residual_risk import BETA_POISSON, EXPONENTIAL, DoseResponse, response
from tersum.lethality.surface_efficacy import reported, wipe_test
from tersum.lethality.survivor_fit import SurvivorFit, survivor_fit
from tersum.lethality.survivor_time import shouldered_time
from tersum.lethality.suspension import (
    BACTERIA,
    Controls,
    Density,
    control_failings,
    density_failings,
    residual,
    suspension_density,
)
from tersum.lethality.uv import uv_dose

ENOUGH_TRANSFER = 100.0  # the case of the wipe says nothing of its water control: one that carried on enough

# --- survivor curves ----------------------------------------------------------------------------------------------


def _fitted(question: Question, model: str) -> SurvivorFit:
    return survivor_fit(question.inputs["time"], question.inputs["log10_N"], model=model)


@adapts("kinetics.fit.linear", "time", "log10_N")
def straight_line(question: Question) -> dict[str, Any]:
    found = _fitted(question, "log-linear")
    return {"log10_N0": found["log10_n0"].value, "D": found["d"].value, "SSE": found.sse}


@adapts("kinetics.fit.weibull", "time", "log10_N")
def weibull(question: Question) -> dict[str, Any]:
    found = _fitted(question, "weibull")
    return {"log10_N0": found["log10_n0"].value, "delta": found["delta"].value, "p": found["p"].value,
            "SSE": found.sse}


@adapts("kinetics.fit.weibull_tail", "time", "log10_N")
def weibull_tail(question: Question) -> dict[str, Any]:
    found = _fitted(question, "weibull-tail")
    return {"log10_N0": found["log10_n0"].value, "delta": found["delta"].value, "p": found["p"].value,
            "log10_Nres": found["log10_nres"].value, "SSE": found.sse}


@adapts("kinetics.fit.geeraerd", "time", "log10_N")
def geeraerd(question: Question) -> dict[str, Any]:
    found = _fitted(question, "geeraerd")
    return {"log10_N0": found["log10_n0"].value, "kmax_per_time": found["k"].value, "shoulder": found["shoulder"].value,
            "log10_Nres": found["log10_nres"].value, "SSE": found.sse}


@adapts("kinetics.shoulder", "shoulder_min", "D_min", "log_reduction",
        optional=("organism", "PAA_percent", "application"))
def shoulder(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"time_min": shouldered_time(given["D_min"], given["shoulder_min"], given["log_reduction"])}


@adapts("kinetics.logistic_dose", "concentration_wt_percent", "top", "slope", "LR50_wt_percent", "bottom",
        optional=("agent", "temperature_C", "food_residue", "contact_time_min"))
def logistic(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"log_reduction": logistic_dose(given["concentration_wt_percent"], top=given["top"], bottom=given["bottom"],
                                           slope=given["slope"], half_strength=given["LR50_wt_percent"]).item()}


# --- European scheme ----------------------------------------------------------------------------------------------


@adapts("en.N", "counts_first", "counts_second", "dilution_first", "volume_mL")
def density(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = suspension_density(given["counts_first"], given["counts_second"], dilution_first=given["dilution_first"],
                               volume_ml=given["volume_mL"])
    return {"N_cfu_per_mL": found.reported, "lg_N0": found.log10_in_mixture, "N0_in_range": not density_failings(found)}


@adapts("en.validity", "N_cfu_per_mL")
def density_range(question: Question) -> dict[str, Any]:
    number = question.inputs["N_cfu_per_mL"]
    return {"N0_in_range": not density_failings(Density(number, number, math.nan, None))}


@adapts("en.logred", "lg_N0", "Vc", "dilution_factor_neutralisation", "plate_mL",
        optional=("lower_limit", "upper_limit"))
def reduction(question: Question) -> dict[str, Any]:
    given = question.inputs
    rules = rules_of(BACTERIA)
    for name, rule in (("dilution_factor_neutralisation", "neutralisation"), ("lower_limit", "lowest_count"),
                       ("upper_limit", "highest_count")):
        assert given.get(name, rules[rule].number) == rules[rule].number, f"the method holds another {rule}"
    left = residual(given["Vc"], volume_ml=given["plate_mL"])
    found = exactly(given["lg_N0"]) - left.log10
    told = {"lg_Na": left.log10.value, "operator": found.operator, "Na_report": left.report,
            "passes_5": found.reaches(5.0) == MET}
    if found.operator == "=":
        return told | {"Na": float(left.report), "lg_R": found.value}
    return told | {"lg_R_min": found.value}


@adapts("en.validation", "Nv0", "A", "B", "C")
def controls(question: Question) -> dict[str, Any]:
    given = Controls(*(question.inputs[one] for one in ("Nv0", "A", "B", "C")))
    failing = [one.code for one in control_failings(given)]
    return {"A_ok": "control-a" not in failing, "B_ok": "control-b" not in failing, "C_ok": "control-c" not in failing,
            "test_valid": not failing}


@adapts("en.N.consistency", "mean_first", "mean_second")
def quotient(question: Question) -> dict[str, Any]:
    found = dilution_quotient(question.inputs["mean_first"], question.inputs["mean_second"])
    return {"quotient": found.quotient, "acceptable": found.acceptable}


@adapts("en.requirement", "tests")
def required(question: Question) -> dict[str, Any]:
    return {"required_lg": [requirement(one).required_log10 for one in question.inputs["tests"]]}


@adapts("en.wipe", "lg_R_field1", "mean_cfu_per_25cm2_fields2_4")
def wipe(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = wipe_test(requirement("EN 16615 bactericidal"), reported(exactly(given["lg_R_field1"])),
                      spread_cfu_25cm2=given["mean_cfu_per_25cm2_fields2_4"], transfer_cfu_field=ENOUGH_TRANSFER)
    return {"passes": found.answer == MET, "reason": found.flags[0]}


# --- United States ------------------------------------------------------------------------------------------------


@adapts("us.logred", "log_control", "log_treated")
def replicates(question: Question) -> dict[str, Any]:
    found = mean_of_logs(question.inputs["log_control"], question.inputs["log_treated"])
    return {"LR": found.reduction.value, "SE": found.se_log10}


@adapts("us.logred", "treated_cfu", "control_log")
def definitions(question: Question) -> dict[str, Any]:
    given = question.inputs
    logs, mean = (mean_reduction([given["control_log"]], given["treated_cfu"], definition=one).reduction.value
                  for one in (MEAN_OF_LOGS, LOG_OF_MEAN))
    return {"LR_mean_of_logs": logs, "LR_log_of_mean": mean}


@adapts("us.carriers.quantal", "positive", "carriers", "log10_density_per_carrier")
def quantal(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = growth_on_carriers("use-dilution, S. aureus", given["positive"], carriers=given["carriers"],
                               log10_density=given["log10_density_per_carrier"])
    return {"survivors_per_carrier": survivors_per_carrier(given["positive"], given["carriers"]),
            "LR_estimate": found.reduction.value}


@adapts("us.carriers.decision", "cases", "carriers", "log10_density_range")
def decisions(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = [growth_on_carriers(f"use-dilution, {name}", positive, carriers=given["carriers"], log10_density=density)
             for name, positive in given["cases"] for density in given["log10_density_range"]]
    assert [one.answer for one in found[::2]] == [one.answer for one in found[1::2]], "both ends of the range are in it"
    return {"passes": [one.answer == MET for one in found[::2]]}


# --- reports, doses -----------------------------------------------------------------------------------------------


@adapts("report.operator", "LR", "survivors_detected", optional=("organism", "surface", "treatment"))
def operator(question: Question) -> dict[str, Any]:
    given = question.inputs
    found = exactly(given["LR"]) if given["survivors_detected"] else at_least(given["LR"])
    return {"operator": found.operator, "report": found.text(1)}


@adapts("uv.table", "organism", "log_credit")
def ultraviolet(question: Question) -> dict[str, Any]:
    given = question.inputs
    return {"UV_dose_mJ_per_cm2": uv_dose(given["organism"], log10=given["log_credit"]).number}


@adapts("risk.exponential", "k", "dose", optional=("organism",))
def exponential(question: Question) -> dict[str, Any]:
    curve = DoseResponse("", EXPONENTIAL, question.inputs["k"], math.nan, math.nan, "", "")
    return {"ID50": curve.half_dose, "P_at_dose": response(curve, question.inputs["dose"]).item()}


@adapts("risk.beta_poisson", "alpha", "N50", "dose", optional=("organism",))
def beta_poisson(question: Question) -> dict[str, Any]:
    given = question.inputs
    curve = DoseResponse("", BETA_POISSON, math.nan, given["alpha"], given["N50"], "", "")
    return {"P_at_dose": response(curve, given["dose"]).item(), "P_at_N50": response(curve, given["N50"]).item()}

"""From cases on contact time, heat, plate counts, most probable numbers and virus titres to the lethality functions."""

from __future__ import annotations

import math

from published.adapters import Question, adapts
from tersum.lethality.contact import strength_exponent, time_for_logs, time_per_log_min, wait_for_ct
from tersum.lethality.count_scatter import (
    dispersion,
    expanded_uncertainty_log10,
    poisson_interval,
    study_log10,
    zero_upper,
)
from tersum.lethality.ct_equations import ct_from_equation
from tersum.lethality.ct_tables import ct_from_table
from tersum.lethality.heat import (
    Dose,
    at_reference,
    d_from_rate,
    d_from_time,
    dose,
    dose_at,
    hold_s,
    logs_in,
    sensor_factor,
    z_from_series,
    z_value,
)
from tersum.lethality.heat_trace import Logging, heat_dose
from tersum.lethality.mpn import NOT_TO_BE_TRUSTED, design, mpn
from tersum.lethality.mpn_interval import JARVIS, LIKELIHOOD_RATIO, WALD, mpn_interval
from tersum.lethality.mpn_table import tabulated
from tersum.lethality.plaques import plaque_count
from tersum.lethality.plate_counts import Plates, convention, plate_count
from tersum.lethality.rounding import significant
from tersum.lethality.surface_counts import swab_count
from tersum.lethality.temperature import temperature_factor, time_at
from tersum.lethality.titre import (
    UNITS_PER_SPEARMAN_TCID50,
    UNITS_PER_TCID50,
    N,
    no_effect_upper,
    reed_muench,
    spearman_kaerber,
    units_per_ml,
    wells,
)

A0 = dose("A0")
# Tables B-4 and B-7 hold at pH 6 to 9, as the sources of their cases say; the others do not ask.
WITHIN_6_TO_9 = 7.0
WITHOUT_CUT_OFF = dose("A0", cut_off_c=-math.inf)


# contact time in water

@adapts("ct.table.giardia.free_chlorine", "log_inactivation", "temperature_C", "free_chlorine_mg_per_L", "pH")
def giardia_table(question: Question) -> dict[str, object]:
    given = question.inputs
    return _ct(ct_from_table("free chlorine", "giardia", log10=given["log_inactivation"],
                             temp_c=given["temperature_C"], strength_mg_l=given["free_chlorine_mg_per_L"],
                             ph=given["pH"]))


@adapts("ct.table.virus.free_chlorine", "log_inactivation", "temperature_C", "pH_range")
def virus_table(question: Question) -> dict[str, object]:
    given = question.inputs
    return _ct(ct_from_table("free chlorine", "virus", log10=given["log_inactivation"], temp_c=given["temperature_C"],
                             ph=float(given["pH_range"].split("-")[-1])))


@adapts("ct.table.clo2.giardia", "disinfectant", "organism", "log_inactivation", "temperature_C")
@adapts("ct.table.clo2.virus", "disinfectant", "organism", "log_inactivation", "temperature_C")
@adapts("ct.table.o3.giardia", "disinfectant", "organism", "log_inactivation", "temperature_C")
@adapts("ct.table.o3.virus", "disinfectant", "organism", "log_inactivation", "temperature_C")
@adapts("ct.table.nh2cl.giardia", "disinfectant", "organism", "log_inactivation", "temperature_C")
@adapts("ct.table.nh2cl.virus", "disinfectant", "organism", "log_inactivation", "temperature_C")
def other_tables(question: Question) -> dict[str, object]:
    given = question.inputs
    return _ct(ct_from_table(given["disinfectant"], given["organism"], log10=given["log_inactivation"],
                             temp_c=given["temperature_C"], ph=WITHIN_6_TO_9))


@adapts("ct.regression.giardia.free_chlorine", "log_inactivation", "temperature_C", "free_chlorine_mg_per_L", "pH")
def giardia_equation(question: Question) -> dict[str, object]:
    given = question.inputs
    return _ct(ct_from_equation("free chlorine", "giardia", log10=given["log_inactivation"],
                                temp_c=given["temperature_C"], strength_mg_l=given["free_chlorine_mg_per_L"],
                                ph=given["pH"]))


@adapts("ct.regression.cryptosporidium.chlorine_dioxide", "log_credit", "temperature_C")
@adapts("ct.regression.cryptosporidium.ozone", "log_credit", "temperature_C")
def cryptosporidium_equation(question: Question) -> dict[str, object]:
    given = question.inputs
    disinfectant = question.topic.rsplit(".", 1)[-1].replace("_", " ")
    return _ct(ct_from_equation(disinfectant, "cryptosporidium", log10=given["log_credit"],
                                temp_c=given["temperature_C"]))


@adapts("ct.decay", "CT_required_mg_min_per_L", "C0_mg_per_L", "decay_per_min")
def fading(question: Question) -> dict[str, object]:
    given = question.inputs
    found = wait_for_ct(given["CT_required_mg_min_per_L"], given["C0_mg_per_L"],
                        fading_per_min=given["decay_per_min"])
    return {"time_min": float(found.contact_min), "reachable": bool(found.reachable),
            "CT_max_reachable_mg_min_per_L": float(found.most)}


@adapts("ct.virus.peracetic_acid", "organism", "matrix", "CT_1log", "CT_2log", "CT_3log", "C_mg_per_L")
def norovirus(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"time_for_3log_min": float(wait_for_ct(given["CT_3log"], given["C_mg_per_L"]).contact_min)}


@adapts("ct.temperature", "CT_at_5C", "CT_at_15C")
def ten_degrees(question: Question) -> dict[str, object]:
    given = question.inputs
    found = temperature_factor(given["CT_at_5C"], given["CT_at_15C"], slow_at_c=5.0, fast_at_c=15.0)
    return {"Q10": found.q10, "theta": found.theta, "Ea_kJ_per_mol": found.activation_kj_mol}


@adapts("ct.chemical.D", "k_per_s", "H2O2_percent", "temperature_C", "Q10")
def peroxide_rate(question: Question) -> dict[str, object]:
    given = question.inputs
    at_test = time_per_log_min(given["k_per_s"])
    return {"D_s": at_test, "D_at_70C_s": time_at(at_test, at_c=given["temperature_C"], wanted_c=70.0,
                                                  q10=given["Q10"], tested_c=(60.0, 80.0))}


@adapts("ct.chemical.D", "organism", "H2O2_percent", "temperature_C", "D_min", "log_reduction")
def peroxide_time(question: Question) -> dict[str, object]:
    return {"time_min": float(time_for_logs(question.inputs["D_min"], question.inputs["log_reduction"]))}


@adapts("ct.concentration_exponent", "D_min_at_0_025pct", "D_min_at_0_05pct", "D_min_at_0_1pct")
def exponent(question: Question) -> dict[str, object]:
    weak, middle, strong = (question.inputs[f"D_min_at_0_{one}pct"] for one in ("025", "05", "1"))
    found = strength_exponent([weak, middle, weak], [middle, strong, strong], [0.025, 0.05, 0.025], [0.05, 0.1, 0.1])
    return dict(zip(("n_first_doubling", "n_second_doubling", "n_overall"), found.tolist(), strict=True))


# moist heat

@adapts("heat.A0.constant", "temperature_C", "time_s", "z_C", "reference_C")
def constant_a0(question: Question) -> dict[str, object]:
    given = question.inputs
    counted = Dose("A0", given["reference_C"], given["z_C"], "s", 1.0, A0.cut_off_c)
    return {"A0_s": float(dose_at(given["temperature_C"], given["time_s"], counted=counted))}


@adapts("heat.A0.required_time", "temperature_C", "A0_target_s")
def required_time(question: Question) -> dict[str, object]:
    return {"time_s": float(hold_s(question.inputs["A0_target_s"], question.inputs["temperature_C"], counted=A0))}


@adapts("heat.A0.trace", "time_s", "temperature_C", "z_C", "cutoff_C")
def trace(question: Question) -> dict[str, object]:
    seconds, temps = question.inputs["time_s"], question.inputs["temperature_C"]
    exact = heat_dose(seconds, temps, counted=WITHOUT_CUT_OFF)
    trapezoid = heat_dose(seconds, temps, counted=WITHOUT_CUT_OFF, logging=Logging(method="trapezoid"))
    wrong = dose_at(exact.mean_c, exact.duration_s, counted=WITHOUT_CUT_OFF)
    return {"A0_exact_integral": exact.dose, "A0_trapezoid_on_rate": trapezoid.dose,
            "A0_wrong_from_mean_temperature": float(wrong)}


@adapts("heat.A0.uncertainty", "z_C", "temperature_error_C")
def sensor(question: Question) -> dict[str, object]:
    return {"A0_relative_factor": float(sensor_factor(question.inputs["temperature_error_C"], counted=A0))}


@adapts("heat.F0.constant", "temperature_C", "time_min", "z_C", "reference_C")
def constant_f0(question: Question) -> dict[str, object]:
    given = question.inputs
    minutes = Dose("F0", given["reference_C"], given["z_C"], "min", 1.0, -math.inf)
    return {"F0_min": float(dose_at(given["temperature_C"], given["time_min"], counted=minutes))}


@adapts("heat.F0.reference", "F0_ref_121_0_min")
def other_reference(question: Question) -> dict[str, object]:
    amount = question.inputs["F0_ref_121_0_min"]
    return {f"F0_ref_{name}_min": float(at_reference(amount, counted=dose("F0"), reference_c=temp))
            for name, temp in (("121_1", 121.1), ("121_11", 121.0 + 1.0 / 9.0))}


@adapts("heat.z", "T1_C", "D1_min", "T2_C", "D2_min")
def z_of_two(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"z_C": z_value(given["D1_min"], given["D2_min"], cool_c=given["T1_C"], hot_c=given["T2_C"])}


@adapts("heat.D", "kmax_per_min", "temperature_C")
def z_of_rates(question: Question) -> dict[str, object]:
    times = d_from_rate(question.inputs["kmax_per_min"])
    return {"D_min": times, "z_C": z_from_series(question.inputs["temperature_C"], times)}


@adapts("heat.D", "temperature_C", "time_min", "log_reduction")
def six_logs(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"D70_min": d_from_time(given["time_min"], given["log_reduction"]),
            "A0_s": float(dose_at(given["temperature_C"], 60.0 * given["time_min"], counted=A0))}


@adapts("heat.D", "organism", "temperature_C", "D_min_low", "D_min_high", "log_reduction")
def logs_at_one_temperature(question: Question) -> dict[str, object]:
    given = question.inputs
    low, high = time_for_logs([given["D_min_low"], given["D_min_high"]], given["log_reduction"]).tolist()
    return {"time_min_low": low, "time_min_high": high}


@adapts("heat.D", "organism", "temperature_C", "time_s", "D80_h_low", "D80_h_high")
def spores(question: Question) -> dict[str, object]:
    given = question.inputs
    high, low = logs_in(given["time_s"], [3600.0 * given["D80_h_low"], 3600.0 * given["D80_h_high"]]).tolist()
    return {"A0_s": float(dose_at(given["temperature_C"], given["time_s"], counted=A0)), "log_reduction_high": high,
            "log_reduction_low": low}


@adapts("heat.F", "D121_min", "log_reduction")
def canning(question: Question) -> dict[str, object]:
    return {"F_min": float(time_for_logs(question.inputs["D121_min"], question.inputs["log_reduction"]))}


# plate counts

@adapts("counts.weighted_mean", "counts_first", "counts_second", "dilution_first", "volume_mL")
def weighted_mean(question: Question) -> dict[str, object]:
    given = question.inputs
    first = given["dilution_first"]
    found = plate_count([Plates(first, tuple(given["counts_first"]), given["volume_mL"]),
                         Plates(first / 10.0, tuple(given["counts_second"]), given["volume_mL"])],
                        convention=_convention(question))
    return {"N_unrounded": found.unrounded, "N_reported": found.reported}


@adapts("counts.single_dilution", "counts", "dilution", "volume_mL")
def single_dilution(question: Question) -> dict[str, object]:
    given = question.inputs
    found = plate_count([Plates(given["dilution"], tuple(given["counts"]), given["volume_mL"])],
                        convention=_convention(question))
    return {"N_reported": found.reported}


@adapts("counts.below_range", "counts_first", "counts_second", "dilution_first", "lower_limit_colonies")
def below_range(question: Question) -> dict[str, object]:
    given = question.inputs
    first = given["dilution_first"]
    found = plate_count([Plates(first, tuple(given["counts_first"])),
                         Plates(first / 10.0, tuple(given["counts_second"]))], convention=_convention(question))
    return {"report": found.text}


@adapts("counts.rounding", "calculated")
def rounded(question: Question) -> dict[str, object]:
    rule = _convention(question)
    return {"reported": significant(question.inputs["calculated"], digits=rule.digits, halves=rule.halves)}


@adapts("counts.uncertainty", "sR_log10", "colonies_total")
def uncertainty(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"U_log10": float(expanded_uncertainty_log10(given["sR_log10"], given["colonies_total"]))}


@adapts("counts.log_of_zero", "cfu_per_unit", "smallest_reportable")
def log_of_zero(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"Y": float(study_log10(given["cfu_per_unit"], given["smallest_reportable"]))}


@adapts("counts.poisson_interval", "colonies", "confidence")
def garwood(question: Question) -> dict[str, object]:
    low, high = poisson_interval(question.inputs["colonies"], confidence=question.inputs["confidence"])
    return {"lower": float(low), "upper": float(high)}


@adapts("counts.detection_limit", "colonies", "confidence_one_sided")
def rule_of_three(question: Question) -> dict[str, object]:
    return {"upper": zero_upper(question.inputs["confidence_one_sided"])}


@adapts("counts.surface", "counts", "plated_mL_each", "eluate_mL", "dilution", "area_cm2", "recovery_fraction")
def swab(question: Question) -> dict[str, object]:
    given = question.inputs
    found = {recovery: swab_count(given["counts"], plated_ml=given["plated_mL_each"], eluate_ml=given["eluate_mL"],
                                  area_cm2=given["area_cm2"], dilution=given["dilution"], recovery_frac=recovery)
             for recovery in (given["recovery_fraction"], 0.5)}
    return {"cfu_per_cm2": found[given["recovery_fraction"]].corrected,
            "cfu_per_cm2_if_recovery_0_5": found[0.5].corrected}


@adapts("counts.surface.detection_limit", "counts", "plated_mL_each", "eluate_mL", "area_cm2")
def swab_without_colonies(question: Question) -> dict[str, object]:
    given = question.inputs
    found = swab_count(given["counts"], plated_ml=given["plated_mL_each"], eluate_ml=given["eluate_mL"],
                       area_cm2=given["area_cm2"])
    return {"report_one_colony_cfu_per_cm2": found.recovered, "upper95_one_sided_cfu_per_cm2": found.high}


@adapts("counts.dispersion_index", "counts")
def plates_of_one_dilution(question: Question) -> dict[str, object]:
    found = dispersion(question.inputs["counts"])
    return {"D2": found.index, "df": found.degrees_of_freedom, "p_value": found.p_value}


# most probable numbers

@adapts("mpn", "positive", "tubes", "amount_per_tube")
def most_probable(question: Question) -> dict[str, object]:
    made = design(question.inputs["tubes"], question.inputs["amount_per_tube"])
    positive = question.inputs["positive"]
    found = mpn(positive, design=made)
    wald, ratio, jarvis = (mpn_interval(found, method=name) for name in (WALD, LIKELIHOOD_RATIO, JARVIS))
    row = tabulated(positive, design=made)
    # "lower95" is the solver's interval or, where the source is the table, the table's row.
    low, high = (row.low, row.high) if row and "Table 1 (3 tubes" in question.source else (
        float(wald.low), float(wald.high))
    return {"MPN": float(found.mpn), "MPN_per_g": float(found.mpn), "MPN_per_mL": float(found.mpn),
            "MPN_per_100mL": float(mpn(positive, design=design(made.tubes, made.amounts / 100.0)).mpn),
            "MPN_infinite": math.isinf(float(found.mpn)), "SE_log10": float(found.se_log10),
            "rarity_index": float(found.rarity), "trust": str(found.trust) != NOT_TO_BE_TRUSTED, "lower95": low,
            "upper95": high, "lower": float(jarvis.low), "upper": float(jarvis.high), "lower95_LR": float(ratio.low),
            "upper95_LR": float(ratio.high)}


# virus titres

@adapts("virus.tcid50", "log10_dilution", "positive", "total", "inoculum_mL")
def titre(question: Question) -> dict[str, object]:
    given = question.inputs
    made = wells(given["log10_dilution"], given["positive"], given["total"], inoculum_ml=given["inoculum_mL"])
    published, unbiased, other = spearman_kaerber(made, variance=N), spearman_kaerber(made), reed_muench(made)
    return {"SK_log10_endpoint": published.endpoint_log10, "SK_TCID50_per_mL": published.per_ml,
            "SK_lower95": published.low_per_ml, "SK_upper95": published.high_per_ml,
            "RM_TCID50_per_mL": other.per_ml, "SK_SE_log10_n": published.se_log10,
            "SK_SE_log10_n_minus_1": unbiased.se_log10}


@adapts("virus.conversion", "TCID50_per_mL")
def plaques_per_titre(question: Question) -> dict[str, object]:
    per_ml = question.inputs["TCID50_per_mL"]
    return {"PFU_per_mL_poisson": units_per_ml(per_ml, per_tcid50=UNITS_PER_TCID50),
            "PFU_per_mL_SK_factor": units_per_ml(per_ml, per_tcid50=UNITS_PER_SPEARMAN_TCID50)}


@adapts("virus.plaque", "plaques", "dilution", "inoculum_mL")
def plaques(question: Question) -> dict[str, object]:
    given = question.inputs
    found = plaque_count(given["plaques"], dilution=given["dilution"], inoculum_ml=given["inoculum_mL"])
    return {"PFU_per_mL": found.per_ml, "lower95": found.low, "upper95": found.high}


@adapts("virus.detection_limit", "wells", "inoculum_mL", "dilution", "all_negative")
def no_well(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"upper95_infectious_units_per_mL": no_effect_upper(given["wells"], inoculum_ml=given["inoculum_mL"],
                                                               dilution=given["dilution"])}


def _ct(found) -> dict[str, object]:
    return {"CT_mg_min_per_L": found.ct_mg_min_l}


def _convention(question: Question):
    """Return the rule set that the source of a case names."""
    return convention("BAM" if "Bacteriological Analytical Manual" in question.source else "ISO 7218")

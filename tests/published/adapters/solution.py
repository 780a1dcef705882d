"""From cases on pH, meter, vapour, condensate, titration, decay and steam to the chemistry functions."""

from __future__ import annotations

from published.adapters import Question, adapts
from tersum.chemistry.acetic_equivalent import acetic_equivalent
from tersum.chemistry.activity import coefficient
from tersum.chemistry.arrhenius import activation_energy, kj_mol_from_kcal, published_order, q10, rate_at
from tersum.chemistry.buffers import set_value
from tersum.chemistry.decay import half_life_h, time_to_floor_h
from tersum.chemistry.distillate import converted, distilled
from tersum.chemistry.equilibria import pk
from tersum.chemistry.henry import left_behind, relative_volatility, solubility, volatility
from tersum.chemistry.ph import solution
from tersum.chemistry.ph_meter import BufferPoint, calibration, nernst_slope
from tersum.chemistry.ph_reading import hydronium_ratio
from tersum.chemistry.recipe import Water
from tersum.chemistry.steam import dose, nozzle, steam_rate, wet_steam
from tersum.chemistry.titration import Titration, available_oxygen_pct, equivalent_mg, oxygen_ml, peroxide_then_peracid
from tersum.chemistry.uncertainty import Quantity
from tersum.chemistry.use_by import use_by_of_rate
from tersum.chemistry.water_vapour import saturation, saturation_pressure_mpa, state
from tersum.units import parse_temperature_c

NAMES = {"acetic_acid": "acetic acid", "peracetic_acid": "peracetic acid", "H2O2": "hydrogen peroxide",
         "sodium_acetate": "sodium acetate"}
# Three Henry constants are asked for by a temperature alone; which one, the source says, by how it begins.
BY_SOURCE = {"Sander": "acetic acid", "O'Sullivan": "peracetic acid", "Species table": "hydrogen peroxide"}


# acids and bases

@adapts("b-acid-base", "temperature")
def constants(question: Question) -> dict[str, object]:
    temp_c = question.inputs["temperature"]
    return {"pKa_acetic": pk("acetic acid", temp_c), "pKw": pk("water", temp_c),
            "pKa_peracetic": pk("peracetic acid", temp_c), "pKa_H2O2": pk("hydrogen peroxide", temp_c),
            "pKa_HOCl": pk("hypochlorous acid", temp_c), "pK1": pk("carbonic acid", temp_c),
            "pK2": pk("carbonic acid", temp_c, 2), "pKH_CO2": pk("carbon dioxide gas", temp_c)}


@adapts("b-acid-base", "ionic_strength", "charge", "A")
def davies(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"gamma": coefficient(given["ionic_strength"], given["charge"], slope=given["A"])}


@adapts("b-acid-base", "acetic_acid", "temperature", optional=("peracetic_acid", "H2O2", "sodium_acetate", "pKa"))
@adapts("b-acid-base", "H2O2", "temperature", "pKa")
def mixture(question: Question) -> dict[str, object]:
    given = question.inputs
    amounts = {NAMES[name]: amount for name, amount in given.items() if name in NAMES}
    pks = {name: (given["pKa"],) for name in amounts} if "pKa" in given else None
    acetic = {name: amount for name, amount in amounts.items() if name == "acetic acid"}
    return {"pH": solution(amounts, temp_c=given["temperature"], pks=pks).ph,
            "pH_without_PAA_and_H2O2": solution(acetic, temp_c=given["temperature"]).ph}


@adapts("b-acid-base", "alkalinity", "total_carbonate", "temperature")
def tap_water(question: Question) -> dict[str, object]:
    given = question.inputs
    water = Water.of_mmol(given["alkalinity"], carbonate_mmol_kg=given["total_carbonate"])
    return {"pH": solution({}, temp_c=given["temperature"], water=water).ph}


@adapts("b-acid-base", "acetic_acid", "alkalinity", "pCO2", "temperature")
def acid_in_tap_water(question: Question) -> dict[str, object]:
    given = question.inputs
    found = solution({"acetic acid": given["acetic_acid"]}, temp_c=given["temperature"],
                     water=Water.of_mmol(given["alkalinity"], pco2_atm=given["pCO2"]))
    return {"pH": found.ph, "acetate_ion": found.species["acetic acid:-1"]}


# meter and buffers

@adapts("b-buffers", "temperature", "buffer")
def buffer(question: Question) -> dict[str, object]:
    return {"pH": set_value(question.inputs["buffer"], question.inputs["temperature"]).ph}


@adapts("b-ph-meter", "temperature")
def nernst(question: Question) -> dict[str, object]:
    return {"slope": nernst_slope(question.inputs["temperature"])}


@adapts("b-ph-meter", "pH_1", "E_1", "pH_2", "E_2", "temperature", "E_sample")
def two_points(question: Question) -> dict[str, object]:
    given = question.inputs
    made = calibration([BufferPoint(given["pH_1"], given["E_1"]), BufferPoint(given["pH_2"], given["E_2"])],
                       temp_c=given["temperature"])
    return {"slope": made.slope_mv, "slope_percent": made.slope_pct, "offset_at_pH7": made.offset_mv,
            "pH_sample": made.segment(given["E_sample"]).ph(given["E_sample"])}


# vapour

@adapts("c-henry", "temperature")
def henry(question: Question) -> dict[str, object]:
    for beginning, name in BY_SOURCE.items():
        if question.source.startswith(beginning):
            known = solubility(name)
            return {"H_cp": known.at_25c, "dlnH_d(1/T)": known.slope_k}
    return {"relative_volatility_to_water": volatility("acetic acid", question.inputs["temperature"]).alpha}


@adapts("c-henry", "H_cp_25C", "dlnH_d(1/T)", "temperature")
def volatility_of_constants(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"relative_volatility_to_water": relative_volatility(given["H_cp_25C"], given["dlnH_d(1/T)"],
                                                                given["temperature"])}


@adapts("c-henry", "water_fraction_remaining", "alpha_paa", "alpha_h2o2", "alpha_acetic")
def drying_film(question: Question) -> dict[str, object]:
    left = question.inputs["water_fraction_remaining"]
    return {f"{name}_conc_factor": left_behind(question.inputs[f"alpha_{name}"], left)
            for name in ("paa", "h2o2", "acetic")}


# what a pH says

@adapts("c-inference", "pH_a", "pH_b", "u_each", "k")
def ratio(question: Question) -> dict[str, object]:
    given = question.inputs
    found = hydronium_ratio(given["pH_a"], given["pH_b"], u_a=given["u_each"], u_b=given["u_each"],
                            coverage=given["k"])
    return {"hydronium_activity_ratio": found.ratio, "interval_factor": found.factor}


@adapts("c-inference", "pH", "temperature", "pKa")
def inverse(question: Question) -> dict[str, object]:
    given = question.inputs
    found = acetic_equivalent(given["pH"], temp_c=given["temperature"], pk=given["pKa"])
    return {"acetic_equivalent": found.mol_kg, "acetic_equivalent_mass": found.g_kg,
            "relative_change_per_pH_unit": found.relative_per_ph}


@adapts("c-inference", "acetic_acid_in_boiler", "alkalinity_of_feed", "vapour_liquid_ratio_acetic",
        optional=("pCO2", "oxidation_chemistry"))
def condensate(question: Question) -> dict[str, object]:
    given = question.inputs
    found = distilled(given["acetic_acid_in_boiler"], alpha=given["vapour_liquid_ratio_acetic"],
                      water=Water.of_mmol(given["alkalinity_of_feed"], pco2_atm=given.get("pCO2")))
    return {"pH_solution": found.solution.ph, "undissociated_acid": found.undissociated_mol_kg,
            "pH_condensate": found.condensate.ph, "hydronium_conc_ratio": found.hydronium_ratio}


@adapts("c-inference", "acetic_acid", "peracetic_acid", "converted_fraction")
def conversion(question: Question) -> dict[str, object]:
    given = question.inputs
    found = converted(given["acetic_acid"], given["peracetic_acid"], converted_frac=given["converted_fraction"])
    return {"pH_before": found.before.ph, "pH_after": found.after.ph, "hydronium_conc_ratio": found.hydronium_ratio}


# titration

@adapts("d-titration", "KMnO4", "volume")
def permanganate(question: Question) -> dict[str, object]:
    found = equivalent_mg("hydrogen peroxide", "permanganate", question.inputs["KMnO4"], question.inputs["volume"])
    return {"H2O2": found, "O2_at_NTP": oxygen_ml(found)}


@adapts("d-titration", "Ce(IV)", "volume")
def cerium(question: Question) -> dict[str, object]:
    return {"H2O2": equivalent_mg("hydrogen peroxide", "cerium(IV)", question.inputs["Ce(IV)"],
                                  question.inputs["volume"])}


@adapts("d-titration", "Na2S2O3", "volume")
def thiosulfate(question: Question) -> dict[str, object]:
    analytes = {"PAA": "peracetic acid", "NaClO": "sodium hypochlorite", "available_chlorine": "available chlorine",
                "as_H2O2": "oxidising substances"}
    return {result: equivalent_mg(analyte, "thiosulfate", question.inputs["Na2S2O3"], question.inputs["volume"])
            for result, analyte in analytes.items()}


@adapts("d-titration", "substance")
def available_oxygen(question: Question) -> dict[str, object]:
    name = question.inputs["substance"].removesuffix(" 100 %")
    return {"available_oxygen": available_oxygen_pct(NAMES.get(name, name))}


@adapts("d-titration", "sample_volume", "Ce(IV)", "V_Ce", "V_Ce_blank", "Na2S2O3", "V_thio", "V_thio_blank")
def two_steps(question: Question) -> dict[str, object]:
    given, sample = question.inputs, Quantity(question.inputs["sample_volume"])
    found = peroxide_then_peracid(
        Titration("hydrogen peroxide", "cerium(IV)", Quantity(given["Ce(IV)"]), (given["V_Ce"],), sample,
                  blank_ml=given["V_Ce_blank"], burette_ml=50.0),
        Titration("peracetic acid", "thiosulfate", Quantity(given["Na2S2O3"]), (given["V_thio"],), sample,
                  blank_ml=given["V_thio_blank"], burette_ml=50.0))
    return {"H2O2": found.peroxide.strength_g_l, "PAA": found.peracid.strength_g_l,
            "available_oxygen": found.active_oxygen_g_l.value}


# decay

@adapts("e-kinetics", "k")
def half_life(question: Question) -> dict[str, object]:
    rate = question.inputs["k"]
    return {"half_life": half_life_h(rate), "time_to_90_percent": time_to_floor_h(1.0, 0.9, rate)}


@adapts("e-kinetics", "k_25C", "k_45C")
def energy_of_two_rates(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"Ea_published_four_point_fit": activation_energy([25.0, 45.0], [given["k_25C"], given["k_45C"]]).value}


@adapts("e-kinetics", "k_25C", "Ea", "temperature")
def rate_elsewhere(question: Question) -> dict[str, object]:
    given = question.inputs
    warm = rate_at(Quantity(given["k_25C"]), energy_kj_mol=Quantity(given["Ea"]), from_c=25.0,
                   to_c=given["temperature"])
    return {"k_35C": warm.value, "Q10_25_35": q10(given["Ea"])}


@adapts("e-kinetics", "half_life", "pH", "temperature")
def rate_of_half_life(question: Question) -> dict[str, object]:
    return {"k": half_life_h(question.inputs["half_life"])}


@adapts("e-kinetics", "Ea")
def energy_in_kilojoules(question: Question) -> dict[str, object]:
    energy = kj_mol_from_kcal(question.inputs["Ea"])
    return {"Ea": energy, "Q10_25_35": q10(energy)}


@adapts("e-kinetics", "pH")
def order(question: Question) -> dict[str, object]:
    return {"order_in_peracid": published_order("peracetic acid")[0].value}


@adapts("e-kinetics", "C0", "Cmin", "k", "u_k", "k_upper_95_one_sided")
def use_by(question: Question) -> dict[str, object]:
    given = question.inputs
    middle, early = use_by_of_rate(given["C0"], given["Cmin"], given["k"], u_rate=given["u_k"])
    return {"useby_central": middle, "useby_95": early}


# steam

@adapts("i-steam", "T", "p")
def one_phase(question: Question) -> dict[str, object]:
    found = state(question.inputs["T"], question.inputs["p"])
    return {"v": found.volume_m3_kg, "h": found.enthalpy_kj_kg, "s": found.entropy_kj_kg_k}


@adapts("i-steam", "T")
def boiling_pressure(question: Question) -> dict[str, object]:
    return {"p_sat": saturation_pressure_mpa(parse_temperature_c(f"{question.inputs['T']} K"))}


@adapts("i-steam", "p")
def boiling(question: Question) -> dict[str, object]:
    at = saturation(question.inputs["p"])
    # The release's own table 36 is in kelvin, everything else in degrees.
    return {"T_sat": at.temp_k if "Table 36" in question.source else at.temp_c, "h_liquid": at.liquid_kj_kg,
            "h_vapour": at.vapour_kj_kg, "h_fg": at.evaporation_kj_kg}


@adapts("i-steam", "p", "dryness")
def wet(question: Question) -> dict[str, object]:
    found = wet_steam(question.inputs["p"], question.inputs["dryness"])
    return {"T": found.temp_c, "h": found.enthalpy_kj_kg}


@adapts("i-steam", "power", "p", "dryness", "feed_temperature", "efficiency")
def rate(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"steam_rate": steam_rate(given["power"], pressure_mpa=given["p"], dryness_frac=given["dryness"],
                                     feed_c=given["feed_temperature"], efficiency_frac=given["efficiency"]).rate_kg_h}


@adapts("i-steam", "p_boiler", "dryness_boiler", "p_ambient")
def throttled(question: Question) -> dict[str, object]:
    given = question.inputs
    found = nozzle(given["p_boiler"], given["dryness_boiler"], ambient_mpa=given["p_ambient"])
    return {"dryness_after_expansion": found.dryness_frac, "temperature_after": found.temp_c}


@adapts("i-steam", "can_strength", "consumption", "area_rate", "carry_over")
def steam_dose(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"dose": dose(given["can_strength"], consumption_l_h=given["consumption"], area_m2_h=given["area_rate"],
                         carry_over_frac=given["carry_over"]).dose_mg_m2}

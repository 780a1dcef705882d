"""Adapters of air in a closed space, its limits and the drying film."""

from published.adapters import Question, adapts
from tersum.catalogue.load import table
from tersum.chemistry.air import (
    Box,
    concentration_mg_m3,
    mg_m3_of,
    over_still_liquid_ppm,
    purge_min,
    source,
    steady_mg_m3,
)
from tersum.chemistry.air_limits import all_limits
from tersum.chemistry.drying_film import drying_film, evaporation_kg_m2_s_kpa

TOPIC = "g-exposure"
# How the cases word a limit, and its set and kind in the catalogue.
WORDED = {"OSHA PEL and NIOSH REL, TWA": ("osha-pel", "shift"), "NIOSH IDLH": ("idlh", "danger"),
          "NIOSH REL STEL": ("niosh-rel", "short"), "OSHA PEL ceiling": ("osha-pel", "ceiling"),
          "ACGIH TLV-STEL (inhalable fraction and vapour)": ("acgih-tlv", "short"),
          "OSHA PEL TWA": ("osha-pel", "shift"), "UK WEL 15 min": ("uk-wel", "short")}


@adapts(TOPIC, "air_changes")
def purge(question: Question) -> dict[str, object]:
    changes = question.inputs["air_changes"]
    return {"t_99": purge_min(1.0, 0.01, changes), "t_99.9": purge_min(1.0, 0.001, changes)}


@adapts(TOPIC, "ppm", "molar_mass", "molar_volume")
def pair(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"mass_concentration": mg_m3_of(given["ppm"], given["molar_mass"], molar_volume_l=given["molar_volume"])}


@adapts(TOPIC, "substance", "limit")
def limit(question: Question) -> dict[str, object]:
    wanted = WORDED[question.inputs["limit"]]
    return {"value": next(one.ppm for one in all_limits(question.inputs["substance"]) if (one.set, one.kind) == wanted)}


@adapts(TOPIC, "PAA_solution", "H_cp", "temperature")
def still_air(question: Question) -> dict[str, object]:
    given = question.inputs
    ppm = over_still_liquid_ppm(given["PAA_solution"], table("substances")["peracetic acid"]["molar_mass"].number,
                                given["H_cp"])
    short = next(one.ppm for one in all_limits("peracetic acid") if one.kind == "short")
    return {"equilibrium_air": ppm, "multiple_of_0.4_ppm": ppm / short}


@adapts(TOPIC, "volume", "air_changes", "emission_rate", "time", "initial")
def box(question: Question) -> dict[str, object]:
    given = question.inputs
    air = Box(given["volume"], given["air_changes"], start_mg_m3=given["initial"])
    an_hour = source(given["emission_rate"], until_min=60.0)
    return {"concentration": concentration_mg_m3(air, an_hour, given["time"] * 60.0),
            "steady_state": steady_mg_m3(air, given["emission_rate"])}


@adapts(TOPIC, "initial", "target", "air_changes", "mixing_factor")
def entering_again(question: Question) -> dict[str, object]:
    given = question.inputs
    args = given["initial"], given["target"], given["air_changes"]
    return {"time_ideal": purge_min(*args), "time_with_mixing": purge_min(*args, mixing=given["mixing_factor"])}


@adapts(TOPIC, "air_speed", "latent_heat")
def evaporation(question: Question) -> dict[str, object]:
    return {"coefficient": evaporation_kg_m2_s_kpa(question.inputs["air_speed"],
                                                   latent_kj_kg=question.inputs["latent_heat"])}


@adapts(TOPIC, "film", "film_temperature", "air_temperature", "relative_humidity", "air_speed", "latent_heat")
def film(question: Question) -> dict[str, object]:
    given = question.inputs
    found = drying_film(given["film"], film_c=given["film_temperature"], air_c=given["air_temperature"],
                        humidity_pct=given["relative_humidity"], air_m_s=given["air_speed"],
                        latent_kj_kg=given["latent_heat"])
    return {"rate": found.rate_kg_m2_s, "drying_time": found.drying_min}


@adapts(TOPIC, "task")
def measured(question: Question) -> dict[str, object]:
    entry = next(one for one in table("air_measured").values() if one.labels["task"] == question.inputs["task"])
    return {"PAA_p95": entry["peracetic acid"].number, "acetic_p95": entry["acetic acid"].number,
            "H2O2_p95": entry["hydrogen peroxide"].number}

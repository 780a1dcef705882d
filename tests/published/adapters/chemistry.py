"""From chemistry cases to the chemistry functions: strength, dilution, uncertainty, hardness."""

from __future__ import annotations

from published.adapters import Question, adapts
from tersum.chemistry.dilution import active, mixture, parse_ratio, parts_water_for
from tersum.chemistry.hardness import hardness
from tersum.chemistry.measure import tolerance_ml
from tersum.chemistry.strength import mg_kg_from_mg_l, powder_g_per_l, volume_strength, wv_from_ww, ww_from_vv
from tersum.chemistry.tank_fills import tank_fills
from tersum.chemistry.topping_up import ratio_made, top_up
from tersum.chemistry.uncertainty import Quantity, expansion, in_quadrature, quotient, rectangular, triangular

# The check file keeps one unit for each name, that of the result; which degree goes in, its source line says.
DEGREES = {"dH": "1 dH", "Clark": "Clark", "gr/US gal": "US customary grain"}


@adapts("a-dilution", "stock_active", "target_active")
def parts_of_water(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"parts_water_per_part_stock": parts_water_for(given["stock_active"], given["target_active"])}


@adapts("a-dilution", "powder_active", "target_active")
def powder(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"powder_per_litre": powder_g_per_l(given["target_active"], given["powder_active"])}


@adapts("a-dilution", "ratio")
def ratio_three_ways(question: Question) -> dict[str, object]:
    ratio = parse_ratio(question.inputs["ratio"])
    return {"volume_fraction": ratio.concentrate_frac, "percent": ratio.percent, "parts_water": ratio.parts_water}


@adapts("a-dilution", "H2O2", "molar_volume_O2")
def volumes_of_oxygen(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"volume_strength": volume_strength(given["H2O2"], molar_volume_l=given["molar_volume_O2"])}


@adapts("a-dilution", "H2O2", "density_20C")
def peroxide_by_mass(question: Question) -> dict[str, object]:
    by_mass, density = question.inputs["H2O2"], question.inputs["density_20C"]
    stock = active("hydrogen peroxide", by_mass, "% w/w", density_kg_l=density)
    return {"H2O2_wv": wv_from_ww(by_mass, density), "volume_strength": volume_strength(stock.strength_g_l)}


@adapts("a-dilution", "ethanol", "density_solution", "density_pure_ethanol")
def alcohol_by_volume(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"ethanol_ww": ww_from_vv(given["ethanol"], pure_kg_m3=given["density_pure_ethanol"],
                                     solution_kg_m3=given["density_solution"])}


@adapts("a-dilution", "active", "density")
def mass_basis(question: Question) -> dict[str, object]:
    return {"active_mass_basis": mg_kg_from_mg_l(question.inputs["active"], question.inputs["density"])}


@adapts("a-dilution", "PAA", "H2O2", "acetic_acid", "concentrate_density", "ratio")
def several_actives(question: Question) -> dict[str, object]:
    given, density = question.inputs, question.inputs["concentrate_density"]
    stock = [active(name, given[name], "% w/w", density_kg_l=density) for name in ("PAA", "H2O2", "acetic_acid")]
    made = mixture(1000.0, parse_ratio(given["ratio"]), stock, density_kg_l=density)
    return {one.name: one.strength_mg_l for one in made.strengths}


@adapts("a-dilution", "volume_left", "strength_left", "tank_volume", "target", "stock")
def topping_up(question: Question) -> dict[str, object]:
    given = question.inputs
    added = top_up(given["volume_left"], given["strength_left"], tank_l=given["tank_volume"],
                   target_g_l=given["target"], stock_g_l=given["stock"])
    return {"stock_to_add": added.stock_l, "water_to_add": added.water_l}


@adapts("a-dilution", "stock", "measured")
def ratio_from_measurement(question: Question) -> dict[str, object]:
    return {"parts_water": ratio_made(question.inputs["stock"], question.inputs["measured"]).parts_water}


@adapts("a-dilution", "area", "application_rate", "loss_fraction", "tank")
def fills(question: Question) -> dict[str, object]:
    given = question.inputs
    needed = tank_fills(given["area"], given["application_rate"], tank_l=given["tank"],
                        loss_frac=given["loss_fraction"])
    return {"volume_needed": needed.volume_l, "fills": needed.fills}


@adapts("a-uncertainty", "mass", "u_mass", "purity", "u_purity", "volume", "u_volume")
def standard_solution(question: Question) -> dict[str, object]:
    given = question.inputs
    made = quotient([Quantity(given["mass"], given["u_mass"]), Quantity(given["purity"], given["u_purity"])],
                    [Quantity(given["volume"], given["u_volume"])], scale=1000.0)
    return {"concentration": made.value, "u_concentration": made.standard_uncertainty}


@adapts("a-uncertainty", "flask_tolerance", "temperature_halfwidth", "expansion", "volume", "repeatability")
def volume_of_a_flask(question: Question) -> dict[str, object]:
    given = question.inputs
    warmth = expansion(given["volume"], coefficient_per_k=given["expansion"],
                       half_width_k=given["temperature_halfwidth"])
    return {"u_volume": in_quadrature([triangular(given["flask_tolerance"]), warmth, given["repeatability"]])}


@adapts("a-uncertainty", "halfwidth")
def tolerance(question: Question) -> dict[str, object]:
    return {"u": rectangular(question.inputs["halfwidth"])}


@adapts("a-uncertainty", "standard", "class", "nominal")
def glass(question: Question) -> dict[str, object]:
    given = question.inputs
    return {"tolerance": tolerance_ml(given["standard"], given["class"], given["nominal"])}


@adapts("a-uncertainty", "V_stock", "tol_stock", "V_total", "tol_total", "C_stock", "u_rel_C_stock")
def diluted(question: Question) -> dict[str, object]:
    given = question.inputs
    made = quotient([Quantity.with_relative(given["C_stock"], given["u_rel_C_stock"]),
                     Quantity(given["V_stock"], rectangular(given["tol_stock"]))],
                    [Quantity(given["V_total"], rectangular(given["tol_total"]))])
    return {"C": made.value, "u_C": made.standard_uncertainty}


@adapts("a-hardness", "hardness")
def degrees(question: Question) -> dict[str, object]:
    words = f"{question.units.get('hardness', '')} {question.source}"
    named = [unit for unit, word in DEGREES.items() if word in words]
    assert len(named) == 1, f"the case names no degree, or several: {named}"
    found = hardness(question.inputs["hardness"], named[0])
    return {"hardness": found.mmol_l, "hardness_CaCO3": found.caco3_mg_l}

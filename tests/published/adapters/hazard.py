"""Adapters of the classification of mixtures."""

from published.adapters import Question, adapts
from tersum.catalogue.hazard_entry import HazardEntry
from tersum.chemistry.hazard import Composition, classification, part

TOPIC = "f-clp"


def mixture(*parts, ph=None):
    return classification(Composition(tuple(parts), ph=ph))


def stated(name, share, *classes, ate=None):
    return part(name, share, stated=HazardEntry(name, "supplier", "supplier", classes, ate=ate or {}))


def category(found, endpoint):
    if endpoint == "eye" and found.eyes_covered:
        return "covered by Skin Corr. 1"
    return found[endpoint].category or "none"


def total(found, endpoint, name):
    return next(one for one in found.trace if (one.endpoint, one.category) == (endpoint, name) and one.certain)


def told(found):
    return {"skin": category(found, "skin"), "eye": category(found, "eye"), "stot": category(found, "stot-irritation")}


@adapts(TOPIC, "H2O2")
def peroxide(question: Question) -> dict[str, object]:
    return told(mixture(part("hydrogen peroxide", question.inputs["H2O2"])))


@adapts(TOPIC, "NaOH")
def alkali(question: Question) -> dict[str, object]:
    return told(mixture(part("sodium hydroxide", question.inputs["NaOH"])))


@adapts(TOPIC, "acetic_acid")
def acid(question: Question) -> dict[str, object]:
    return told(mixture(part("acetic acid", question.inputs["acetic_acid"])))


@adapts(TOPIC, "H2O2", "acetic_acid")
def peroxide_and_acid(question: Question) -> dict[str, object]:
    found = mixture(part("hydrogen peroxide", question.inputs["H2O2"]),
                    part("acetic acid", question.inputs["acetic_acid"]))
    return {"sum_c_over_limit": total(found, "eye", "Eye Irrit. 2").ratio, "eye": category(found, "eye")}


@adapts(TOPIC, "skin_corr_1_sum", optional=("skin_irrit_2_sum",))
def general_skin(question: Question) -> dict[str, object]:
    found = mixture(stated("corrosive", question.inputs["skin_corr_1_sum"], "Skin Corr. 1"),
                    stated("irritant", question.inputs.get("skin_irrit_2_sum", 0.0), "Skin Irrit. 2"))
    return {"skin": category(found, "skin"),
            "weighted_sum_10xCorr_plus_Irrit": total(found, "skin", "Skin Irrit. 2").total}


@adapts(TOPIC, "skin_corr_1_plus_eye_dam_1")
def general_eye(question: Question) -> dict[str, object]:
    found = mixture(stated("damaging", question.inputs["skin_corr_1_plus_eye_dam_1"], "Eye Dam. 1"))
    return {"eye": category(found, "eye")}


@adapts(TOPIC, "pH")
def extreme(question: Question) -> dict[str, object]:
    found = mixture(part("water", 100.0), ph=question.inputs["pH"])
    classes = [one.category for one in (found["skin"], found["eye"]) if one.category]
    return {"outcome": f"{' and '.join(classes)} unless other data show otherwise" if classes
            else "pH rule does not apply"}


@adapts(TOPIC, "c", "ATE_oral")
def estimate(question: Question) -> dict[str, object]:
    found = mixture(*(stated(f"ingredient {place}", share, ate={"oral": one}) for place, (share, one)
                      in enumerate(zip(question.inputs["c"], question.inputs["ATE_oral"], strict=True))))
    return acute(found)


@adapts(TOPIC, "PAA", "H2O2")
def peracid(question: Question) -> dict[str, object]:
    found = mixture(part("peracetic acid", question.inputs["PAA"]), part("hydrogen peroxide", question.inputs["H2O2"]))
    return {**acute(found), "available_oxygen_from_PAA": found.oxygen_pct,
            "exempt_from_organic_peroxide_class": found["organic-peroxide"].category is None}


@adapts(TOPIC, "NaOCl")
def hypochlorite(question: Question) -> dict[str, object]:
    found = mixture(part("active chlorine", question.inputs["NaOCl"]))
    return {"acute": category(found, "aquatic-acute"), "chronic": category(found, "aquatic-chronic"),
            "EUH031": "EUH031" in found.label.euh_codes}


def acute(found):
    name = found["acute-oral"].category
    return {"ATEmix_oral": found.estimates["oral"], "category": int(name.split()[2]) if name else 0}

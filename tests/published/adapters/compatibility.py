"""Adapters of what must not meet and of what materials take."""

from published.adapters import Question, adapts
from tersum.chemistry.materials import material_under
from tersum.chemistry.together import classes_of_ingredient, meeting

TOPIC = "h-compatibility"
# How the cases word a thing, and its ingredients in the catalogue.
WORDED = {"acetic or peracetic product": ["acetic acid", "peracetic acid"],
          "chloride brine / hypochlorite": ["sodium chloride", "sodium hypochlorite"]}
LEVELS = {"fine": "usually fine", "care": "with care", "avoid": "avoid"}


def classes(name):
    return [one for ingredient in WORDED.get(name, [name]) for one in classes_of_ingredient(ingredient)]


@adapts(TOPIC, "A", "B")
def together(question: Question) -> dict[str, object]:
    found = meeting(classes(question.inputs["A"]), classes(question.inputs["B"]))
    gases = [pair.happens.text.removesuffix(" gas") for pair in found.pairs if pair.happens.text.endswith(" gas")]
    return {"allowed": found.may, "gas": gases[0] if gases else ""}


@adapts(TOPIC, "material", "agent")
def material(question: Question) -> dict[str, object]:
    assert question.inputs["agent"].startswith("peracetic acid")
    return {"level": LEVELS[material_under(question.inputs["material"], "peracid").verdict]}

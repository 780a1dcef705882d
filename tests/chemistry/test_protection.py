"""Cautions follow from codes, classes and steps; what is not known calls for everything a class can call for."""

import pytest

from tersum.catalogue.load import table
from tersum.chemistry.protection import caution_keys
from tersum.chemistry.together import classes
from tersum.documents.caution_text import SAID
from tersum.visit.steps import STEP_KINDS


def test_every_caution_has_its_words_and_is_called_for_by_something():
    assert set(SAID) == set(table("cautions"))
    called = set(caution_keys(h_codes=[f"H{n}" for n in range(200, 440)] + ["EUH031", "EUH071"], classes=classes()))
    called |= {key for kind in STEP_KINDS for key in caution_keys(step_kind=kind)}
    assert called == set(table("cautions"))


def test_names_of_steps_and_classes_are_real():
    for entry in table("cautions").values():
        assert set(entry.labels["steps"]) <= set(STEP_KINDS) and set(entry.labels["classes"]) <= set(classes())


@pytest.mark.parametrize(("codes", "keys"), [
    (["H314"], {"goggles-and-shield", "gloves-and-apron", "concentrate-to-water"}), (["H225"], {"no-ignition"}),
    (["H335"], {"ventilate-first", "respirator-by-the-competent"}), (["H272"], {"oxidiser-vented", "rinse-rags"}),
    (["H411"], set())])
def test_codes_call_for_their_protection(codes, keys):
    assert set(caution_keys(h_codes=codes)) == keys


@pytest.mark.parametrize("code", ["H310", "H311", "H312", "H340", "H350", "H360", "H314"])
def test_what_goes_through_the_skin_calls_for_gloves(code):
    assert "gloves-and-apron" in caution_keys(h_codes=[code])


@pytest.mark.parametrize("code", ["H330", "H331", "H332", "H334", "H335", "H370"])
def test_what_is_breathed_in_calls_for_air_first(code):
    assert caution_keys(h_codes=[code])[0] == "ventilate-first"


def test_ventilation_comes_first():
    assert caution_keys(h_codes=["H318", "H335"])[0] == "ventilate-first"


def test_codes_with_letters_behind_them_count():
    assert caution_keys(h_codes=["H360FD", "H314"]) == caution_keys(h_codes=["H314"])


def test_class_that_is_not_known_calls_for_what_any_class_calls_for():
    assert set(caution_keys(classes=["unknown"])) >= {key for one in classes() for key in caution_keys(classes=[one])}


def test_alcohol_is_kept_from_ignition_and_steam_from_cold_glass():
    assert "no-ignition" in caution_keys(classes=["alcohol"]) and "cold-glass" in caution_keys(step_kind="steam")
    assert {"sharps", "droppings"} <= set(caution_keys(step_kind="dry-clean"))

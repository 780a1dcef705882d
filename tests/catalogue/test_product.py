"""Product files: what a label says is read as it stands, and all faults are told at once."""

import copy
import tomllib

import pytest

from tersum.catalogue.load import FOLDER, product, products
from tersum.catalogue.product import products_in
from tersum.errors import Faults

FILE = tomllib.loads("""
schema = "tersum/product/1"
source = "label of lot 7, read 2026-01-15"
known = "read"
[[product]]
name = "Our Concentrate"
density_kg_l = 1.05
[[product.ingredient]]
name = "peracetic acid"
strength = 5
unit = "% w/w"
""")


def changed(change):
    data = copy.deepcopy(FILE)
    change(data, data["product"][0], data["product"][0]["ingredient"][0])
    return data


def test_small_file_is_enough():
    (one,) = products_in(FILE)
    assert (one.name, one.source, one.where, one.known, one.invented) == (
        "Our Concentrate", "label of lot 7, read 2026-01-15", "label", "read", False)
    assert one.ingredients[0].strength == 5.0 and one.ratio_reading is None and one.use_by_h is None


CHANGES = {
    "no source": lambda file, one, part: file.pop("source"),
    "no word how it is known": lambda file, one, part: file.pop("known"),
    "unknown word": lambda file, one, part: file.update(known="heard"),
    "other schema": lambda file, one, part: file.update(schema="tersum/product/2"),
    "no product": lambda file, one, part: file.update(product=[]),
    "bare percent": lambda file, one, part: part.update(unit="%"),
    "ppm": lambda file, one, part: part.update(unit="ppm"),
    "no density for a strength by mass": lambda file, one, part: one.pop("density_kg_l"),
    "more than all of it": lambda file, one, part: part.update(strength=101),
    "nothing of it": lambda file, one, part: part.update(strength=0),
    "not a number": lambda file, one, part: part.update(strength=float("nan")),
    "true for a number": lambda file, one, part: part.update(strength=True),
    "text for a number": lambda file, one, part: part.update(strength="5"),
    "least above most": lambda file, one, part: part.update(min_mg_l=2000, max_mg_l=1000),
    "unknown key": lambda file, one, part: one.update(densitty_kg_l=1.0),
    "unknown reading": lambda file, one, part: one.update(ratio_reading="either"),
    "control character": lambda file, one, part: one.update(name="a\x1b[2Jb"),
    "cautions as one text": lambda file, one, part: one.update(cautions="mind"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_faulty_file_is_refused(name):
    with pytest.raises(Faults) as refused:
        products_in(changed(CHANGES[name]))
    told = str(refused.value)
    assert ("got " in told or "is missing" in told) and "\x1b" not in told


def test_all_faults_are_told_at_once_with_their_place():
    def three(file, one, part):
        file.pop("source")
        one.update(use_by_h=-1)
        part.update(unit="%")
    with pytest.raises(Faults) as refused:
        products_in(changed(three))
    assert [fault.field for fault in refused.value.faults] == ["source", "product 1: ingredient 1: unit",
                                                              "product 1: use_by_h"]


def test_demo_products_are_those_of_the_demo():
    concentrate = product("Demo Concentrate A")
    assert {one.name: one.strength for one in concentrate.ingredients} == {
        "peracetic acid": 4.0, "hydrogen peroxide": 19.0, "acetic acid": 8.0}
    assert concentrate.density_kg_l == 1.09 and concentrate.ratio_reading == "parts"
    assert product(" demo cleaner b ").ratio_reading == "whole"
    assert (FOLDER / "data" / "demo_products.toml").read_text(encoding="utf-8").startswith("# Invented")
    assert len(products()) == 2


def test_demo_products_hold_the_figures_that_were_invented():
    """A fingerprint: count, sum, smallest and largest of all numbers of their labels."""
    numbers = [number for one in products() for number in (
        one.density_kg_l, one.density_at_c, one.use_by_h, one.contact_min,
        *(value for part in one.ingredients for value in (part.strength, part.tolerance_frac, part.min_mg_l,
                                                          part.max_mg_l) if value is not None))]
    assert (len(numbers), round(sum(numbers), 6), min(numbers), max(numbers)) == (20, 24277.99, 0.05, 20000.0)

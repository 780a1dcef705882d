"""A composition that does not add up is refused."""

import pytest

from tersum.catalogue.product import products_in
from tersum.errors import Faults


def file(*ingredients, **product):
    return {"schema": "tersum/product/1", "source": "label of lot 7", "known": "read", "product": [{
        "name": "Our Concentrate", "density_kg_l": 1.05, **product,
        "ingredient": [{"name": name, "strength": strength, "unit": unit} for name, strength, unit in ingredients]}]}


@pytest.mark.parametrize("ingredients", [
    [("a", 60.0, "% w/w"), ("b", 41.0, "% w/w")], [("a", 90.0, "% w/w"), ("b", 200.0, "g/L")],
    [("a", 60.0, "% w/v"), ("b", 60.0, "% w/v")]])
def test_ingredients_that_make_more_than_the_product_are_refused(ingredients):
    with pytest.raises(Faults, match="no more than the product"):
        products_in(file(*ingredients))


@pytest.mark.parametrize("ingredients", [
    [("a", 60.0, "% w/w"), ("b", 40.0, "% w/w")], [("a", 1000.0, "g/L")], [("a", 5.0, "% w/w"), ("b", 300.0, "g/L")]])
def test_ingredients_that_make_up_the_product_or_less_are_read(ingredients):
    assert len(products_in(file(*ingredients))[0].ingredients) == len(ingredients)


def test_density_that_nothing_poured_has_is_refused():
    for density in (0.2, 4.0):
        with pytest.raises(Faults, match="density_kg_l"):
            products_in(file(("a", 5.0, "% w/w"), density_kg_l=density))

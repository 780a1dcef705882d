"""Substances: molar masses follow from the formulas, and registry numbers carry their check digit."""

import re

import chemicals
import pytest

from tersum.catalogue.load import table

SUBSTANCES = table("substances")


@pytest.mark.parametrize("name", SUBSTANCES)
def test_molar_mass_is_the_sum_over_the_formula(name):
    weights = {symbol: entry["atomic_weight"].number for symbol, entry in table("atomic_weights").items()}
    parts = re.findall(r"([A-Z][a-z]?)(\d*)", SUBSTANCES[name].labels["formula"])
    assert "".join(symbol + count for symbol, count in parts) == SUBSTANCES[name].labels["formula"]
    total = sum(weights[symbol] * int(count or 1) for symbol, count in parts)
    assert SUBSTANCES[name]["molar_mass"].number == pytest.approx(total, abs=5.1e-4)


@pytest.mark.parametrize("name", SUBSTANCES)
def test_registry_number_ends_in_its_check_digit(name):
    digits = SUBSTANCES[name]["cas"].text.replace("-", "")
    assert sum(place * int(digit) for place, digit in enumerate(reversed(digits[:-1]), 1)) % 10 == int(digits[-1])


@pytest.mark.parametrize("name", SUBSTANCES)
def test_registry_number_names_the_same_substance_in_an_open_database(name):
    """The open `chemicals` tables know each number; its molar mass there agrees within newer atomic weights."""
    cas = SUBSTANCES[name]["cas"].text
    assert chemicals.MW(cas) == pytest.approx(SUBSTANCES[name]["molar_mass"].number, rel=2e-4)

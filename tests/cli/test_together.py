"""``tersum together`` and ``tersum material``: the answer, why, and whose word comes first."""

import json

import pytest
from click.testing import CliRunner

from tersum.cli.material import material
from tersum.cli.together import together

A, B = "Demo Concentrate A", "Demo Cleaner B"


def run(command, *words, code=0):
    done = CliRunner().invoke(command, words)
    found = getattr(done.exception, "exit_code", done.exit_code) if done.exit_code else 0
    assert found == code, (found, done.output, done.exception)
    return done


@pytest.mark.parametrize("setting", ["mixture", "surface", "vessel", "cloth"])
@pytest.mark.parametrize("pair", [(A, B), (B, A)])
def test_demo_products_must_not_meet_and_only_a_rinse_parts_them(pair, setting):
    done = run(together, *pair, "--setting", setting, code=1)
    assert "rinse and drain" in done.stdout and "oxygen under pressure" in done.stdout
    assert "label and safety data sheet win" in done.stderr


def test_ingredients_are_known_by_name():
    found = json.loads(run(together, "sodium hypochlorite", "acetic acid", "--json", code=1).stdout)
    assert found["pairs"][0]["happens"] == "chlorine gas" and not found["may_meet"]
    assert "Their labels may" in run(together, "ethanol", "benzalkonium chloride").stdout
    run(together, "no such thing", A, code=3)


def test_material_says_its_verdict_and_how_well_it_is_known():
    assert "hidden spot" in run(material, "ABS", "--product", A, "--ratio", "1+20").stdout
    done = run(material, "natural rubber", "--product", A, "--ratio", "1+20", code=1)
    assert "to be avoided" in done.stdout and "no source" in done.stdout
    assert "maker's written method" in run(material, "camera", "--product", B, code=1).stdout
    assert "Not above 60 °C" in run(material, "leather", "--surface-c", "100", code=1).stdout
    assert "Known here: stainless steel" in run(material, "moon rock", "--product", B, code=1).stdout
    run(material, "ABS", code=2)
    assert "--surface-c" in str(run(material, "ABS", "--surface-c", "hot", code=3).exception)

"""``tersum steam``."""

import pytest

from cli.bench import call, fields, told

BOTH = ("--machine-permission", "Example Steam Works", "letter 12", "2026-01-31", "--product-permission",
        "Example Chemicals", "letter 7", "2026-02-01")


def test_rate_and_nozzle_of_a_small_boiler(capsys):
    code, out, err = call(capsys, "steam", "rate", "--power-kw", "3", "--absolute-mpa", "0.5", "--dryness-pct", "95")
    assert code == 0 and "4.19 kg/h" in out and "99.97 °C" in out and "contact probe" in err


def test_gauge_and_absolute_pressure_differ_by_the_air(capsys):
    gauge = told(capsys, "steam", "rate", "--power-kw", "3", "--gauge-mpa", "0.4")[1]
    assert gauge["pressure_mpa"] == pytest.approx(0.501325)
    assert call(capsys, "steam", "rate", "--power-kw", "3")[0] == 2


def test_dryness_from_the_water_used(capsys):
    words = ("steam", "dryness", "--power-kw", "3", "--absolute-mpa", "0.5", "--consumption-kg-h")
    code, out, _ = call(capsys, *words, "60")
    assert code == 0 and "no steam" in out and "does not bring that much water" in out
    assert told(capsys, *words, "4.187")[1]["dryness_frac"] == pytest.approx(0.95, abs=0.001)


def test_dose_is_unknown_until_the_carry_over_is_measured(capsys):
    words = ("steam", "dose", "--can-mg-l", "200", "--consumption-l-h", "1.5", "--area-m2-h", "30")
    code, out, _ = call(capsys, *words)
    assert code == 1 and "unknown" in out and "10 mg/m2" in out
    assert told(capsys, *words, "--carry-over-pct", "5")[1]["dose_mg_m2"] == pytest.approx(0.5)


def test_chemical_is_refused_without_both_permissions(capsys):
    code, out, _ = call(capsys, "steam", "boiler", "peracetic acid", *BOTH[:4])
    assert code == 5 and "refused" in out and "product's maker" in out
    code, body = told(capsys, "steam", "boiler", "peracetic acid", *BOTH)
    assert code == 0 and body["answer"] == "permitted-in-writing"
    assert body["reasons"][0]["code"] == "decomposes-and-builds-pressure"


@pytest.mark.parametrize("name", ["sodium hypochlorite", "ethanol", "mystery booster"])
def test_some_things_are_refused_whoever_permits(capsys, name):
    assert call(capsys, "steam", "boiler", name, *BOTH)[0] == 5


def test_plain_water_needs_nobody(capsys):
    assert call(capsys, "steam", "boiler")[0] == 0


@pytest.mark.parametrize(("words", "about"), [
    (("rate", "--power-kw", "0", "--absolute-mpa", "0.5"), ["--power-kw"]),
    (("rate", "--power-kw", "3", "--absolute-mpa", "99"), ["pressure_mpa"]),
    (("rate", "--power-kw", "3", "--gauge-mpa", "99"), ["--gauge-mpa"]),
    (("rate", "--power-kw", "x", "--absolute-mpa", "0.5", "--feed-c", "150"), ["--power-kw", "--feed-c"])])
def test_bad_input_is_told(capsys, words, about):
    code, body = told(capsys, "steam", *words)
    assert code == 3 and fields(body) == about

"""``tersum strength``."""

import pytest

from cli.bench import call, fields, told

TOP_UP = ("strength", "top-up", "--left-l", "4", "--left-g-l", "0.8", "--tank-l", "10", "--target-g-l", "1",
          "--stock-g-l", "50")


def test_one_strength_in_every_unit(capsys):
    code, out, _ = call(capsys, "strength", "convert", "30 % w/w", "--density-kg-l", "1.11", "--substance",
                        "hydrogen peroxide")
    assert code == 0 and "333000" in out and "33.3" in out and "109.7" in out


def test_strength_by_mass_needs_its_density_and_ppm_its_reading(capsys):
    assert "density" in told(capsys, "strength", "convert", "30 % w/w")[1]["sentence"]
    assert told(capsys, "strength", "convert", "100 ppm")[1]["code"] == "ambiguous-strength"
    assert told(capsys, "strength", "convert", "100 ppm", "--ppm", "mg/L")[1]["mg/L"] == 100.0
    assert told(capsys, "strength", "convert", "4 % w/w", "--density-kg-l", "0.1")[0] == 3


def test_dilution_in_steps(capsys):
    code, out, _ = call(capsys, "strength", "steps", "--step-pct", "10", "--step-pct", "2", "--stock-g-l", "50")
    assert code == 0 and "1 in 500" in out and "0.1 g/L" in out
    assert fields(told(capsys, "strength", "steps", "--step-pct", "120")[1]) == ["step 1"]


def test_remainder_is_discarded_by_default(capsys):
    code, out, _ = call(capsys, *TOP_UP)
    assert code == 1 and out.startswith("discard") and "not measured" in out


def test_remainder_that_is_known_may_be_topped_up(capsys):
    words = (*TOP_UP, "--measured", "--clean", "--no-oxidiser", "--left-use-by-h", "4")
    code, out, _ = call(capsys, *words)
    assert code == 0 and "0.136 L of concentrate to 5.86 L of water" in out and "within 4 h" in out
    body = told(capsys, *words)[1]
    assert body["stock_l"] == pytest.approx(0.136) and body["advice"] == "may-top-up"


def test_remainder_that_is_too_strong_is_refused(capsys):
    words = list(TOP_UP)
    words[words.index("0.8")] = "30"
    assert fields(told(capsys, *words)[1]) == ["--left-g-l"]


@pytest.mark.parametrize(("planned", "code"), [("57", 0), ("20", 1)])
def test_ratio_behind_a_measured_strength(capsys, planned, code):
    left, out, _ = call(capsys, "strength", "made", "--stock-g-l", "55", "--measured-g-l", "0.95", "--planned-parts",
                        planned)
    assert left == code and (("1 + 56.9" in out) if code == 0 else ("look for the fault" in out))


def test_measured_above_the_concentrate_is_refused(capsys):
    code, body = told(capsys, "strength", "made", "--stock-g-l", "5", "--measured-g-l", "9")
    assert code == 3 and fields(body) == ["--measured-g-l"]


def test_fills_of_a_tank(capsys):
    words = ("strength", "fills", "--rate-ml-m2", "50", "--tank-l", "0.6")
    code, out, _ = call(capsys, *words, "--area-m2", "24", "--loss-pct", "15")
    assert code == 0 and "1.41 L: 3 fills, the last of 0.212 L" in out
    assert "1 fill of" in call(capsys, *words, "--area-m2", "2")[1]

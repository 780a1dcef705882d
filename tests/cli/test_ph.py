"""``tersum ph``."""

import subprocess
import sys

import pytest

from cli.bench import call, fields, told

PRODUCT = ("--product", "Demo Concentrate A", "--alkalinity", "3 mmol/L", "--water-ph", "7.5")


def test_acid_in_tap_water_reads_its_published_ph(capsys):
    code, out, _ = call(capsys, "ph", "--put", "acetic acid=10 mmol/L", "--alkalinity", "3 mmol/L", "--temp-c", "25")
    assert code == 0 and "4.37" in out and "acetic acid:-1" in out


def test_text_and_json_say_the_same(capsys):
    words = ("ph", "--put", "acetic acid=0.1 mol/kg", "--put", "sodium acetate=0.1 mol/kg", "--temp-c", "25")
    _, text, _ = call(capsys, *words)
    code, body = told(capsys, *words)
    assert code == 0 and body["schema"] == "tersum/ph/1" and body["ph"] == pytest.approx(4.649, abs=0.001)
    assert f"{body['ph']:.2f}" in text


def test_product_shows_its_interval_and_what_a_ph_does_not_check(capsys):
    code, out, err = call(capsys, "ph", *PRODUCT, "--ratio", "1+20")
    assert code == 0 and "Demo Concentrate A (invented)" in out and "3.36 to 3.49" in out
    assert "does not check the strength of the peracid" in err


@pytest.mark.parametrize(("reading", "code", "answer"), [("3.45", 0, "as-predicted"), ("4.3", 1, "less-acid"),
                                                         ("2.9", 1, "more-acid")])
def test_reading_that_is_not_as_predicted_answers_no(capsys, reading, code, answer):
    left, body = told(capsys, "ph", *PRODUCT, "--ratio", "1:20", "--measured-ph", reading)
    assert (left, body["comparison"]["answer"]) == (code, answer)
    assert body["does_not_check"] == "peracid-strength"


def test_reading_beside_its_prediction_is_shown_in_words(capsys):
    code, out, _ = call(capsys, "ph", *PRODUCT, "--ratio", "1+20", "--measured-ph", "4.3")
    assert code == 1 and "less acid than predicted" in out


def test_acidity_behind_a_ph(capsys):
    code, out, err = call(capsys, "ph", "--from-ph", "3", "--temp-c", "25")
    assert code == 0 and "3.48 g/kg" in out and "any acid" in err
    assert told(capsys, "ph", "--from-ph", "3", "--temp-c", "25")[1]["g_kg"] == pytest.approx(3.48, abs=0.01)


def test_curve_of_dilutions_to_draw(capsys):
    code, body = told(capsys, "ph", *PRODUCT, "--curve", "10,50,100")
    assert code == 0 and body["parts_water"] == [10.0, 50.0, 100.0] and body["ph"] == sorted(body["ph"])
    assert "1 + 50" in call(capsys, "ph", *PRODUCT, "--curve", "10,50,100")[1]


def test_closed_solution_needs_the_ph_of_its_water(capsys):
    put = ("ph", "--put", "acetic acid=1 mmol/L", "--alkalinity", "3 mmol/L", "--closed")
    code, body = told(capsys, *put)
    assert code == 3 and fields(body) == ["--water-ph"]
    assert told(capsys, *put, "--water-ph", "7.5")[1]["ph"] < told(capsys, *put[:-1])[1]["ph"]


@pytest.mark.parametrize(("words", "about"), [
    (("--put", "acetic acd=5 mmol/L"), "substance"), (("--put", "acetic acid=5"), "--put acetic acid"),
    (("--put", "acetic acid"), "--put"), (("--alkalinity", "150 mg/L"), "--alkalinity"),
    (("--temp-c", "75"), "--temp-c"), (("--temp-c", "warm"), "--temp-c"),
    (("--put", "acetic acid=30 mol/kg"), "acetic acid"), (("--from-ph", "9.5"), "ph"),
    (("--product", "Demo Concentrate A", "--ratio", "1:2:3"), "--ratio"),
    (("--product", "Demo Concentrate A", "--curve", "10,x"), "--curve"),
    (("--product", "Demo Concentrate A", "--curve", "10,-5"), "--curve"),
    (("--put", "acetic acid=1 mmol/L", "--strong-acid-mol-l", "1e3"), "--strong-acid-mol-l")])
def test_bad_input_is_one_sentence_about_its_option(capsys, words, about):
    code, body = told(capsys, "ph", *words)
    assert code == 3 and fields(body) == [about]


def test_all_faults_are_told_at_once(capsys):
    code, body = told(capsys, "ph", "--put", "acetic acd=5", "--alkalinity", "150", "--temp-c", "99")
    assert code == 3 and fields(body) == ["substance", "--put acetic acd", "--alkalinity", "--temp-c"]


@pytest.mark.parametrize("words", [("--put", "ammonia=1 mmol/L", "--from-ph", "3"), ("--ratio", "1+20"),
                                   ("--product", "Demo Concentrate A"), ("--measured-ph", "3")])
def test_questions_that_do_not_go_together_are_misuse(capsys, words):
    assert call(capsys, "ph", *words)[0] == 2


def test_unknown_product_is_refused_with_near_names(capsys):
    code, body = told(capsys, "ph", "--product", "Demo Concentrat A", "--ratio", "1+20")
    assert code == 3 and "Demo Concentrate A" in body["sentence"]


def test_command_starts_without_numpy_and_scipy():
    """A cold start must stay below twice that of importing NumPy alone: it cannot import it."""
    script = ("import sys; from tersum.cli.main import run\n"
              "try: run(['ph', '--product', 'Demo Concentrate A', '--ratio', '1+20', '--alkalinity', '3 mmol/L'])\n"
              "except SystemExit: pass\n"
              "print(sorted({'numpy', 'scipy', 'pandas', 'chemicals'} & set(sys.modules)))")
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_strong_acid_fitted_to_readings_of_known_dilutions(capsys):
    code, body = told(capsys, "ph", *PRODUCT, "--fit", "1+20=3.31", "--fit", "1+50=3.70", "--u-ph", "0.03")
    assert code == 0 and body["answer"] == "fits" and 0.01 < body["strong_acid_mol_l"]["value"] < 0.03
    again = told(capsys, "ph", *PRODUCT, "--ratio", "1+20", "--strong-acid-mol-l",
                 f"{body['strong_acid_mol_l']['value']:.5f}")[1]
    assert again["ph"] == pytest.approx(3.31, abs=0.05)
    code, out, _ = call(capsys, "ph", *PRODUCT, "--fit", "1+20=3.31", "--fit", "1+50=3.10")
    assert code == 1 and "no one acid fits" in out and "reading 2" in out


def test_readings_that_cannot_be_fitted_are_told(capsys):
    assert fields(told(capsys, "ph", *PRODUCT, "--fit", "1+20=x", "--fit", "1+=3.1")[1]) == ["--fit 1+20", "--fit"]


def test_product_file_that_does_not_add_up_is_refused(capsys, tmp_path):
    path = tmp_path / "own.toml"
    part = '[[product.ingredient]]\nname = "{}"\nstrength = 60\nunit = "% w/w"\n'
    path.write_text('schema = "tersum/product/1"\nsource = "label"\nknown = "read"\n[[product]]\nname = "Own"\n'
                    'density_kg_l = 1.1\n' + part.format("acetic acid") + part.format("hydrogen peroxide"),
                    encoding="utf-8")
    code, body = told(capsys, "ph", "--product", path, "--ratio", "1 in 20")
    assert code == 3 and "no more than the product" in body["sentence"]

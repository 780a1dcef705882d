"""``tersum titrate``."""

import pytest

from cli.bench import call, fields, told

SAMPLE = ("titrate", "sample", "hydrogen peroxide", "--titrant", "cerium(IV)", "--titrant-mol-l", "0.1",
          "--sample-ml", "10", "--blank-ml", "0.05")


def test_strength_with_its_uncertainty_and_cautions(capsys):
    code, out, err = call(capsys, *SAMPLE, "--titre-ml", "14.20", "--titre-ml", "14.24")
    assert code == 0 and "2.410" in out and "the replicates agree" in out
    assert err.startswith("Laboratory work") and "below 10 °C" in err


def test_two_titres_that_disagree_ask_for_a_third(capsys):
    code, out, _ = call(capsys, *SAMPLE, "--titre-ml", "14.20", "--titre-ml", "15.2")
    assert code == 1 and "titrate a third" in out
    code, body = told(capsys, *SAMPLE, "--titre-ml", "14.20", "--titre-ml", "15.2", "--titre-ml", "14.25")
    assert code == 0 and body["answer"] == "median-of-replicates" and len(body["cautions"]) == 2


def test_both_oxidisers_of_one_flask(capsys):
    words = ("titrate", "both", "--peroxide-ml", "14.20", "--peroxide-blank-ml", "0.05", "--cerium-mol-l", "0.1",
             "--peracid-ml", "26.40", "--peracid-blank-ml", "0.10", "--thiosulfate-mol-l", "0.01", "--sample-ml", "10")
    code, out, err = call(capsys, *words)
    assert code == 0 and "2.407" in out and "1.000" in out and "active oxygen 1.342" in out
    assert "Blue that returns is peroxide" in err
    assert told(capsys, *words)[1]["active_oxygen_g_l"]["value"] == pytest.approx(1.3423, abs=0.001)
    assert call(capsys, *words, "--permanganate-mol-l", "0.02")[0] == 2


def test_titre_to_expect(capsys):
    words = ("titrate", "plan", "peracetic acid", "--titrant", "thiosulfate", "--titrant-mol-l", "0.01",
             "--strength-g-l", "1", "--sample-ml", "10")
    assert "26.3 mL" in call(capsys, *words)[1]
    assert told(capsys, *words)[1]["expected_titre_ml"] == pytest.approx(26.3, abs=0.05)


@pytest.mark.parametrize(("floor", "code", "answer"), [("700", 0, "meets"), ("1000", 1, "cannot-tell"),
                                                       ("1600", 1, "below")])
def test_strip_meets_a_floor_only_with_its_whole_interval(capsys, floor, code, answer):
    words = ("titrate", "strip", "--steps-mg-l", "0,500,1000,2000", "--shown-mg-l", "1000", "--floor-mg-l", floor)
    left, body = told(capsys, *words)
    assert (left, body["answer"]) == (code, answer)
    assert "750 to 1500 mg/L" in call(capsys, *words)[1]


def test_strip_that_answers_to_both_says_so(capsys):
    _, out, err = call(capsys, "titrate", "strip", "--steps-mg-l", "0,500", "--shown-mg-l", "500", "--answers-to",
                       "peracetic acid", "--answers-to", "hydrogen peroxide")
    assert "∞" in out and "together" in err


@pytest.mark.parametrize(("words", "about"), [
    (("--titre-ml", "26"), ["titre 1"]), (("--titre-ml", "0.01"), ["titre 1"]),
    (("--titre-ml", "14,2,0"), ["--titre-ml", "titres_ml"]),
    (("--titre-ml", "14", "--diluted", "0.5"), ["--diluted"]),
    (("--titre-ml", "14", "--repeatability-pct", "0"), ["repeatability_frac"])])
def test_bad_titrations_are_told(capsys, words, about):
    code, body = told(capsys, *SAMPLE, *words)
    assert code == 3 and fields(body) == about


def test_analyte_and_titrant_that_do_not_fit_are_refused(capsys):
    words = ["titrate", "plan", "peracetic acid", "--titrant", "cerium(IV)", "--titrant-mol-l", "0.01",
             "--strength-g-l", "1", "--sample-ml", "10"]
    assert "thiosulfate" in told(capsys, *words)[1]["sentence"]
    words[2] = "peracetic"
    assert "peracetic acid" in told(capsys, *words)[1]["sentence"]
    assert fields(told(capsys, "titrate", "strip", "--steps-mg-l", "0,x", "--shown-mg-l", "1")[1])[0] == "--steps-mg-l"

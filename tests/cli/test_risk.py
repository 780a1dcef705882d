"""``tersum efficacy risk``: cautions come first, figures are those of the curves, none is nothing or certain."""

import pytest

from cli.bench import call, told
from tersum.catalogue import load
from tersum.documents.efficacy_text import CURVES, RISK_CAUTIONS, probability_text
from tersum.lethality import residual_risk

CAMPYLOBACTER = "Campylobacter jejuni, human"


def test_every_caution_and_kind_of_curve_has_its_words():
    assert set(RISK_CAUTIONS) == {*residual_risk.CAUTIONS, residual_risk.APPROXIMATION_POOR}
    assert set(CURVES) == {residual_risk.dose_response(name).model for name in load.table("dose_response")}


def test_cautions_stand_before_the_first_figure_on_the_same_stream(capsys):
    code, out, _err = call(capsys, "efficacy", "risk", CAMPYLOBACTER, "--dose", "10")
    lines = out.splitlines()
    assert code == 0 and "nothing of a surface and nothing of a person" in lines[0]
    figure = next(place for place, line in enumerate(lines) if "0.117" in line)
    assert all(lines.index(RISK_CAUTIONS[code]) < figure for code in RISK_CAUTIONS)


def test_object_carries_cautions_before_its_figures(capsys):
    code, body = told(capsys, "efficacy", "risk", "SARS coronavirus, mice", "--dose", "10", "--log10-reduction", "1")
    assert code == 0 and body["schema"] == "tersum/dose-response/1"
    assert list(body).index("cautions") < list(body).index("doses")
    assert [one["code"] for one in body["cautions"]] == list(residual_risk.CAUTIONS)
    assert body["doses"][0]["probability_before"] == pytest.approx(0.0243, abs=1e-4)


@pytest.mark.parametrize(("name", "own", "dose"), [
    ("SARS coronavirus, mice", ["--rate", "0.00246"], "10"),
    (CAMPYLOBACTER, ["--alpha", "0.144", "--n50", "890"], "10"),
])
def test_own_parameters_give_what_the_published_curve_gives_but_no_source(capsys, name, own, dose):
    _code, published = told(capsys, "efficacy", "risk", name, "--dose", dose)
    code, body = told(capsys, "efficacy", "risk", *own, "--dose", dose)
    assert code == 0 and body["doses"] == published["doses"] and body["cautions"] == published["cautions"]
    assert body["curve"]["source"] is None and published["curve"]["source"] == "qmra-wiki"
    assert "nobody checked" in body["curve"]["sentence"]


def test_no_reduction_changes_nothing_and_a_large_dose_hardly_changes(capsys):
    _code, body = told(capsys, "efficacy", "risk", "--rate", "0.01", "--dose", "10", "--log10-reduction", "0")
    assert body["doses"][0]["after_over_before"] == 1.0
    _code, body = told(capsys, "efficacy", "risk", "--rate", "0.01", "--dose", "1000000", "--log10-reduction", "2")
    assert body["doses"][0]["after_over_before"] == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("curve", [["--rate", "1e-15"], ["--rate", "1"], ["--alpha", "0.01", "--n50", "0.1"],
                                   ["--alpha", "100", "--n50", "1e15"]])
@pytest.mark.parametrize("dose", ["1e-6", "1e15"])
def test_ends_of_what_is_accepted_give_probabilities(capsys, curve, dose):
    code, body = told(capsys, "efficacy", "risk", *_plain(curve), "--dose", _plain([dose])[0], "--log10-reduction",
                      "15")
    assert code == 0
    assert all(0.0 <= value <= 1.0 for name, value in body["doses"][0].items() if name != "dose_before"), body


def _plain(words):
    """Write numbers with an exponent out in digits, as the command takes them."""
    return [f"{float(word):.15f}".rstrip("0").rstrip(".") if "e" in word and not word.startswith("--") else word
            for word in words]


@pytest.mark.parametrize("probability", [1.0, 1.0 - 1e-12, 0.0, 1e-300])
def test_no_probability_is_told_as_nothing_or_as_certain(probability):
    assert probability_text(probability)[0] in "<>"


@pytest.mark.parametrize(("words", "code", "wanted"), [
    (["Campylobacter", "--dose", "10"], 3, ["did you mean", CAMPYLOBACTER]),
    (["--alpha", "1", "--dose", "10"], 3, ["got alpha", "alpha with n50"]),
    (["--rate", "0.1", "--n50", "10", "--dose", "10"], 3, ["rate, n50"]),
    (["--rate", "2", "--dose", "10"], 3, ["--rate", "1e-15 to 1"]),
    (["--rate", "0.1", "--dose", "0"], 3, ["--dose"]),
    (["--rate", "x", "--dose", "y"], 3, ["--rate", "--dose"]),
    (["--rate", "0.1", "--dose", "1", "--log10-reduction", "-1"], 3, ["--log10-reduction"]),
    (["--rate", "0.1"], 2, ["--dose"]), (["--dose", "10"], 2, ["one of these", CAMPYLOBACTER]),
    ([CAMPYLOBACTER, "--rate", "0.1", "--dose", "10"], 2, ["one of these"]),
])
def test_what_is_no_curve_or_dose_is_refused_in_sentences(capsys, words, code, wanted):
    found, out, err = call(capsys, "efficacy", "risk", *words)
    assert found == code and not out and all(one in err for one in wanted), err

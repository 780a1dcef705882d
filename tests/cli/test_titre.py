"""``tersum titre``: end points, bounds where there is none, and reductions with their operator."""

import pytest

from cli.bench import call, fields, told
from tersum.lethality.log_reduction import from_dict

CONTROL = "dilution,positive,total\n10^-5,5,5\n10^-6,3,5\n10^-7,1,5\n10^-8,0,5\n"
CLEAN = "dilution,positive,total\n10^-2,0,5\n10^-3,0,5\n"


@pytest.fixture
def written(tmp_path):
    def write(name, text):
        path = tmp_path / name
        path.write_text(text)
        return str(path)
    return write


def test_titre_with_its_error_and_the_other_method_beside_it(capsys, written):
    words = ("titre", "wells", written("w.csv", CONTROL), "--inoculum-ml", "0.1", "--variance", "n")
    out = call(capsys, *words)[1]
    assert "= 7.30" in out and "standard error 0.283" in out and "Reed-Muench, for comparison only: 7.32" in out
    assert told(capsys, *words)[1]["variance"] == "n"


@pytest.mark.parametrize(("shares", "operator"), [
    ((2, 1, 0), "<"), ((5, 5, 4), ">"), ((0, 0, 0), "<"), ((5, 5, 5), ">")])
def test_titre_without_a_crossing_is_a_bound(capsys, written, shares, operator):
    rows = "".join(f"10^-{at},{one},5\n" for at, one in enumerate(shares, 2))
    path = written("w.csv", "dilution,positive,total\n" + rows)
    code, body = told(capsys, "titre", "wells", path, "--inoculum-ml", "0.1")
    assert code == 0 and body["operator"] == operator and body["se_log10"] is None
    assert body["reed_muench_log10_per_ml"] is None and body["infectious_units_per_ml"] is None
    assert f"log10 TCID50/mL {operator} " in call(capsys, "titre", "wells", path, "--inoculum-ml", "0.1")[1]


def test_reduction_keeps_its_operator_in_print_and_json(capsys, written):
    words = ("titre", "reduction", written("c.csv", CONTROL), written("t.csv", CLEAN), "--inoculum-ml", "0.1")
    code, out, _ = call(capsys, *words, "--required", "4")
    assert code == 0 and "Reduction >= 4.80 log10" in out
    body = told(capsys, *words, "--required", "4")[1]
    assert body["reduction"]["operator"] == ">=" and from_dict(body["reduction"]).text() == ">= 4.80"


def test_control_too_low_to_show_it_is_not_assessable(capsys, written):
    words = ("titre", "reduction", written("c.csv", CONTROL), written("t.csv", CLEAN), "--inoculum-ml", "0.1")
    code, out, _ = call(capsys, *words, "--required", "6")
    assert code == 1 and "could show 4.80 at most" in out
    assert told(capsys, *words, "--required", "6")[1]["answer"] == "not-assessable"


def test_measured_reduction_has_an_interval_and_may_fall_short(capsys, written):
    words = ("titre", "reduction", written("c.csv", CONTROL),
             written("t.csv", CONTROL.replace("-5", "-2").replace("-6", "-3").replace("-7", "-4").replace("-8", "-5")),
             "--inoculum-ml", "0.1")
    code, out, _ = call(capsys, *words, "--required", "4")
    assert code == 1 and "= 3.00" in out and "95 % interval" in out
    assert "lower limit lies below" in call(capsys, *words, "--required", "2.9")[1]


def test_plaques_and_none(capsys):
    words = ("titre", "plaques", "--dilution", "10^-5", "--inoculum-ml", "0.2")
    assert "2.1e+07" in call(capsys, *words, "--count", "42", "--count", "38", "--count", "46")[1]
    assert "PFU/mL < " in call(capsys, *words, "--count", "0")[1]


def test_all_faults_come_at_once(capsys, written):
    code, body = told(capsys, "titre", "plaques", "--dilution", "7", "--inoculum-ml", "x", "--count", "2.3")
    assert code == 3 and fields(body) == ["--count", "--inoculum-ml", "--dilution"]
    code, body = told(capsys, "titre", "reduction", written("c.csv", "dilution,positive,total\nx,9,5\n"),
                      written("t.csv", CLEAN), "--inoculum-ml", "y", "--required", "4")
    assert code == 3 and len(fields(body)) == 2
    code, body = told(capsys, "titre", "wells", written("w.csv", CONTROL.replace("3,5", "6,5")), "--inoculum-ml", "0.1")
    assert code == 3 and "no more than there are wells" in body["sentence"]

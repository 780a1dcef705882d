"""``tersum efficacy``: operators survive to the last sign printed, invalid is told apart, bad files are refused."""

from pathlib import Path

import pytest

from cli.bench import call, told

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "efficacy" / "efficacy.toml"
HEAD = 'schema = "tersum/efficacy/1"\n'
RUN = '[[run]]\ntest = "EN 1276 bactericidal"\norganism = "x"\nstrength = "1 %"\ncontact_min = 5\n'
PLATES = "[run.suspension]\nfirst = [168, 213]\nsecond = [20, 25]\ndilution_first = 1e-6\n"
CONTROLS = "[run.suspension.controls]\nsuspension = 96\nconditions = 60\nneutraliser = 52\nmethod = 52\n"


def written(folder, text):
    path = folder / "efficacy.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


def test_example_shows_every_answer_with_its_operator(capsys):
    code, body = told(capsys, "efficacy", "test", EXAMPLE)
    assert code == 1 and body["schema"] == "tersum/efficacy/1" and body["invented"] is True
    assert [(one["answer"], one["reduction"]["operator"]) for one in body["runs"]] == [
        ("met", ">"), ("invalid", "="), ("met", "="), ("not-met", ">"), ("not-assessable", ">="), ("not-met", "=")]


def test_invalid_is_told_apart_from_not_met_in_words(capsys):
    _code, out, _err = call(capsys, "efficacy", "test", EXAMPLE)
    assert "invalid: neither met nor not met" in out
    assert "Control B (neutraliser) is 47 CFU/mL; accepted: 48 or more" in out
    assert "log10 reduction > 5.13" in out and "log10 reduction >= 3.87" in out


def test_rules_from_memory_are_named_in_every_result_that_uses_them(capsys):
    _code, body = told(capsys, "efficacy", "test", EXAMPLE)
    for one in body["runs"]:
        assert bool(one["from_memory"]) is ("From memory" in one["memory_sentence"])
    assert len(body["runs"][0]["from_memory"]) >= 8 and not body["runs"][5]["from_memory"]


def test_scraping_past_stands_beside_the_spread_between_laboratories(capsys):
    _code, body = told(capsys, "efficacy", "test", EXAMPLE)
    flags = {one["code"]: one["sentence"] for one in body["runs"][2]["flags"]}
    assert "0.31 to 1.54" in flags["within-the-spread-between-laboratories"]


def test_all_met_ends_with_0(capsys, tmp_path):
    path = written(tmp_path, RUN + PLATES + "plates = [0, 0]\n" + CONTROLS)
    code, out, err = call(capsys, "efficacy", "test", path)
    assert code == 0 and "log10 reduction > 5.13" in out and "label" in err


def test_test_without_controls_is_invalid_not_refused(capsys, tmp_path):
    code, body = told(capsys, "efficacy", "test", written(tmp_path, RUN + PLATES + "plates = [0, 0]\n"))
    assert code == 1 and body["runs"][0]["answer"] == "invalid"
    assert body["runs"][0]["failing"][0]["code"] == "controls-missing"


@pytest.mark.parametrize(("text", "wanted"), [
    ("", ["run"]),
    (RUN + PLATES + "plates = [7.28, 7.3]\n", ["plates", "not their logarithms"]),
    (RUN + PLATES + "plates = [nan]\n", ["plates"]), (RUN + PLATES + "plates = []\n", ["plates"]),
    (RUN + PLATES + "plates = [true]\n", ["plates"]), (RUN + PLATES + 'plates = "12"\n', ["plates"]),
    (RUN + PLATES.replace("168", "inf") + "plates = [0]\n", ["first"]),
    (RUN + PLATES.replace("1e-6", "0") + "plates = [0]\n", ["dilution_first"]),
    (RUN + PLATES.replace("[168, 213]", "[400, 410]").replace("[20, 25]", "[1, 2]") + "plates = [0]\n",
     ["run 1: first", "14 to 330 colonies"]),
    (RUN + "[run.surface]\nwater_cfu = [1e6]\n", ["suspension", "surface"]),
    (RUN.replace("EN 1276 bactericidal", "EN 1276 bactericide") + PLATES, ["did you mean", "EN 1276 bactericidal"]),
    (RUN.replace("EN 1276 bactericidal", "EN 13704 sporicidal") + PLATES + "plates = [0]\n", ["suspension_range"]),
    (RUN.replace("EN 1276 bactericidal", "EN 13697 bactericidal")
     + "[run.surface]\nwater_cfu = [6.5, 6.6]\ntreated_cfu = [1.2]\nlimit_cfu = 10\n", ["run 1: water", "not their"]),
    (RUN.replace("EN 1276 bactericidal", "OCSPP 810.2300 food-contact sanitiser")
     + "[run.carriers]\ncontrol_cfu = [6.5, 6.6]\ntreated_cfu = [1.2]\nlimit_cfu = 10\n", ["control_cfu", "not their"]),
    (RUN.replace("EN 1276 bactericidal", "EN 14476 virucidal")
     + "[run.virus]\ninoculum_ml = 0.1\n[run.virus.control]\nlog10_dilution = [-1, -2]\npositive = [9, 0]\n"
       "total = [8, 8]\n[run.virus.test]\nlog10_dilution = [-1, -3, -4]\npositive = [0, 0, 0]\ntotal = [8, 8, 8]\n",
     ["control: positive", "test: log10_dilution", "evenly spaced"]),
    (RUN.replace("EN 1276 bactericidal", "germicidal spray") + "[[run.growth.batch]]\npositive = 61\ncarriers = 60\n"
     "log10_density = 6.5\n", ["run 1: positive"]),
    (RUN + PLATES + "plates = [0]\nvc = 3\n", ["vc"]), ("colour = 1\n" + RUN + PLATES + "plates = [0]\n", ["colour"]),
])
def test_what_is_no_run_is_refused_in_sentences(capsys, tmp_path, text, wanted):
    code, out, err = call(capsys, "efficacy", "test", written(tmp_path, text))
    assert code == 3 and not out and all(one in err for one in wanted), err
    assert "Traceback" not in err


def test_all_faults_of_a_file_are_told_at_once(capsys, tmp_path):
    path = written(tmp_path, RUN + PLATES + "plates = [-1]\n" + RUN.replace("contact_min = 5", "contact_min = 0")
                   + PLATES + "plates = [0]\n")
    _code, _out, err = call(capsys, "efficacy", "test", path)
    assert "run 1: suspension: plates" in err and "run 2: contact_min" in err


def test_missing_file_ends_with_4(capsys, tmp_path):
    assert call(capsys, "efficacy", "test", tmp_path / "none.toml")[0] == 4


def test_claims_answer_yes_no_and_cannot_tell(capsys):
    assert call(capsys, "efficacy", "claim", "virucidal", "--organism", "norovirus")[0] == 0
    code, out, err = call(capsys, "efficacy", "claim", "limited virucidal", "--organism", "norovirus")
    assert code == 1 and "does not cover norovirus" in out and "label decides" in err
    code, out, _err = call(capsys, "efficacy", "claim", "sporicidal", "--organism", "C. difficile")
    assert code == 1 and "cannot tell" in out
    assert call(capsys, "efficacy", "claim", "sporicide")[0] == 3


def test_tests_say_how_they_are_known(capsys):
    code, body = told(capsys, "efficacy", "tests")
    known = {one["test"]: one["known"] for one in body["tests"]}
    assert code == 0 and known["EN 1276 bactericidal"] == "read" and known["EN 13727 bactericidal surface"] == "memory"
    assert known["use-dilution, S. aureus"] == "read" and known["germicidal spray"] == "memory"

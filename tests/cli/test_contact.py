"""``tersum contact``: met or not, never shorter than the label, and every fault at once."""

from pathlib import Path

import pytest

from cli.bench import call, fields, told

LAW = """organism = "an organism"
active = "sodium hypochlorite"
source = "invented"
[law]
rate = {rate}
fading_per_min = {fading}
[tested]
strength_mg_l = [100, 2000]
temp_c = [15, 25]
soils = ["clean", "whole milk"]
most_log10 = 5
most_min = 60
"""
NEEDED = ("contact", "needed", "--label-min", "5", "--log10", "3", "--strength-mg-l", "500", "--temp-c", "20")
WET = ("contact", "wet", "--ended-min", "8", "--label-min", "5")


@pytest.fixture
def law(tmp_path):
    def write(rate=0.002, fading=0.0):
        path = tmp_path / "law.toml"
        path.write_text(LAW.format(rate=rate, fading=fading))
        return str(path)
    return write


@pytest.mark.parametrize(("marks", "more", "code", "answer"), [
    (("0=wet", "6=dry"), (), 0, "met"), (("0=wet", "4=dry", "5=wet"), (), 1, "not-met"),
    (("0=wet", "3=wet", "6=dry"), ("--found-dry",), 1, "cannot-tell"), (("0=wet", "2=wiped"), (), 1, "not-met")])
def test_marks_become_an_answer_with_its_exit_code(capsys, marks, more, code, answer):
    words = [*WET, *more, *(word for mark in marks for word in ("--mark", mark))]
    left, body = told(capsys, *words)
    assert (left, body["answer"]) == (code, answer)
    assert call(capsys, *words)[0] == code


def test_marks_of_a_file_are_read(capsys, tmp_path):
    (tmp_path / "wet.toml").write_text('[[row]]\nminute = 0\nsurface = "wet"\n[[row]]\nminute = 7.5\nsurface = "dry"\n')
    code, out, err = call(capsys, *WET, str(tmp_path / "wet.toml"))
    assert code == 0 and "wet for 7.5 min" in out and "no measurement of organisms" in err and "label" in err


def test_short_of_the_label_asks_for_another_coat_and_calls_it_no_proof(capsys):
    out = call(capsys, *WET, "--mark", "0=wet", "--mark", "3=dry")[1]
    assert "2 coats in all" in out and "no proof" in out


def test_all_faults_of_the_marks_come_at_once(capsys):
    code, body = told(capsys, "contact", "wet", "--mark", "0=moist", "--mark", "x=dry", "--ended-min", "1e3",
                      "--label-min", "0")
    assert code == 3 and fields(body) == ["--mark", "--mark", "--ended-min", "--label-min"]


def test_marks_twice_or_not_at_all_are_a_misuse(capsys):
    assert call(capsys, *WET)[0] == 2 and call(capsys, *WET, "a.csv", "--mark", "0=wet")[0] == 2


@pytest.mark.parametrize(("rate", "answer", "minutes"), [
    (0.02, "label-time", 5.0), (0.002, "longer-than-the-label", 6.91), (0.001, "longer-than-the-label", 13.8)])
def test_law_may_ask_for_longer_and_never_for_less(capsys, law, rate, answer, minutes):
    code, body = told(capsys, *NEEDED, "--model", law(rate))
    assert code == 0 and body["answer"] == answer and body["contact_min"] == pytest.approx(minutes, abs=0.05)


def test_law_that_is_quicker_is_not_shown_as_a_time(capsys, law):
    out = call(capsys, *NEEDED, "--model", law(0.02))[1]
    assert "5 min" in out and "0.69" not in out and "shortens nothing" in out


def test_mix_that_fades_cannot_do_it_however_long(capsys, law):
    code, out, _ = call(capsys, *NEEDED, "--model", law(0.001, 0.2))
    assert code == 1 and "cannot do it however long you wait" in out and "1.08 log10 at most" in out


def test_soil_that_uses_it_up_needs_no_law(capsys):
    code, out, _ = call(capsys, *NEEDED, "--soil-demand-mg-l", "500")
    assert code == 1 and "uses up all of the active" in out and "Clean first" in out


def test_outside_of_what_was_tested_nothing_is_predicted(capsys, law):
    words = ("contact", "needed", "--label-min", "5", "--log10", "6", "--strength-mg-l", "50", "--temp-c", "5",
             "--model", law())
    code, body = told(capsys, *words)
    assert code == 1 and body["answer"] == "cannot-tell" and body["contact_min"] == 5.0 and body["model_min"] is None
    assert set(body["outside"]) == {"strength_mg_l", "temp_c", "log10"}


def test_soil_of_a_kind_is_told_for_its_own_active(capsys, law):
    assert "40 times stronger" in call(capsys, *NEEDED, "--soil", "whole milk", "--model", law())[1]
    assert "not in the figures at hand" in call(capsys, *NEEDED, "--soil", "blood", "--model", law())[1]


def test_colder_than_the_label_was_shown_at_the_claim_is_not_demonstrated(capsys, law):
    words = (*NEEDED, "--model", law(0.02))
    assert call(capsys, *words, "--label-tested-c", "20")[0] == 0
    code, out, _ = call(capsys, *words, "--label-tested-c", "22")
    assert code == 1 and "shown at 22 °C" in out and "not demonstrated" in out
    assert told(capsys, *words, "--label-tested-c", "22")[1]["demonstrated"] is False


def test_steep_law_warns_of_a_mix_that_is_slightly_too_weak(capsys, law):
    path = law()
    assert "1.11 times as long" in call(capsys, *NEEDED, "--model", path)[1]
    text = Path(path).read_text().replace("[law]", "[law]\nexponent = 8")
    Path(path).write_text(text)
    assert "the effect is gone" in call(capsys, *NEEDED, "--model", path)[1]


def test_without_a_law_the_label_stands(capsys):
    code, out, _ = call(capsys, *NEEDED)
    assert code == 1 and "nothing but the label's 5 min holds" in out


def test_faults_of_the_law_come_with_those_of_the_options(capsys, tmp_path):
    (tmp_path / "law.toml").write_text("[law]\nrate = -1\n[tested]\ntemp_c = [9, 1]\n")
    code, body = told(capsys, "contact", "needed", "--label-min", "x", "--log10", "3", "--strength-mg-l", "5",
                      "--temp-c", "20", "--model", str(tmp_path / "law.toml"))
    assert code == 3 and {"--label-min"} < set(fields(body)) and len(fields(body)) >= 8


def test_ct_of_water_names_its_table_and_its_row(capsys):
    words = ("contact", "water", "free chlorine", "giardia", "--log10", "3", "--temp-c", "12", "--strength-mg-l", "1",
             "--ph", "7")
    code, out, err = call(capsys, *words)
    assert code == 0 and out.startswith("112 mg min/L") and "10 °C" in out and "no advice on surfaces" in err
    assert "not the table" in call(capsys, *words, "--equation")[1]
    code, body = told(capsys, *words[:-2], "--ph", "12")
    assert code == 3 and fields(body) == ["--ph"]

"""``tersum condensate``."""

import pytest

from cli.bench import call, fields, told

CASE = ("condensate", "--solution-ph", "4.37", "--condensate-ph", "3.55", "--solution-c", "25", "--condensate-c", "25",
        "--alkalinity", "3 mmol/L", "--u-ph", "0.03", "--calibration", "good")


def test_sixfold_hydronium_is_consistent_with_distillation_and_settles_nothing(capsys):
    code, out, err = call(capsys, *CASE, "--peracid-mg-l", "380")
    assert code == 1 and "cannot tell" in out and "dilution or distillation  consistent with" in out
    assert "No pH shows that oxygen was released" in err and "titrate" in err


def test_one_explanation_left_is_named(capsys):
    words = [*CASE, "--peracid-mg-l", "3000"]
    for option, value in (("--solution-ph", "3.387"), ("--condensate-ph", "3.08"), ("--alkalinity", "0 mmol/L")):
        words[words.index(option) + 1] = value
    code, body = told(capsys, *words)
    assert code == 0 and body["answer"] == "consistent-with" and body["named"] == ["conversion-to-acid"]
    assert body["not_shown"] == "oxygen-released"
    assert "consistent with: peracid turned into acid" in call(capsys, *words)[1]


def test_nothing_given_is_cannot_tell_and_names_the_options_missing(capsys):
    code, out, _ = call(capsys, "condensate")
    assert code == 1 and "cannot tell" in out and "--alkalinity" in out and "--calibration" in out


def test_calibration_that_is_not_good_is_said(capsys):
    words = [*CASE]
    words[words.index("good")] = "replace"
    code, out, _ = call(capsys, *words)
    assert code == 1 and "not good (replace the electrode)" in out


@pytest.mark.parametrize(("option", "value", "about"), [
    ("--alkalinity", "3", "--alkalinity"), ("--solution-ph", "14", "--solution-ph"), ("--u-ph", "0", "--u-ph"),
    ("--condensate-c", "99", "--condensate-c"), ("--peracid-mg-l", "-1", "--peracid-mg-l")])
def test_bad_input_is_one_sentence_about_its_option(capsys, option, value, about):
    words = [*CASE, "--peracid-mg-l", "380"]
    words[words.index(option) + 1] = value
    code, body = told(capsys, *words)
    assert code == 3 and fields(body) == [about]

"""``tersum meter``."""

import pytest

from cli.bench import call, fields, told

GOOD = ("--temp-c", "25", "--buffer", "phthalate=171.9", "--buffer", "phosphate=4.1")


def test_calibration_shows_slope_offset_and_verdict(capsys):
    code, out, err = call(capsys, "meter", "calibrate", *GOOD)
    assert code == 0 and "58.69 mV/pH, 99.2 %" in out and "-3.82 mV" in out and "good" in out
    assert "customary" in err


def test_set_values_from_the_bottle_are_taken_as_they_stand(capsys):
    _, body = told(capsys, "meter", "calibrate", "--temp-c", "25", "--buffer", "4.005=171.9", "--buffer", "6.865=4.1")
    assert body["slope_mv"] == pytest.approx(58.67, abs=0.005) and body["verdict"] == "good"


def test_worn_electrode_answers_no_and_says_why(capsys):
    worn = ("--temp-c", "25", "--buffer", "4=150", "--buffer", "7=0")
    code, out, _ = call(capsys, "meter", "calibrate", *worn)
    assert code == 1 and "replace the electrode" in out and "below what is accepted" in out
    assert call(capsys, "meter", "calibrate", *worn, "--slope-replace-pct", "80", "--slope-good-low-pct", "80")[0] == 0


def test_reading_has_its_uncertainty_and_flags(capsys):
    code, out, _ = call(capsys, "meter", "read", "--potential-mv", "230", "--sample-c", "33", *GOOD,
                        "--conductivity-us-cm", "40")
    assert code == 0 and "pH 3.1" in out and "junction" in out
    assert "outside the buffers" in out and "8 K from" in out and "below 100" in out
    _, body = told(capsys, "meter", "read", "--potential-mv", "100", "--sample-c", "25", *GOOD)
    assert body["standard_uncertainty"] == pytest.approx(0.033, abs=0.002) and body["flags"] == []


def test_drift_of_an_electrode_from_its_file(capsys, tmp_path):
    path = tmp_path / "electrode.csv"
    path.write_text("day,slope_pct,offset_mv\n0,99.05,2\n30,97.45,2\n60,96.05,2\n90,94.45,2\n", encoding="utf-8")
    code, out, _ = call(capsys, "meter", "drift", path)
    assert code == 0 and "falling" in out and "from day" in out
    _, body = told(capsys, "meter", "drift", path, "--slope-replace-pct", "80")
    assert body["slope_pct"]["answer"] == "falling" and body["replace_after_day"] > 200


def test_two_calibrations_show_no_trend(capsys, tmp_path):
    path = tmp_path / "electrode.csv"
    path.write_text("day,slope_pct,offset_mv\n0,99,2\n30,97,2\n", encoding="utf-8")
    assert "cannot tell" in call(capsys, "meter", "drift", path)[1]


def test_ratio_of_two_readings_has_no_more_digits_than_it_has(capsys):
    code, out, _ = call(capsys, "meter", "ratio", "--ph-a", "4.37", "--ph-b", "3.55", "--u-ph", "0.05")
    assert code == 0 and out.startswith("7 times") and "4.8 to 9.2" in out


@pytest.mark.parametrize(("words", "about"), [
    (("--temp-c", "25", "--buffer", "phthalat=171.9", "--buffer", "phosphate=4.1"), ["--buffer phthalat"]),
    (("--temp-c", "25", "--buffer", "phthalate=x", "--buffer", "phosphate"), ["--buffer", "--buffer phthalate"]),
    (("--temp-c", "25", "--buffer", "4=170", "--buffer", "4=170"), ["buffers"]),
    (("--temp-c", "25", "--buffer", "4=1", "--buffer", "7=170"), ["potential_mv"]),
    (("--temp-c", "70", "--buffer", "4=170", "--buffer", "7=1"), ["--temp-c"]),
    (("--temp-c", "25", "--buffer", "4=170", "--buffer", "7=1", "--offset-mv", "-3"), ["--offset-mv"]),
    (("--temp-c", "20", "--buffer", "citrate=170", "--buffer", "7=1"), ["--buffer citrate"])])
def test_bad_calibrations_are_told(capsys, words, about):
    code, body = told(capsys, "meter", "calibrate", *words)
    assert code == 3 and fields(body) == about


def test_missing_file_is_not_found(capsys, tmp_path):
    assert call(capsys, "meter", "drift", tmp_path / "none.csv")[0] in (3, 4)

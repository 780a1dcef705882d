"""``tersum survivors``: what is fitted, what is left undecided, what is refused."""

import math
from pathlib import Path

import pytest

from cli.bench import call, told
from tersum.documents import survivors_text as texts
from tersum.lethality import survivor_fit, survivor_time
from tersum.lethality.survivor_models import MODELS

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "efficacy" / "survivors.csv"
LINE = [(0, 8e6), (2, 7.5e5), (4, 9e4), (6, 8e3), (8, 9e2), (10, 80)]


def written(folder, text):
    path = folder / "points.csv"
    path.write_text(text, encoding="utf-8")
    return path


def table(rows, head="time_min,cfu"):
    return head + "\n" + "\n".join(f"{time},{count:.0f}" for time, count in rows) + "\n"


def test_example_shows_shoulder_and_tail_and_the_time_to_a_reduction(capsys):
    code, body = told(capsys, "survivors", EXAMPLE, "--logs", "3")
    (three,) = body["times"]
    assert code == 0 and body["schema"] == "tersum/survivors/1" and body["shown"] in body["tied"]
    assert three["low"] < three["time"] < three["high"] and "log10 in" in three["sentence"]
    assert len(body["chart"]["time"]) == 101 and len(body["chart"]["point_time"]) == 22


def test_nothing_past_the_reduction_observed_ends_with_1(capsys):
    code, out, err = call(capsys, "survivors", EXAMPLE, "--logs", "6")
    assert code == 1 and "nothing is extrapolated" in out and "never shortens the contact time" in err


def test_counts_and_logs_say_the_same(capsys, tmp_path):
    _code, counts = told(capsys, "survivors", written(tmp_path, table(LINE)), "--model", "log-linear")
    rows = "".join(f"{time};{math.log10(count):.6f}".replace(".", ",") + "\n" for time, count in LINE)
    _code, logs = told(capsys, "survivors", written(tmp_path, "time_min;log10_cfu\n" + rows), "--model", "log-linear")
    assert logs["times"][0]["time"] == pytest.approx(counts["times"][0]["time"], rel=1e-4)


def test_plate_without_growth_enters_as_a_bound(capsys, tmp_path):
    bounded = table(LINE) + "12,<10\n14,<10\n"
    _code, body = told(capsys, "survivors", written(tmp_path, bounded), "--model", "log-linear")
    assert body["chart"]["bound_time"] == [12.0, 14.0] and body["chart"]["bound_log10"] == [1.0, 1.0]


def test_undecided_tail_is_said_in_words(capsys, tmp_path):
    _code, out, _err = call(capsys, "survivors", written(tmp_path, table(LINE * 2)), "--model", "geeraerd")
    assert "A tail is undecided" in out and "unreliable" in out


def test_unit_of_the_times_is_that_of_the_column(capsys, tmp_path):
    _code, out, err = call(capsys, "survivors", written(tmp_path, table(LINE, "time_s,cfu")), "--model", "log-linear")
    assert " s (" in out and "Times in s" in err


@pytest.mark.parametrize(("text", "wanted"), [
    (table(LINE, "time,cfu"), ["time_min"]), (table(LINE, "time_min,count"), ["log10_cfu"]), ("", ["header"]),
    ("time_min,time_s,cfu\n0,0,1\n", ["once"]),
    (table(LINE) + "12,0\n", ["row 8", "none found is reported as below the detection limit"]),
    (table(LINE) + "12,-3\n", ["row 8"]), (table(LINE) + "12,\n", ["row 8", "column cfu"]),
    (table(LINE) + "12,>300\n", ["row 8", "beyond counting is no point"]), (table(LINE) + "<12,30\n", ["row 8"]),
    (table(LINE) + "x,30\n13,y\n", ["row 8", "row 9"]),
    ("time_min,cfu\n0,6.9\n2,5.8\n4,4.9\n6,3.9\n", ["log10_cfu"]),
    ("time_min,log10_cfu\n0,8000000\n2,750000\n4,90000\n", ["not the count itself"]),
    (table(LINE[:2]), ["enough points"]), ("time_min,cfu\n", ["time"]),
    ("time_min,cfu\n1,500\n1,400\n1,300\n", ["different times"]),
])
def test_what_is_no_series_is_refused_in_sentences(capsys, tmp_path, text, wanted):
    code, out, err = call(capsys, "survivors", written(tmp_path, text))
    assert code == 3 and not out and all(one in err for one in wanted), err


@pytest.mark.parametrize("words", [["--logs", "0"], ["--logs", "-1"], ["--logs", "x"], ["--model", "line"],
                                   ["--confidence-pct", "100"]])
def test_bad_options_are_refused(capsys, words):
    code, out, err = call(capsys, "survivors", EXAMPLE, *words)
    assert code == 3 and not out and "Traceback" not in err


def test_missing_file_ends_with_4(capsys, tmp_path):
    assert call(capsys, "survivors", tmp_path / "none.csv")[0] == 4


def test_every_code_has_its_words():
    assert set(texts.MODELS) == set(MODELS)
    assert {name for one in MODELS.values() for name in one.parameters} == set(texts.PARAMETERS)
    codes = {survivor_fit.OPEN, survivor_fit.FEW_POINTS, survivor_fit.TAIL_UNDECIDED, survivor_fit.SHOULDER_UNDECIDED,
             survivor_fit.PHASES_UNDECIDED, survivor_time.BEYOND, survivor_time.NEVER}
    assert codes == set(texts.WHY_NOT) and set(texts.FLAGS) == codes - {
        survivor_fit.OPEN, survivor_time.BEYOND, survivor_time.NEVER}

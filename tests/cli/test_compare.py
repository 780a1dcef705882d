"""``tersum compare``, ``trial`` and ``limits``: what they print, their exit codes, and bad input."""

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from tersum.cli.main import run
from tersum.records.limits_file import read_limits

ROOT = Path(__file__).resolve().parents[2]
TRIAL = ROOT / "examples" / "trial"
SEED = "000102030405060708090a0b0c0d0e0f"


@dataclass
class Done:
    returncode: int
    stdout: str
    stderr: str


def tersum(*words):
    """Run the command line in this process: a start of its own costs each case more than the work."""
    out, error = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(error), pytest.raises(SystemExit) as ended:
        run([str(word) for word in words])
    return Done(ended.value.code, out.getvalue(), error.getvalue())


def test_the_demo_trial_is_compared():
    done = tersum("compare", TRIAL / "trial.csv", "--plan", TRIAL / "trial.toml", "--json")
    body = json.loads(done.stdout)
    assert done.returncode == 0 and body["schema"] == "tersum/comparison/1" and body["not_as_drawn"] == []
    by_arm = {one["arm"]: one for one in body["contrasts"]}
    assert by_arm["cloth A, 5 min"]["verdict"] == "leaves-less" and by_arm["cloth A, 5 min"]["high"] < 1
    assert body["sentences"][0].startswith("Not tested whether")
    assert not any("better" in line or "%" in line for line in body["sentences"])


def test_one_pair_ends_with_1(tmp_path):
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\nvan,seat,a,10\nvan,seat,b,900\n")
    done = tersum("compare", tmp_path / "t.csv", "--control", "b")
    assert done.returncode == 1 and "Cannot tell a from b" in done.stdout and "no plan" in done.stderr


def test_many_blocks_are_drawn_the_same_way_each_time(tmp_path):
    rows = [f"van {n},seat,{arm},{(100 if arm == 'a' else 160) + 7 * (n * n % 11)}" for n in range(60) for arm in "ab"]
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\n" + "\n".join(rows))
    one, two = (tersum("compare", tmp_path / "t.csv", "--control", "b", "--json").stdout for _ in range(2))
    assert one == two and json.loads(one)["contrasts"][0]["rerandomisation"]["exact"] is False


@pytest.mark.parametrize(("words", "code"), [
    (["--control", "z"], 3), ([], 2), (["--control", "water only", "--margin", "0.9"], 3),
    (["--control", "water only", "--margin", "1,234"], 2), (["--control", "water only", "--recovery", "0.5"], 2),
    (["--control", "water only", "--recovery", "z=0.5"], 3), (["--plan", "nowhere.toml"], 4)])
def test_bad_options_are_refused(words, code):
    done = tersum("compare", TRIAL / "trial.csv", *words)
    assert done.returncode == code and done.stderr and "Traceback" not in done.stderr


def test_a_table_with_faults_tells_them_all(tmp_path):
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\nvan,seat,a,1e3\nvan,,b,9\n")
    done = tersum("compare", tmp_path / "t.csv", "--control", "b")
    assert done.returncode == 3 and "row 2" in done.stderr and "row 3" in done.stderr
    assert tersum("compare", tmp_path / "none.csv", "--control", "b").returncode == 4


def test_a_plan_is_drawn_written_and_read_back(tmp_path):
    words = ["--arm", "a", "--arm", "b", "--control", "b", "--vehicles", "2", "--panels", "3", "--seed-hex", SEED]
    done = tersum("trial", "plan", *words, "--out", tmp_path / "out", "--json")
    assert done.returncode == 0, done.stderr
    body = json.loads(done.stdout)
    assert len(body["parts"]) == 12 and {one[4] for one in body["parts"]} == {"a", "b"}
    assert body["parts"] == json.loads(tersum("trial", "plan", *words, "--json").stdout)["parts"]
    assert SEED in (tmp_path / "out" / "panel-sheet.md").read_text()
    empty = tersum("compare", tmp_path / "out" / "trial.csv", "--plan", tmp_path / "out" / "trial.toml")
    assert empty.returncode == 3 and "no row with an after reading" in empty.stderr
    assert tersum("trial", "plan", *words, "--out", tmp_path / "out").returncode == 6


@pytest.mark.parametrize("words", [
    ["--arm", "a", "--control", "a", "--vehicles", "2"],
    ["--arm", "a", "--arm", "b", "--control", "c", "--vehicles", "2"],
    ["--arm", "a", "--arm", "b", "--control", "a"], ["--arm", "a", "--arm", "b", "--control", "a", "--panel", "seat"],
    ["--arm", "a", "--arm", "b", "--control", "a", "--vehicles", "1", "--margin", "1"],
    ["--arm", "a", "--arm", "b", "--control", "a", "--vehicles", "1", "--factor", "1"],
    ["--arm", "a", "--arm", "b", "--control", "a", "--vehicles", "1", "--seed-hex", "00"],
    ["--arm", "a", "--arm", "b", "--control", "a", "--vehicles", "1", "--seed-hex", "xy"],
    ["--arm", "a", "--arm", "a", "--control", "a", "--vehicles", "1"]])
def test_a_plan_that_cannot_be_is_refused(words):
    done = tersum("trial", "plan", *words)
    assert done.returncode in (2, 3) and "Traceback" not in done.stderr and not done.stdout


def baseline(folder, *, visits=6, points=12, people=2):
    paths = []
    for visit in range(visits):
        rows = [f"p{n},cleaned,{20 + (7 * n + 5 * visit) % 31},smooth,Demo Meter,2026-03-0{visit + 1}T10:00:00Z,"
                f"person {visit % people + 1}" for n in range(points)]
        paths.append(folder / f"v{visit}.csv")
        paths[-1].write_text("point,stage,rlu,surface,instrument,at,person\n" + "\n".join(rows))
    return paths


LEARN = ("--swab", "Demo Swab", "--area-cm2", "100")


@pytest.mark.parametrize("method", ["percentile", "tolerance"])
def test_enough_readings_make_a_file_that_decide_takes(tmp_path, method):
    out = tmp_path / "LIMITS.toml"
    done = tersum("limits", "learn", *baseline(tmp_path), *LEARN, "--visits", "all", "--method", method, "--out", out)
    assert done.returncode == 0, done.stderr
    limit = read_limits(str(out)).limits[0]
    assert limit.known == "computed" and limit.rlu >= 45 and "frozen 20" in limit.basis
    assert "sha256" in out.read_text()
    assert tersum("limits", "learn", *baseline(tmp_path), *LEARN, "--visits", "all", "--out", out).returncode == 6


@pytest.mark.parametrize(("shape", "words", "told"), [
    ({"visits": 3}, ["--visits", "all"], "36; the method needs 59"),
    ({"visits": 6, "people": 1}, ["--visits", "all"], "People named: 1"),
    ({"visits": 6}, ["--visits", "passed"], "ever lower one"),
    ({"visits": 2, "points": 40}, ["--visits", "all"], "Vehicles or rooms: 2")])
def test_a_baseline_that_will_not_do_writes_nothing(tmp_path, shape, words, told):
    out = tmp_path / "LIMITS.toml"
    done = tersum("limits", "learn", *baseline(tmp_path, **shape), *LEARN, *words, "--out", out)
    assert done.returncode == 1 and told in done.stdout and not out.exists()


def test_rounds_after_the_first_and_second_swabs_do_not_count(tmp_path):
    path = tmp_path / "v.csv"
    path.write_text("point,stage,round,swab,rlu,surface,instrument\np,cleaned,1,1,90,smooth,M\n"
                    "p,cleaned,1,2,40,smooth,M\np,cleaned,2,1,10,smooth,M\nq,as_found,1,1,900,smooth,M\n")
    body = json.loads(tersum("limits", "learn", path, *LEARN, "--visits", "all", "--json").stdout)
    assert body["points"] == 1


def test_two_instruments_make_no_limit(tmp_path):
    paths = baseline(tmp_path)
    paths[0].write_text(paths[0].read_text().replace("Demo Meter", "Other Meter"))
    assert tersum("limits", "learn", *paths, *LEARN, "--visits", "all").returncode == 3


def test_the_power_of_a_trial_is_printed_and_drawn(tmp_path):
    words = ["trial", "power", "--factor", "2", "--factor", "1.5", "--pair-spread", "0.35"]
    done = tersum(*words, "--json", "--picture", tmp_path / "p.svg", "--width", "390")
    body = json.loads(done.stdout)
    assert body["pairs_needed"] == [{"factor": 1.5, "pairs": 33}, {"factor": 2.0, "pairs": 13}]
    assert "<svg" in (tmp_path / "p.svg").read_text()
    assert tersum(*words, "--csv").stdout.startswith("pairs,factor_1.5,factor_2\n2,")
    assert "factor 2: 13 panels" in tersum(*words).stdout
    assert tersum("trial", "power", "--factor", "1").returncode == 3


def test_a_comparison_is_drawn_beside_its_sentences(tmp_path):
    done = tersum("compare", TRIAL / "trial.csv", "--plan", TRIAL / "trial.toml", "--picture", tmp_path / "c.svg")
    assert done.returncode == 0 and "cloth A, 5 min leaves about" in done.stdout
    assert "cloth A, 5 min against water only: 0.21" in (tmp_path / "c.svg").read_text()


def test_an_arm_that_is_all_below_detection_ends_with_1_and_a_re_randomisation(tmp_path):
    rows = [f"van {n % 3},seat {n},{arm},{value}" for n in range(12)
            for arm, value in (("a", "<5"), ("b", 20 + n if n < 6 else "<5"))]
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\n" + "\n".join(rows))
    for more in ([], ["--margin", "1.25"]):
        done = tersum("compare", tmp_path / "t.csv", "--control", "b", *more)
        assert done.returncode == 1 and "Cannot tell a from b by a ratio" in done.stdout, done.stderr
        assert "Re-randomisation:" in done.stdout and "nan" not in done.stdout


CULTURE = ["--visits", "all", "--swab", "Demo Swab", "--area-cm2", "100", "--method", "culture", "--limit-cfu", "2.5",
           "--instrument", "Demo Meter"]


def plates(path, each, factor=6):
    rows = [f"{10 + 37 * n % 101},0,smooth" for n in range(each)]
    rows += [f"{factor * (10 + 37 * n % 101)},9,smooth" for n in range(each)]
    path.write_text("rlu,cfu,surface\n" + "\n".join(rows))


def test_a_cut_is_learnt_from_plates_and_written(tmp_path):
    plates(tmp_path / "p.csv", 40)
    done = tersum("limits", "learn", tmp_path / "p.csv", *CULTURE, "--out", tmp_path / "limits.toml")
    assert done.returncode == 0, done.stderr
    assert "separates best" in done.stdout and "turns no reading into a count" in done.stderr
    limit = read_limits(str(tmp_path / "limits.toml")).limits[0]
    body = json.loads(tersum("limits", "learn", tmp_path / "p.csv", *CULTURE, "--json").stdout)
    assert limit.surface == "smooth" and limit.rlu == pytest.approx(body["surfaces"][0]["cut"]["cut"])
    assert body["surfaces"][0]["above"] == body["surfaces"][0]["below"] == 40


def test_too_few_plates_or_light_that_tells_nothing_write_nothing(tmp_path):
    plates(tmp_path / "few.csv", 29)
    plates(tmp_path / "coin.csv", 40, factor=1)
    for name, said in (("few", "at or above the count: 29; needed are 30"), ("coin", "no better than a coin")):
        done = tersum("limits", "learn", tmp_path / f"{name}.csv", *CULTURE, "--out", tmp_path / "none.toml")
        assert done.returncode == 1 and said in done.stdout and "Nothing is written" in done.stderr
    assert not (tmp_path / "none.toml").exists()
    assert tersum("limits", "learn", tmp_path / "few.csv", *CULTURE[:8]).returncode == 2


def test_plates_of_visits_that_had_passed_give_no_cut(tmp_path):
    plates(tmp_path / "p.csv", 40)
    done = tersum("limits", "learn", tmp_path / "p.csv", "--visits", "passed", *CULTURE[2:])
    assert done.returncode == 1 and "had passed" in done.stdout and "separates best" not in done.stdout


@pytest.mark.parametrize(("rows", "more", "said"), [
    ("v,p,a,5\nv,p,a,6\nv,p,b,7", [], ["swab", "got 1;", "each swab once at v / p / a"]),
    ("v,p,b,5\nv,q,b,6", [], ["got b;", "two treatments or more"]),
    ("v,p,a,5\nv,p,c,6", ["--margin", "0.9"], ["--margin", "0.9", "control", "a, c"])])
def test_bad_input_is_told_in_one_sentence_each_and_all_at_once(tmp_path, rows, more, said):
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\n" + rows)
    done = tersum("compare", tmp_path / "t.csv", "--control", "b", *more)
    assert done.returncode == 3 and all(word in done.stderr for word in said), done.stderr


@pytest.mark.parametrize("value", ["<5", "7"])
def test_readings_that_tell_nothing_are_not_asked_for_in_greater_number(tmp_path, value):
    rows = "\n".join(f"v,{n},{arm},{value}" for n in range(8) for arm in "ab")
    (tmp_path / "t.csv").write_text("vehicle,panel,arm,after\n" + rows)
    done = tersum("compare", tmp_path / "t.csv", "--control", "b")
    assert done.returncode == 1 and "Cannot tell" in done.stdout and "pairs would find" not in done.stdout

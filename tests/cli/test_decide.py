"""``tersum decide``: tables of readings to verdicts, exit codes, JSON, files, and what bad input gets."""

import csv
import io
import json
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from tersum.cli import decide_output, output
from tersum.cli.main import run
from tersum.documents import sentences
from tersum.records.columns import COLUMNS
from tersum.records.export import decision_from
from tersum.visit.decision import VERDICTS

ROOT = Path(__file__).resolve().parents[2]
POINT_KEYS = {"point", "stage", "verdict", "reason", "n", "geometric_mean_rlu", "p_conform", "limit_rlu",
              "release_level_rlu", "looks_left", "reduction"}
REDUCTION_KEYS = {"factor", "percent", "log10", "low", "high", "operator", "met"}
LIMITS = """schema = "tersum/limits/1"
[[limit]]
instrument = "Demo Meter"
swab = "Demo Swab"
area_cm2 = 100
surface = "smooth"
rlu = 250
basis = "invented"
known = "practice"
[[limit]]
instrument = "Demo Meter"
swab = "Demo Swab"
area_cm2 = 100
surface = "rough"
rlu = 550
basis = "invented"
known = "practice"
"""
INSTRUMENT = """schema = "tersum/instrument/1"
type = "Demo Meter"
swab = "Demo Swab"
area_cm2 = 100
detection_rlu = 5
over_range_rlu = 9999
"""


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def decide(desk, capsys):
    """Run the command as from a shell; return exit code, stdout, stderr."""
    def call(readings, *words):
        if not isinstance(readings, Path):
            (desk / "r.csv").write_bytes(readings if isinstance(readings, bytes) else readings.encode())
            readings = "r.csv"
        with pytest.raises(SystemExit) as left:
            run(["decide", str(readings), *words])
        out, err = capsys.readouterr()
        return left.value.code or 0, out, err
    return call


@pytest.fixture
def answer(decide):
    """Run with --json; return exit code and body."""
    def call(readings, *words):
        code, out, err = decide(readings, *words, "--json")
        assert err == ""
        return code, json.loads(out)
    return call


def verdicts(body):
    return {one["point"]: one["verdict"] for one in body["points"]}


def rows(*lines, header="point,stage,rlu"):
    return "\n".join([header, *lines]) + "\n"


def test_every_point_done_is_exit_0(decide):
    code, out, _ = decide(rows("seat,cleaned,41", "wheel,cleaned,<5"), "--limit", "250")
    assert code == 0
    assert out.startswith("2 of 2 swabbed points at or below the release level; points not swabbed were not measured.")


def test_work_left_is_exit_1_and_stands_first(decide):
    code, out, _ = decide(rows("a,cleaned,41", "b,cleaned,190", "c,cleaned,251", "d,cleaned,900"), "--limit", "250")
    assert code == 1
    lines = [line for line in out.splitlines() if line[:1] in "abcd" and line[1:2] == " "]
    assert [line[0] for line in lines] == ["d", "c", "b", "a"]
    assert "900 RLU is above the limit of 250 RLU. Clean again, then swab." in lines[0]
    assert "190 RLU lies between the release level of 103 RLU and the limit of 250 RLU: too close to tell." in lines[2]


def test_json_has_the_agreed_keys_at_every_point(answer):
    code, body = answer(rows("seat,as_found,900", "seat,cleaned,41", "wheel,cleaned,1e3", "rail,as_found,7"),
                        "--limit", "250")
    assert code == 3
    assert body["schema"] == "tersum/decisions/1"
    assert (body["rule"]["name"], body["rule"]["version"]) == ("limit", 1)
    assert [one["point"] for one in body["points"]] == ["seat", "wheel", "rail"]
    for one in body["points"]:
        assert set(one) >= POINT_KEYS
        assert one["verdict"] in VERDICTS
        assert set(one["reason"]) == {"code", "parameters"}
    assert set(body["points"][0]["reduction"]) == REDUCTION_KEYS
    assert body["points"][0]["reduction"]["factor"] == pytest.approx(900 / 41, rel=1e-5)
    assert body["not_recorded"] == list(COLUMNS[3:])
    fault, = body["faults"]
    assert (fault["file"], fault["row"], fault["column"], fault["code"], fault["value"]) == (
        "r.csv", 4, "rlu", "not-a-number", "1e3")


def test_without_limit_nothing_is_released(answer):
    code, body = answer(rows("seat,cleaned,1"))
    assert code == 1
    assert verdicts(body) == {"seat": "no-limit-yet"}


def test_limit_alone_takes_the_book_spread_as_known(answer):
    _, body = answer(rows("seat,cleaned,103.36", "wheel,cleaned,103.37"), "--limit", "250")
    assert body["rule"]["spread"] == {"log10": 0.205, "basis": "book", "taken_as_known": True,
                                      "degrees_of_freedom": None}
    assert verdicts(body) == {"seat": "done", "wheel": "swab-again"}  # 250 * 10**(-1.871 * 0.205) = 103.36
    assert body["catalogue"][0]["known"] in ("read", "secondary", "computed")


def test_limit_may_be_typed_with_a_comma(answer):
    assert answer(rows("seat,cleaned,41"), "--limit", "250,5")[1]["points"][0]["limit_rlu"] == 250.5


def test_duplicates_of_the_instrument_make_the_level_stricter_than_a_known_spread(desk, answer):
    pairs = "duplicates = [" + ", ".join(["[100, 140]"] * 10) + "]\n"
    (desk / "i.toml").write_text(INSTRUMENT + pairs)
    (desk / "s.toml").write_text(INSTRUMENT + 'spread_log10 = 0.10333\ndegrees_of_freedom = "known"\n')
    own = answer(rows("seat,cleaned,41"), "--limit", "250", "--instrument", "i.toml")[1]
    known = answer(rows("seat,cleaned,41"), "--limit", "250", "--instrument", "s.toml")[1]
    assert own["rule"]["spread"]["degrees_of_freedom"] == 10
    assert own["rule"]["spread"]["log10"] == pytest.approx(0.10333, abs=1e-5)
    # Two looks: 2.08 times a spread from ten duplicates, 1.87 times a known one.
    assert own["points"][0]["release_level_rlu"] == pytest.approx(250 * 10 ** (-2.08 * 0.10333), rel=0.005)
    assert known["points"][0]["release_level_rlu"] == pytest.approx(250 * 10 ** (-1.87 * 0.10333), rel=0.005)


def test_few_duplicates_are_said_to_be_few(desk, decide):
    (desk / "i.toml").write_text(INSTRUMENT + "duplicates = [[100, 140], [90, 120]]\n")
    assert "Only 2 duplicate pairs" in decide(rows("seat,cleaned,41"), "--limit", "9", "--instrument", "i.toml")[2]


@pytest.mark.parametrize(("pairs", "said"), [("[100, 100], [400, 401]", True), ("[100, 140], [400, 401]", False)])
def test_duplicates_alike_to_a_step_are_remarked_and_spread_by_the_display(desk, decide, pairs, said):
    meter = desk / "meter.toml"
    meter.write_text('schema = "tersum/instrument/1"\ntype = "Meter A"\nswab = "Swab A"\narea_cm2 = 100\n'
                     f"duplicates = [{pairs}]\n")
    _, _, err = decide(rows("seat,cleaned,20"), "--limit", "250", "--instrument", str(meter))
    assert ("agree better than the display can show" in err) is said


def test_looks_stage_and_rule_are_those_asked_for(answer):
    table = rows("seat,cleaned,200", "seat,treated,120")
    assert answer(table, "--limit", "250", "--looks", "1")[1]["points"][0]["verdict"] == "clean-again"
    assert answer(table, "--limit", "250", "--stage", "treated")[1]["points"][0]["geometric_mean_rlu"] == 120
    assert answer(table, "--limit", "250", "--rule", "plain limit")[1]["points"][0]["verdict"] == "done"
    code, body = answer(rows("seat,as_found,9000", "seat,cleaned,40", "wheel,as_found,60", "wheel,cleaned,40"),
                        "--limit", "250", "--rule", "limit and reduction", "--reduction", "90")
    assert body["rule"]["reduction_target_log10"] == pytest.approx(1.0)
    assert verdicts(body) == {"seat": "done", "wheel": "clean-again"}
    assert code == 1


def test_the_agreed_reduction_is_not_shown_by_the_limit_alone(answer, decide):
    table = rows("a,cleaned,20", "b,as_found,2000", "b,cleaned,20", "c,as_found,30", "c,cleaned,20", "d,cleaned,900")
    words = ("--limit", "250", "--rule", "limit and reduction", "--reduction", "90")
    code, body = answer(table, *words)
    assert code == 1
    assert verdicts(body) == {"a": "not-read", "b": "done", "c": "done", "d": "clean-again"}
    assert body["points"][0]["reason"]["code"] == "as-found-not-read"
    out = decide(table, *words)[1]
    assert "The agreed rule needs a reading as found, and there is none. It cannot be read as found any more" in out


def test_a_point_not_read_at_the_deciding_stage_is_not_read(answer):
    assert verdicts(answer(rows("seat,as_found,7"), "--limit", "250")[1]) == {"seat": "not-read"}


def test_recorded_fault_is_not_counted_and_is_not_bad_input(answer):
    code, body = answer(rows("seat,cleaned,7,no", header="point,stage,rlu,dry"), "--limit", "250")
    assert (code, body["faults"]) == (1, [])
    assert verdicts(body) == {"seat": "not-counted"}


def test_not_counted_says_what_to_mend(decide):
    out = decide(rows("seat,cleaned,7,no", header="point,stage,rlu,rinsed"), "--limit", "250")[1]
    assert "chemical left on the surface upsets the reading. Rinse with water, dry, swab." in out


def test_third_clean_again_could_not_be_brought_below(answer):
    table = rows("s,cleaned,900,1", "s,cleaned,900,2", "s,cleaned,900,3", header="point,stage,rlu,round")
    assert verdicts(answer(table, "--limit", "250")[1]) == {"s": "could-not-be-brought-below"}


def test_point_with_a_row_left_out_says_so(decide):
    code, out, err = decide(rows("seat,cleaned,41", "seat,cleaned,1e3"), "--limit", "250")
    assert code == 3
    assert "0 of 1 swabbed point at or below" in out
    assert "Whether it is done cannot be told while rows of this point have a fault (1). Mend these rows" in out
    assert "row 3, column rlu" in err


def test_number_in_two_cells_is_refused_with_the_likely_cause(decide, answer):
    """1,234 without quotes under rlu,swab would read as 1 RLU of swab 234."""
    table = rows("seat,cleaned,1,234", "wheel,cleaned,40,1", header="point,stage,rlu,swab")
    code, out, err = decide(table, "--limit", "250")
    assert code == 3
    assert "r.csv, row 2, column swab: swab 234 of point seat has none before it" in err
    assert "such as 1,234, stands in quotes" in err
    assert verdicts(answer(table, "--limit", "250")[1]) == {"seat": "not-read", "wheel": "done"}


def test_number_in_two_cells_is_refused_as_a_round_too(decide):
    code, _, err = decide(rows("seat,cleaned,41,5", header="point,stage,rlu,round"), "--limit", "250")
    assert code == 3
    assert "round 5 of point seat has none before it" in err and "such as 41,5, stands" in err


def test_swabs_in_order_have_no_gap_whatever_the_order_of_the_rows(answer):
    table = rows("a,cleaned,40,1,2", "a,cleaned,41,1,1", "a,as_found,900,1,1", "b,cleaned,900,1,1", "b,cleaned,30,2,1",
                 "b,treated,30,2,1", header="point,stage,rlu,round,swab")
    code, body = answer(table, "--limit", "250")
    assert (code, body["faults"]) == (0, [])


def test_swab_missing_in_between_is_a_fault_once(answer):
    table = rows("a,cleaned,40,1", "a,cleaned,41,3", "a,cleaned,41,4", header="point,stage,rlu,swab")
    code, body = answer(table, "--limit", "250")
    assert [(one["row"], one["column"], one["code"]) for one in body["faults"]] == [
        (3, "swab", "gap"), (4, "swab", "gap")]
    assert verdicts(body) == {"a": "not-read"}


def test_point_with_a_row_left_out_is_never_done_and_else_keeps_its_verdict(answer):
    code, body = answer(rows("a,cleaned,41", "a,cleaned,1e3", "b,cleaned,900", "b,cleaned,x", "c,cleaned,41"),
                        "--limit", "250")
    assert code == 3
    assert verdicts(body) == {"a": "not-read", "b": "clean-again", "c": "done"}
    assert body["points"][0]["reason"] == {"code": "rows-left-out", "parameters": {"rows": 1}}


def test_absent_columns_are_said_once_each(decide):
    err = decide(rows("a,cleaned,4", "b,cleaned,4"), "--limit", "250")[2]
    for column in COLUMNS[3:]:
        assert err.count(f"{column}:") + err.count(f" {column},") + err.count(f" {column}.") >= 1, column
    assert err.count("rinsed: not recorded; chemical left on the surface upsets the reading") == 1


@pytest.mark.parametrize(("words", "part"), [
    (["--limit", "0"], "--limit is out of range: got 0; accepted: more than 0, to 1000000000."),
    (["--limit", "-5"], "--limit is out of range: got -5; accepted: more than 0"),
    (["--limit", "1,234"], "--limit can be read two ways: got 1,234; write 1234 or 1.2340, whichever is meant."),
    (["--limit", "1e3"], "--limit has an exponent: got 1e3"),
    (["--limit", "250", "--limits", "x.toml"], "Give either --limit or --limits, not both."),
    (["--rule", "limit and reduction"], 'The rule "limit and reduction" needs --reduction.'),
    (["--rule", "guess"], "'guess' is not one of"),
    (["--reduction", "100"], "--reduction is out of range: got 100"),
    (["--looks", "0"], "0 is not in the range"),
    (["--stage", "as_found"], "'as_found' is not one of"),
    (["--zone", "Mars/Base"], "--zone is out of range: got Mars/Base; accepted: a name of the time zone database"),
    (["--zone", "../../etc/passwd"], "--zone is out of range"),
    (["--nonsense"], "No such option"),
])
def test_misuse_is_exit_2(decide, words, part):
    code, out, err = decide(rows("seat,cleaned,41"), *words)
    assert code == 2
    assert part in err
    assert out == ""


def test_missing_readings_are_exit_4_and_a_folder_3(decide, desk):
    code, out, err = decide(Path("none.csv"), "--limit", "250")
    assert (code, out) == (4, "")
    assert err == "none.csv: there is no such file; accepted: the path of an existing file.\n"
    code, _, err = decide(desk, "--limit", "250")
    assert code == 3
    assert err.endswith(": this is a folder; accepted: a file.\n")


def test_missing_readings_are_told_in_the_same_json(answer):
    code, body = answer(Path("none.csv"), "--limit", "250")
    assert code == 4
    assert body["points"] == []
    assert body["faults"][0]["code"] == "not-found"


def test_faults_of_all_files_come_at_once(desk, decide):
    (desk / "l.toml").write_text(LIMITS.replace("rlu = 250", "rlu = -1"))
    (desk / "i.toml").write_text(INSTRUMENT.replace("detection_rlu = 5", "detection_rlu = 'x'"))
    code, out, err = decide(rows("seat,cleaned,1e3"), "--limits", "l.toml", "--instrument", "i.toml")
    assert (code, out) == (3, "")
    assert [line.split(":")[0] for line in err.splitlines()] == ["l.toml", "i.toml", "r.csv, row 2, column rlu"]


def test_limits_are_chosen_by_instrument_and_surface(desk, answer):
    (desk / "l.toml").write_text(LIMITS)
    header = "point,stage,rlu,surface,instrument"
    code, body = answer(rows("a,cleaned,41,smooth,Demo Meter", "b,cleaned,41,rough,Demo Meter",
                             "c,cleaned,41,textile,Demo Meter", "d,cleaned,41,,Demo Meter", header=header),
                        "--limits", "l.toml")
    assert [one["limit_rlu"] for one in body["points"]] == [250, 550, None, None]
    assert verdicts(body) == {"a": "done", "b": "done", "c": "no-limit-yet", "d": "no-limit-yet"}
    assert (code, body["faults"]) == (1, [])


def test_limit_of_another_instrument_is_a_fault_and_releases_nothing(desk, answer):
    (desk / "l.toml").write_text(LIMITS)
    header = "point,stage,rlu,surface,instrument"
    code, body = answer(rows("a,cleaned,41,smooth,Demo Meter", "b,cleaned,41,smooth,Other Meter", header=header),
                        "--limits", "l.toml")
    assert code == 3
    assert verdicts(body) == {"a": "done", "b": "no-limit-yet"}
    assert body["faults"][0]["sentence"] == (
        "r.csv, row 3, column instrument: no limit in l.toml belongs to the instrument: got Other Meter; accepted: an "
        "instrument that the limits are of (Demo Meter, Demo Swab, 100 cm2).")


def test_limit_of_another_swab_or_area_is_a_fault(desk, answer):
    (desk / "l.toml").write_text(LIMITS)
    (desk / "i.toml").write_text(INSTRUMENT.replace("100", "25"))
    code, body = answer(rows("a,cleaned,41,smooth", header="point,stage,rlu,surface"), "--limits", "l.toml",
                        "--instrument", "i.toml")
    assert code == 3
    assert verdicts(body) == {"a": "no-limit-yet"}
    assert "got Demo Meter, Demo Swab, 25 cm2" in body["faults"][0]["sentence"]


def test_limits_that_readings_cannot_tell_apart_are_a_fault(desk, answer):
    (desk / "l.toml").write_text(LIMITS + LIMITS.split("\n", 1)[1].replace("Demo Swab", "Other Swab"))
    code, body = answer(rows("a,cleaned,41,smooth", header="point,stage,rlu,surface"), "--limits", "l.toml")
    assert code == 3
    assert verdicts(body) == {"a": "no-limit-yet"}
    assert "more than one limit for the same surface" in body["faults"][0]["sentence"]


def test_one_limit_for_two_instruments_is_a_fault_and_releases_nothing(answer):
    code, body = answer(rows("a,cleaned,4,Meter A", "b,cleaned,4,Meter B", header="point,stage,rlu,instrument"),
                        "--limit", "250")
    assert code == 3
    assert verdicts(body) == {"a": "no-limit-yet", "b": "no-limit-yet"}
    assert "got Meter B after Meter A" in body["faults"][0]["sentence"]


def test_over_range_and_detection_of_the_instrument_hold(desk, answer):
    (desk / "i.toml").write_text(INSTRUMENT)
    code, body = answer(rows("a,cleaned,3", "b,cleaned,10000", "c,cleaned,>9999"), "--limit", "250",
                        "--instrument", "i.toml")
    assert code == 3
    assert body["points"][0]["mean_operator"] == "<="
    assert verdicts(body) == {"a": "done", "b": "not-read", "c": "clean-again"}
    assert "at most 9999 RLU, the meter's range" in body["faults"][0]["sentence"]


def test_files_are_written_whole_with_the_same_decisions(desk, answer):
    table = rows("=cmd|' /C calc'!A0,cleaned,41", "b|c,cleaned,900", "<script>,as_found,7")
    code, body = answer(table, "--limit", "250", "--out", "out/x")
    assert code == 1
    out = desk / "out" / "x"
    assert sorted(path.name for path in out.iterdir()) == ["decisions.csv", "decisions.json", "decisions.md"]
    assert json.loads((out / "decisions.json").read_text()) == body
    read = list(csv.DictReader(io.StringIO((out / "decisions.csv").read_text())))
    assert [one["verdict"] for one in read] == [one["verdict"] for one in body["points"]]
    assert read[0]["point"] == "'=cmd|' /C calc'!A0"
    page = (out / "decisions.md").read_text()
    assert "b\\|c" in page
    assert "<script>" not in page


def test_nothing_is_written_where_nothing_could_be_decided(desk, answer):
    code, body = answer(b"", "--limit", "250", "--out", "out")
    assert code == 3
    assert body["points"] == []
    assert not (desk / "out").exists()


def test_good_rows_are_written_beside_faults(desk, answer):
    assert answer(rows("a,cleaned,4", "b,cleaned,x"), "--limit", "250", "--out", "out")[0] == 3
    assert len(json.loads((desk / "out" / "decisions.json").read_text())["points"]) == 2


def tersum(*words, stdin=None, **environment):
    return subprocess.run([sys.executable, "-m", "tersum", *words], input=stdin, capture_output=True, cwd=ROOT,
                          env={**os.environ, **environment}, timeout=120)


def test_dash_reads_the_standard_input():
    done = tersum("decide", "-", "--limit", "250", "--json", stdin=b"point,stage,rlu\nseat,cleaned,4\nx,cleaned,y\n")
    body = json.loads(done.stdout)
    assert done.returncode == 3
    assert body["faults"][0]["file"] == "stdin"
    assert verdicts(body) == {"seat": "done", "x": "not-read"}


def test_locale_changes_no_verdict():
    table = b"point;stage;rlu\na;cleaned;41,5\nb;cleaned;190\nc;cleaned;1e3\n"
    bodies = []
    for environment in ({"LC_ALL": "C"}, {"LC_ALL": "de_DE.UTF-8", "TERSUM_LANG": ""}, {"LC_ALL": "tr_TR.UTF-8"},
                        {"TERSUM_LANG": "en-XA"}, {"LANG": "ar_EG"}):
        done = tersum("decide", "-", "--limit", "250", "--json", stdin=table, **environment)
        bodies.append(json.loads(done.stdout)["points"])
    assert all(body == bodies[0] for body in bodies)


def test_no_colour_codes_leave_a_pipe():
    done = tersum("decide", "examples/minibus-2/readings.csv", "--limit", "250")
    assert done.returncode == 1
    assert b"\x1b" not in done.stdout + done.stderr


def test_reader_that_goes_away_is_no_failure():
    command = f"{sys.executable} -m tersum decide examples/minibus-2/readings.csv --limit 250 --json | head -c 1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, cwd=ROOT, timeout=120)
    assert (done.stdout, done.stderr) == (b"{", b"")


def test_decide_of_a_small_table_loads_no_heavy_package():
    code = ("import sys; sys.argv = ['tersum', 'decide', 'examples/minibus-2/readings.csv', '--limit', '250'];"
            "from tersum.cli.main import run\ntry: run()\nexcept SystemExit: pass\n"
            "heavy = [n for n in ('scipy.stats', 'scipy.optimize', 'sqlalchemy', 'rich', 'statsmodels', 'alembic', "
            "'sqlite3', 'jinja2', 'chemicals') if n in sys.modules]; assert not heavy, heavy")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=ROOT, text=True, timeout=120)
    assert done.returncode == 0, done.stderr


def test_order_of_rows_changes_no_verdict(answer):
    header = "point,stage,rlu,round,swab,dry"
    lines = [f"p{point},{stage},{(37 * point + 91 * swab + 5 * round_) % 600},{round_},{swab},"
             f"{'no' if (point + swab) % 5 == 0 else ''}"
             for point in range(12) for stage in ("as_found", "cleaned") for round_ in (1, 2) for swab in (1, 2)]
    first = {one["point"]: one for one in answer(rows(*lines, header=header), "--limit", "250")[1]["points"]}
    for seed in range(3):
        random.Random(seed).shuffle(lines)
        again = {one["point"]: one for one in answer(rows(*lines, header=header), "--limit", "250")[1]["points"]}
        assert again == first


def test_every_decision_of_the_examples_has_a_sentence(answer):
    for name in ("minibus-1", "minibus-2", "minibus-3", "day-room"):
        for words in ((), ("--limit", "250"), ("--limit", "20", "--rule", "limit and reduction", "--reduction", "99")):
            for one in answer(ROOT / "examples" / name / "readings.csv", *words)[1]["points"]:
                decision = decision_from(one)
                assert "{" not in sentences.why(decision) + sentences.what_next(decision)


def test_many_points_are_shown_worst_first_and_all_written(desk, decide):
    table = rows(*(f"p{number},cleaned,{number % 300 + 1}" for number in range(5000)))
    code, out, _ = decide(table, "--limit", "250", "--out", "out")
    assert code == 1
    assert "... and 4000 more points; --json and --out have all of them." in out
    shown = [line.split()[0] for line in out.splitlines() if line.startswith("p") and line[1:2].isdigit()]
    assert len(shown) == 1000
    assert shown[0] == "p299"
    written = json.loads((desk / "out" / "decisions.json").read_text())["points"]
    assert [one["point"] for one in written] == [f"p{number}" for number in range(5000)]


def test_narrow_terminal_has_the_sentences_below_the_numbers(decide, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    for module in (decide_output, output):
        monkeypatch.setattr(module, "terminal_columns", lambda: 80)
    out = decide(rows("driver's door handle,cleaned,194"), "--limit", "250")[1]
    assert "driver's door handle  swab again  194            103    250      1" in out
    assert "driver's door handle: 194 RLU lies between the release level of 103 RLU and the\n  limit of 250 RLU" in out


def test_one_point_is_no_points(decide):
    out = decide(rows("seat,as_found,41"), "--limit", "250")[1]
    assert "1 of 1 point named in the table has no reading that counts." in out

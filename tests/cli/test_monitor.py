"""``tersum monitor``: what it prints and draws, its exit codes, and bad input."""

import json
from pathlib import Path

import pytest

from cli.test_compare import tersum

HISTORY = Path(__file__).resolve().parents[2] / "examples" / "monitoring" / "history.csv"
AGAIN = HISTORY.with_name("again.csv")
STREAM = "smooth / Demo Meter"


@pytest.mark.parametrize("rule", ["individuals", "ewma", "cusum"])
def test_a_chart_has_one_rule_with_its_run_length(rule, tmp_path):
    picture = tmp_path / "chart.svg"
    done = tersum("monitor", "chart", HISTORY, "--rule", rule, "--stream", STREAM, "--json", "--picture", picture)
    body = json.loads(done.stdout)["streams"][0]
    assert body["kind"] == rule and body["run_length"] > 300 and "rings for nothing" in " ".join(body["sentences"])
    assert "<svg" in picture.read_text() and done.returncode == (1 if body["signals"] else 0)


def test_the_demo_shift_is_found_by_the_weighted_mean():
    done = tersum("monitor", "chart", HISTORY, "--stream", STREAM)
    assert done.returncode == 1 and "Higher than before" in done.stdout


def test_csv_comes_out():
    done = tersum("monitor", "chart", HISTORY, "--stream", STREAM, "--csv")
    assert done.stdout.splitlines()[0] == "stream,visit,value_log10,drawn,lower,upper,signal"
    assert len(done.stdout.splitlines()) == 37


def test_counts_of_small_groups_are_exact(tmp_path):
    done = tersum("monitor", "counts", AGAIN, "--json", "--picture", tmp_path / "c.png")
    body = json.loads(done.stdout)
    assert body["exact"] and body["signals"] and done.returncode == 1 and (tmp_path / "c.png").stat().st_size > 1000
    plain = tmp_path / "faults.csv"
    plain.write_text("at,count\n" + "".join(f"2026-01-{day:02d},{day % 3}\n" for day in range(1, 29)))
    assert json.loads(tersum("monitor", "counts", plain, "--json").stdout)["kind"] == "count"


def test_places_are_in_the_order_of_names_and_never_ranked():
    body = json.loads(tersum("monitor", "funnel", HISTORY, "--limit", "120", "--stage", "as_found", "--json").stdout)
    names = [one["name"] for one in body["units"]]
    assert names == sorted(names) and body["units"][1]["verdict"] == "outside"
    assert "no ranking" in " ".join(body["sentences"])


def test_people_are_compared_on_request_and_after_their_mix_alone(tmp_path):
    assert json.loads(tersum("monitor", "funnel", HISTORY, "--limit", "40", "--people", "--json").stdout)["people"]
    bare = tmp_path / "bare.csv"
    bare.write_text("at,place,point,stage,rlu,person\n2026-01-01,v,a,cleaned,30,P\n2026-01-02,v,a,cleaned,70,Q\n")
    done = tersum("monitor", "funnel", bare, "--limit", "40", "--people")
    assert done.returncode == 3 and "mix of work" in done.stderr


def test_points_that_come_back_dirty_are_named():
    body = json.loads(tersum("monitor", "returns", HISTORY, "--limit", "120", "--json").stdout)
    assert ("Example Minibus 2", "belt buckle") in {(one["place"], one["point"]) for one in body["points"]
                                                    if one["returns"]}


def test_dirt_carried_along_the_wiping_is_found(tmp_path):
    rows = ["at,place,point,stage,rlu,turn"]
    for visit in range(6):
        for turn in range(1, 9):
            level = 20 + 3 * ((visit * 7 + turn * 5) % 4) + (12 * turn if visit == 5 else 0)
            rows.append(f"2026-01-{visit + 1:02d},van,point {turn},cleaned,{level},{turn}")
    table = tmp_path / "h.csv"
    table.write_text("\n".join(rows))
    done = tersum("monitor", "wiping", table)
    assert done.returncode == 1 and "Swab the cloth" in done.stdout
    assert tersum("monitor", "wiping", HISTORY).returncode == 0


def test_the_next_visit_comes_from_the_upper_prediction(tmp_path):
    done = tersum("monitor", "resoiling", HISTORY, "--limit", "120", "--json", "--picture", tmp_path / "r.svg")
    body = json.loads(done.stdout)
    assert {one["basis"] for one in body["due"]} == {"own"} and all(one["date"] > "2026-05" for one in body["due"])
    assert body["due"][1]["days"] < body["due"][0]["days"] <= body["longest_days"]


@pytest.mark.parametrize(("words", "code", "said"), [
    (["chart", HISTORY, "--stream", "none"], 3, "accepted: smooth"),
    (["chart", HISTORY, "--stage", "treated"], 3, "as_found, cleaned"),
    (["chart", HISTORY, "--picture", "x.svg"], 2, "--stream"), (["chart", "none.csv"], 4, "no such file"),
    (["chart", HISTORY, "--stream", STREAM, "--picture", "x.bmp"], 3, ".svg"),
    (["funnel", HISTORY], 3, "limit"), (["funnel", HISTORY, "--limit", "1,234"], 2, "two ways"),
    (["resoiling", HISTORY, "--limit", "0"], 2, "more than 0")])
def test_misuse_says_what_would_do(words, code, said):
    done = tersum("monitor", *words)
    assert done.returncode == code and said in done.stderr and "Traceback" not in done.stderr


def test_bad_histories_tell_all_faults_at_once(tmp_path):
    table = tmp_path / "bad.csv"
    table.write_text("at,place,point,stage,rlu\nyesterday,v,a,cleaned,30\n2026-01-01,,a,washed,-1\n2026-01-01,v\n")
    done = tersum("monitor", "chart", table)
    assert done.returncode == 3
    for said in ("row 2", "not a date", "row 3", "place", "stage", "rlu", "row 4"):
        assert said in done.stderr


@pytest.mark.parametrize(("rlu", "said"), [("<5", "share above it"), ("40", "all equal")])
def test_all_censored_and_constant_histories_cannot_be_told(tmp_path, rlu, said):
    table = tmp_path / "h.csv"
    table.write_text("at,place,point,stage,rlu\n" + "".join(
        f"2026-{1 + n // 28:02d}-{1 + n % 28:02d},v,a,cleaned,{rlu}\n" for n in range(40)))
    done = tersum("monitor", "chart", table)
    assert done.returncode == 1 and "Cannot tell" in done.stdout and said in done.stdout


def test_one_place_makes_no_funnel_and_few_visits_no_chart(tmp_path):
    table = tmp_path / "h.csv"
    table.write_text("at,place,point,stage,rlu\n2026-01-01,v,a,cleaned,30\n2026-01-02,v,a,cleaned,70\n")
    done = tersum("monitor", "funnel", table, "--limit", "40")
    assert done.returncode == 3 and "two or more" in done.stderr
    assert "at least 20" in tersum("monitor", "chart", table).stdout
    assert "3 or more" in tersum("monitor", "resoiling", table, "--limit", "40").stderr

"""``tersum sampling``, ``residue`` and ``agreement``: what they print, their exit codes, and bad input."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.test_compare import tersum
from tersum.cli import output
from tersum.cli.main import tersum as main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SPIKES, PAIRS = EXAMPLES / "residue" / "spikes.csv", EXAMPLES / "agreement" / "pairs.csv"
PLATES, POINTS = EXAMPLES / "agreement" / "plates.csv", EXAMPLES / "sampling" / "points.csv"


def test_a_recovery_that_is_unknown_is_said_first():
    done = tersum("residue", SPIKES)
    assert done.returncode == 1
    assert done.stdout.startswith("Not known how much Demo Cleaner C") and "says nothing yet" in done.stdout
    assert "rinse with water, dry, swab" in done.stdout and "never on a customer's surface" in done.stdout


def test_residue_as_json_and_csv():
    body = json.loads(tersum("residue", SPIKES, "--json").stdout)
    assert body["groups"][0]["verdict"] == "unknown" and body["schema"] == "tersum/residue/1"
    assert tersum("residue", SPIKES, "--csv").stdout.startswith("chemistry,surface")


def test_light_is_never_turned_into_colonies():
    done = tersum("agreement", PLATES, "--limit-rlu", "100", "--limit-cfu", "2.5", "--convert", "100")
    assert done.returncode == 5 and "never converted" in done.stderr and not done.stdout
    told = tersum("agreement", PLATES, "--limit-rlu", "100", "--limit-cfu", "2.5")
    assert "kappa" in told.stdout and "above by light alone" in told.stdout and "never converted" in told.stdout


def test_two_instruments_convert_from_40_pairs_within_their_range(tmp_path):
    done = tersum("agreement", PAIRS, "--convert", "200", "--json")
    body = json.loads(done.stdout)
    assert body["converted"]["low"] < body["converted"]["to"] < body["converted"]["high"]
    assert tersum("agreement", PAIRS, "--convert", "99999").returncode == 3
    few = tmp_path / "few.csv"
    few.write_text("\n".join(PAIRS.read_text().splitlines()[:21]))
    done = tersum("agreement", few, "--convert", "200")
    assert done.returncode == 1 and "No conversion: 20 pairs, 40 needed" in done.stdout


@pytest.mark.parametrize(("rows", "said"), [
    ("first,second\n<5,<5\n<5,<5\n", "Cannot tell: 0 pairs"), ("first,second\n" + "40,90\n" * 8, "one number"),
    ("rlu,cfu\n40,0\n90,0\n", "call all of them clean")])
def test_censored_constant_and_one_kind_cannot_be_told(tmp_path, rows, said):
    table = tmp_path / "t.csv"
    table.write_text(rows)
    done = tersum("agreement", table, "--limit-rlu", "50", "--limit-cfu", "2")
    assert done.returncode == 1 and said in done.stdout


def test_half_filled_tables_tell_all_faults(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("first,second,cfu\n40,,\n,50,\n40,50,3\n")
    done = tersum("agreement", table)
    assert done.returncode == 3 and done.stderr.count("row ") >= 3
    spikes = tmp_path / "s.csv"
    spikes.write_text("chemistry,surface,instrument,stage,kind,unspiked,spiked,spike\nA,s,M,treated,swab,10,,\n")
    done = tersum("residue", spikes)
    assert done.returncode == 3 and "spiked" in done.stderr and "spike:" in done.stderr


def test_points_are_stated_and_planned():
    assert "at most 7 of the 40" in tersum("sampling", "points", "--points", 40, "--swabbed", 12, "--found", 0).stdout
    assert json.loads(tersum("sampling", "points", "--points", 100, "--failing", 10, "--json").stdout)["needed"] == 25
    assert "second look" in tersum("sampling", "points", "--points", 9, "--failing", 1, "--sensitivity", 0.5).stdout
    assert tersum("sampling", "points", "--points", 9).returncode == 2
    assert tersum("sampling", "points", "--points", 9, "--swabbed", 12, "--found", 0).returncode == 3


def test_a_series_is_planned_with_its_curve(tmp_path):
    done = tersum("sampling", "series", "--good", 1, "--bad", 10, "--json", "--picture", tmp_path / "c.svg")
    assert json.loads(done.stdout)["n"] == 52 and "<svg" in (tmp_path / "c.svg").read_text()
    assert tersum("sampling", "series", "--good", 10, "--bad", 1).returncode == 3


def test_a_draw_is_sealed_and_then_revealed(tmp_path):
    seed = tmp_path / "seed.txt"
    words = ("sampling", "draw", POINTS, "--draw", 4, "--seed-file", seed, "--json")
    assert tersum(*words, "--reveal").returncode == 3
    sealed = json.loads(tersum(*words).stdout)
    shown = json.loads(tersum(*words, "--reveal").stdout)
    assert sealed["commitment"] == shown["commitment"] and sealed["seed_hex"] is None
    assert all(one["names"] is None for one in sealed["strata"])
    assert sum(len(one["names"]) for one in shown["strata"]) == 4


@pytest.mark.parametrize("words", [("residue", SPIKES), ("agreement", PAIRS),
                                   ("sampling", "points", "--points", "40", "--swabbed", "12", "--found", "0"),
                                   ("monitor", "wiping", EXAMPLES / "monitoring" / "history.csv")])
def test_sentences_fold_on_a_narrow_terminal_and_lose_no_word(words, monkeypatch):
    told = [str(word) for word in words]
    whole = CliRunner().invoke(main, told)
    monkeypatch.setattr(output, "terminal_columns", lambda: 80)
    monkeypatch.setenv("NO_COLOR", "1")
    folded = CliRunner().invoke(main, told)
    assert any(len(line) > 80 for line in whole.stdout.splitlines())
    assert all(len(line) <= 80 for line in folded.stdout.splitlines())
    assert folded.exit_code == whole.exit_code
    letters = [sorted("".join(text.stdout.split()).replace("-", "")) for text in (whole, folded)]
    assert letters[0] == letters[1] != []


def test_a_table_without_rows_never_passes(tmp_path):
    bare = tmp_path / "bare.csv"
    bare.write_text(SPIKES.read_text().splitlines()[0] + "\n")
    assert tersum("residue", bare).returncode != 0
    bare.write_text("")
    done = tersum("agreement", bare)
    assert done.returncode == 3 and "first and second, or rlu and cfu" in done.stderr and not done.stdout

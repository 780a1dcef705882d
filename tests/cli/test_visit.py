"""``tersum visit``: the demo visits from plan to decision, and what bad input gets."""

import hashlib
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def tersum(*words, ok=None, cwd=ROOT):
    done = subprocess.run([sys.executable, "-m", "tersum", *words], capture_output=True, text=True, cwd=cwd)
    if ok is not None:
        assert done.returncode == ok, done.stdout + done.stderr
    return done


def run(name, out, *more, ok=None):
    return tersum("visit", "run", f"examples/{name}/visit.toml", "--readings", f"examples/{name}/readings.csv",
                  "--out", str(out), *more, ok=ok)


@pytest.mark.parametrize(("name", "code", "ending"), [
    ("minibus-1", 0, "finished"), ("minibus-2", 1, "open"), ("minibus-3", 1, "handed-over-with-open-points"),
    ("day-room", 1, "open")])
def test_demo_visit_ends_as_told(tmp_path, name, code, ending):
    done = run(name, tmp_path / "out", "--json", ok=code)
    body = json.loads(done.stdout)
    assert body["ending"]["kind"] == ending
    assert (tmp_path / "out" / "decisions.json").exists()
    assert json.loads((tmp_path / "out" / "decisions.json").read_text())["points"] == body["points"]
    tersum("ledger", "check", ok=0)


def test_work_list_names_point_reason_and_what_to_do(tmp_path):
    done = run("minibus-2", tmp_path / "out", ok=1)
    assert "dashboard shelf: 130 RLU lies between" in done.stdout
    assert "Swab a fresh area beside the last one." in done.stdout
    assert "seen wet for 4 min without a break; the label asks for 5 min" in done.stdout


def test_room_without_a_limit_keeps_its_readings_for_the_baseline(tmp_path):
    done = run("day-room", tmp_path / "out", ok=1)
    assert "8 swabbed points have no limit yet" in done.stdout
    assert "Baseline, smooth: 6 readings in this visit" in done.stdout


def test_same_run_again_adds_no_fact(tmp_path):
    run("minibus-1", tmp_path / "out", ok=0)
    before = json.loads(tersum("ledger", "check", "--json", ok=0).stdout)["head"]
    run("minibus-1", tmp_path / "out", ok=0)
    assert json.loads(tersum("ledger", "check", "--json", ok=0).stdout)["head"] == before


def test_plan_shows_cost_and_chance_but_neither_seed_nor_drawn_points(tmp_path):
    done = tersum("visit", "plan", "examples/minibus-1/visit.toml", "--out", str(tmp_path / "out"), ok=0)
    assert "Swabs: 10 (6 deciding, 2 as found, 1 duplicate, 1 blank)" in done.stdout
    assert re.search(r"a third of its limit is released at the first swab in \d+% of cases, one cleaned to a fifth",
                     done.stdout)
    written = (tmp_path / "out" / "plan.json").read_text()
    seed = re.search(r'seed_hex = "(\w+)"', (ROOT / "examples/minibus-1/visit.toml").read_text()).group(1)
    assert seed not in written + done.stdout
    assert "1 + 20" in (tmp_path / "out" / "mixing-card.md").read_text()


def test_plan_without_a_seed_makes_one_and_reveals_the_same_points_every_time(tmp_path):
    text = re.sub(r"seed_hex = .*\n", "", (ROOT / "examples/minibus-1/visit.toml").read_text())
    (tmp_path / "visit.toml").write_text(text)
    tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=0)
    first = json.loads(tersum("visit", "reveal", str(tmp_path / "visit.toml"), "--json", ok=0).stdout)
    assert len(first["points"]) == 6
    assert json.loads(tersum("visit", "reveal", str(tmp_path / "visit.toml"), "--json", ok=0).stdout) == first


def test_changed_plan_under_a_sealed_name_is_refused(tmp_path):
    run("minibus-1", tmp_path / "out", ok=0)
    text = (ROOT / "examples/minibus-1/visit.toml").read_text().replace("rlu = 240", "rlu = 2400")
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=6)
    assert "is sealed and differs" in done.stderr


@pytest.mark.parametrize("as_json", [True, False])
def test_readings_with_faults_show_no_verdict_and_put_nothing_on_record(tmp_path, as_json):
    rows = (ROOT / "examples/minibus-1/readings.csv").read_text().replace(",18,smooth", ",1e3,smooth")
    (tmp_path / "readings.csv").write_text(rows)
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "readings.csv"),
                  "--out", str(tmp_path / "out"), *(["--json"] if as_json else []), ok=3)
    if as_json:
        body = json.loads(done.stdout)
        assert (body["points"], body["statement"], body["ending"]) == ([], None, None)
        assert [one["column"] for one in body["faults"]] == ["rlu"]
    else:
        assert re.search(r"readings.csv, row \d+, column rlu: rlu has an exponent: got 1e3", done.stderr)
        assert done.stdout == ""
    assert not (tmp_path / "out" / "decisions.json").exists()
    facts = json.loads(tersum("ledger", "show", "--json", ok=0).stdout)
    assert not [one for one in facts["facts"] if one["type"] in ("readings-taken", "visit-decided", "draw-revealed")]


def test_reading_of_another_surface_than_planned_is_a_fault(tmp_path):
    rows = (ROOT / "examples/minibus-1/readings.csv").read_text().replace(",18,smooth", ",18,rough")
    (tmp_path / "readings.csv").write_text(rows)
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "readings.csv"),
                  "--out", str(tmp_path / "out"), ok=3)
    assert re.search(r"column surface: surface is out of range: got rough; accepted: smooth, which the plan has for .",
                     done.stderr)


def before_any_work(tmp_path):
    """A visit file without a seed, of which nothing is carried out yet."""
    text = re.sub(r"seed_hex = .*\n", "", (ROOT / "examples/minibus-1/visit.toml").read_text())
    (tmp_path / "visit.toml").write_text(text[:text.index("[[carried_out]]")])
    return str(tmp_path / "visit.toml"), text


def test_draw_is_not_shown_before_any_step_is_on_record(tmp_path):
    visit, whole = before_any_work(tmp_path)
    tersum("visit", "plan", visit, "--out", str(tmp_path / "out"), ok=0)
    done = tersum("visit", "reveal", visit, ok=6)
    assert "The draw of visit minibus-1 is shown after the cleaning, and nothing of it is on record" in done.stderr
    (tmp_path / "visit.toml").write_text(whole)
    assert len(json.loads(tersum("visit", "reveal", visit, "--json", ok=0).stdout)["points"]) == 6


def test_readings_as_found_alone_do_not_show_the_draw(tmp_path):
    visit, _ = before_any_work(tmp_path)
    head, *rows = (ROOT / "examples/minibus-1/readings.csv").read_text().splitlines(keepends=True)
    (tmp_path / "readings.csv").write_text(head + "".join(row for row in rows if "as_found" in row))
    words = ("visit", "run", visit, "--readings", str(tmp_path / "readings.csv"), "--out", str(tmp_path / "out"))
    body = json.loads(tersum(*words, "--json", ok=1).stdout)
    assert len(body["points"]) == 4
    facts = json.loads(tersum("ledger", "show", "--json", ok=0).stdout)["facts"]
    assert "draw-revealed" not in {one["type"] for one in facts}


def test_seed_in_a_file_that_is_not_invented_is_refused_and_not_repeated(tmp_path):
    text = (ROOT / "examples/minibus-1/visit.toml").read_text().replace("invented = true", "invented = false")
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=3)
    assert "draw: seed_hex is out of range: got a seed; accepted: none" in done.stderr
    assert "5b1f0c7e" not in done.stderr


def test_planned_duplicate_with_one_swab_is_remarked(tmp_path):
    rows = (ROOT / "examples/minibus-1/readings.csv").read_text().splitlines(keepends=True)
    kept = [row for row in rows if not row.startswith("steering wheel,cleaned,1,2")]
    (tmp_path / "readings.csv").write_text("".join(kept))
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "readings.csv"),
                  "--out", str(tmp_path / "out"))
    assert "steering wheel: two swabs were planned from the start, and one counts." in done.stderr


def test_refused_ending_says_that_the_readings_are_on_record(tmp_path):
    text = (ROOT / "examples/minibus-2/visit.toml").read_text() + '\n[ending]\nkind = "finished"\n'
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "run", str(tmp_path / "visit.toml"), "--readings", "examples/minibus-2/readings.csv",
                  "--out", str(tmp_path / "out"), ok=3)
    assert "points still open" in done.stderr
    assert "The readings are on record; only the ending is refused." in done.stderr


def test_reading_at_a_point_outside_the_plan_is_a_fault(tmp_path):
    rows = (ROOT / "examples/minibus-1/readings.csv").read_text().replace("entry handrail", "entry handrial")
    (tmp_path / "readings.csv").write_text(rows)
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "readings.csv"),
                  "--out", str(tmp_path / "out"), ok=3)
    assert "did you mean entry handrail" in done.stderr


def test_reading_of_another_instrument_is_a_fault(tmp_path):
    rows = (ROOT / "examples/minibus-1/readings.csv").read_text().replace("Demo Meter", "Other Meter")
    (tmp_path / "readings.csv").write_text(rows)
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "readings.csv"),
                  "--out", str(tmp_path / "out"), ok=3)
    assert "Demo Meter" in done.stderr


def test_every_fault_of_a_visit_file_is_told_at_once(tmp_path):
    text = (ROOT / "examples/minibus-1/visit.toml").read_text()
    for was, is_ in (('"Demo Cleaner B"', '"Demo Cleanr B"'), ('ratio = "1+20"', 'ratio = "1 of 20"')):
        text = text.replace(was, is_)
    text = text.replace("looks = 2", "looks = 12").replace('touch = "low"', 'touch = "lo"')
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=3)
    assert "rule: looks is out of range: got 12" in done.stderr
    assert done.stderr.count("touch is not known: got lo") == 4
    assert not (tmp_path / "out").exists()
    text = text.replace("looks = 12", "looks = 2").replace('touch = "lo"', 'touch = "low"')
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=3)
    assert "step wash: product is not known: got Demo Cleanr B; did you mean Demo Cleaner B?" in done.stderr
    assert "step disinfect: ratio is not a ratio: got 1 of 20" in done.stderr


def test_missing_readings_leave_no_fact_behind(tmp_path):
    done = tersum("visit", "run", "examples/minibus-1/visit.toml", "--readings", str(tmp_path / "none.csv"),
                  "--out", str(tmp_path / "out"), ok=4)
    assert "there is no such file" in done.stderr
    assert not (tmp_path / "out").exists()


def test_own_product_file_beside_the_visit_is_found(tmp_path):
    shutil.copy(ROOT / "examples/minibus-1/visit.toml", tmp_path / "visit.toml")
    (tmp_path / "mine.toml").write_text(
        'schema = "tersum/product/1"\ninvented = true\nsource = "own label, invented"\nknown = "read"\n'
        '[[product]]\nname = "Mine"\nkind = "liquid"\ndensity_kg_l = 1.0\nlabel_ratio = "1+20"\nrest = "water"\n'
        'surfaces = ["smooth", "rough"]\n[[product.claim]]\ntarget = "bacteria"\ncontact_min = 5\n'
        '[[product.ingredient]]\nname = "hydrogen peroxide"\nstrength = 5\nunit = "% w/v"\n')
    text = (tmp_path / "visit.toml").read_text().replace('product = "Demo Concentrate A"', 'product = "mine.toml"')
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=0)
    assert "disinfect: Mine (invented)" in done.stdout


def planned_with(tmp_path, was, now, ok):
    text = (ROOT / "examples/minibus-1/visit.toml").read_text()
    assert was in text
    (tmp_path / "visit.toml").write_text(text.replace(was, now))
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=ok)
    assert (tmp_path / "out").exists() == (ok == 0)
    return " ".join((done.stdout + done.stderr).split())


@pytest.mark.parametrize(("was", "now", "said"), [
    ('vessels = ["spray bottle"]', 'vessels = ["wash bucket"]', "must not share wash bucket"),
    ('cloths = ["white"]', 'cloths = ["blue"]', "must not share the cloths blue"),
    ('kind = "rinse"', 'kind = "dry"', "must not follow step wash on smooth surfaces"),
])
def test_products_that_must_not_meet_are_refused_and_nothing_overrides_it(tmp_path, was, now, said):
    told = planned_with(tmp_path, was, now, 5)
    assert said in told and "nothing overrides that" in told
    override = '\n[[step.override]]\nmaterial = "ABS"\nlead = "lead 7"\nreason = "hurry"\n\n[[carried_out]]'
    text = (tmp_path / "visit.toml").read_text().replace("\n[[carried_out]]", override, 1)
    (tmp_path / "visit.toml").write_text(text)
    assert said in " ".join(tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"),
                                   ok=5).stderr.split())


MATERIALS = 'materials = ["ABS", "polypropylene", "stainless steel", "EPDM", "soft PVC", "polyester fabric"]'


def test_material_to_be_avoided_takes_a_lead_with_a_reason_that_is_shown(tmp_path):
    told = planned_with(tmp_path, MATERIALS, 'materials = ["natural rubber"]', 5)
    assert "natural rubber is to be avoided here" in told
    lead = '\n[[step.override]]\nmaterial = "natural rubber"\nlead = "lead 7"\nreason = "panel held a year"\n'
    text = (tmp_path / "visit.toml").read_text().replace("\n[[carried_out]]", lead + "\n[[carried_out]]", 1)
    (tmp_path / "visit.toml").write_text(text)
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=0)
    assert "panel held a year" in " ".join(done.stdout.split())
    shutil.copy(ROOT / "examples/minibus-1/readings.csv", tmp_path)
    tersum("visit", "run", str(tmp_path / "visit.toml"), "--readings", str(tmp_path / "readings.csv"), "--out",
           str(tmp_path / "ran"), ok=0)
    decided = json.loads((tmp_path / "ran" / "decisions.json").read_text(encoding="utf-8"))["steps"]["materials"]
    held = {"material": "natural rubber", "lead": "lead 7", "reason": "panel held a year"}
    assert [(one["step"], one["overrides"]) for one in decided if one["overrides"]] == [("disinfect", [held])]
    assert "panel held a year" in (tmp_path / "ran" / "decisions.md").read_text(encoding="utf-8")


def test_part_for_its_maker_alone_takes_the_written_method_and_no_override(tmp_path):
    told = planned_with(tmp_path, MATERIALS, 'materials = ["wheelchair tie-down"]', 5)
    assert "maker's written method" in told and "Nothing overrides that" in told


@pytest.mark.parametrize(("was", "wrong", "field"), [
    ('ratio = "1+20"', 'ratio = "1+80"', "ratio"), ("contact_min = 5", "contact_min = 3", "contact_min"),
    ('targets = ["bacteria"]', 'targets = ["spores"]', "targets"),
    ('targets = ["bacteria"]', 'targets = ["bacteria"]\nmethod = "x"', None)])
def test_plan_outside_the_label_is_refused_and_nothing_is_sealed(tmp_path, was, wrong, field):
    text = (ROOT / "examples/minibus-1/visit.toml").read_text(encoding="utf-8")
    (tmp_path / "visit.toml").write_text(text.replace(was, wrong), encoding="utf-8")
    done = tersum("visit", "plan", str(tmp_path / "visit.toml"), "--out", str(tmp_path / "out"), ok=5 if field else 0)
    assert (tmp_path / "out" / "plan.json").exists() is (field is None)
    if field:
        assert f"step disinfect: {field} is outside the label" in done.stderr


def test_logged_trace_stands_with_its_dose_in_json_and_on_the_terminal(tmp_path):
    done = tersum("visit", "run", str(ROOT / "examples/day-room/visit.toml"), "--readings",
                  str(ROOT / "examples/day-room/readings.csv"), "--out", str(tmp_path / "out"), ok=1)
    steps = json.loads((tmp_path / "out" / "decisions.json").read_text(encoding="utf-8"))["steps"]
    [heat] = steps["heat"]
    assert heat["answer"] == "met" and heat["low"] < heat["a0"] < heat["high"]
    trace = (ROOT / "examples/day-room/steam.csv").read_bytes()
    assert heat["sha256"] == hashlib.sha256(trace).hexdigest()
    assert "A0" in done.stdout and "spore" not in done.stdout.replace("viruses or spores", "")


def test_pseudo_locale_reaches_every_line(tmp_path, monkeypatch):
    monkeypatch.setenv("TERSUM_LANG", "en-XA")
    done = run("minibus-2", tmp_path / "out", ok=1)
    for line in (done.stdout + done.stderr).splitlines():
        if line.strip(" -") and not line.startswith("Written"):
            assert "⟦" in line or re.match(r"^[\w' ,]+ {2,}", line), line

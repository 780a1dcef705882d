"""Tables and plans of trials: every fault at once, each with its place."""

import pytest

from tersum.errors import Faults
from tersum.evidence.assignment import Panel
from tersum.records.trial_file import read_trial
from tersum.records.trial_plan import TrialPlan, departures, plan_text, read_plan

HEAD = "vehicle,panel,arm,before,after\n"


def table(tmp_path, text):
    path = tmp_path / "trial.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_trial(str(path))


def plan(**changes):
    given = {"control": "b", "arms": ("a", "b"), "panels": (Panel("van", "seat"), Panel("van", "mat")),
             "seed": bytes(range(16)), "planned_on": "2026-03-02", **changes}
    return TrialPlan(**given)


def test_readings_keep_their_bounds_and_lose_their_blank(tmp_path):
    found = table(tmp_path, "vehicle;panel;arm;after;blank\nvan;seat;a;412;12\nvan;seat;b;<5;0\n")
    assert [one.after_rlu for one in found.rows] == [(400.0, 400.0), (0.0, 5.0)] and not len(found.faults)


def test_a_row_still_open_is_counted_and_left_out(tmp_path):
    found = table(tmp_path, HEAD + "van,seat,a,300,\nvan,seat,b,300,100\n")
    assert len(found.rows) == 1 and found.unread == 1 and not len(found.faults)


@pytest.mark.parametrize(("text", "told"), [
    (HEAD + "van,seat,a,300,1e3\n", "row 2, column after: after has an exponent"),
    (HEAD + "van,seat,a,300,-5\n", "row 2, column after"),
    (HEAD + "van,seat,a,\"1,234\",50\n", "row 2, column before: before can be read two ways"),
    (HEAD + ",seat,a,300,50\n", "row 2, column vehicle: vehicle is empty"),
    (HEAD + "van,,a,300,50\n", "row 2, column panel"),
    (HEAD + "van,seat,,300,50\n", "row 2, column arm"),
    (HEAD + "van,seat,a,300\n", "row 2: the row has 4 cells"),
    ("vehicle,panel,after\nvan,seat,5\n", "the column arm is missing"),
    ("vehicle,panel,arm,before\nvan,seat,a,5\n", "the column after is missing"),
    (HEAD.replace("before", "arm") + "v,s,a,a,5\n", "the column arm stands there more than once"),
    (HEAD.replace("before", "befor") + "v,s,a,3,5\n", "befor; did you mean before"),
    (HEAD.strip() + ",swab\nvan,seat,a,300,50,0\n", "swab is not a whole number in range"),
    (HEAD.strip() + ",blank\nvan,seat,a,300,50,-1\n", "row 2, column blank"),
    (HEAD, "no row with an after reading"),
    ("", "the column vehicle is missing"),
    (HEAD.encode() + b"van\x00,seat,a,300,50\n", "NUL byte"),
    (HEAD.encode() + b"v\xe4n,seat,a,300,50\n", "not UTF-8"),
])
def test_each_fault_is_told_with_its_place(tmp_path, text, told):
    faults = "\n".join(map(str, table(tmp_path, text).faults))
    assert told in faults


def test_all_faults_are_told_and_good_rows_kept(tmp_path):
    found = table(tmp_path, HEAD + "van,seat,a,x,y\nvan,seat,b,300,100\n,mat,b,300,100\n")
    assert len(found.faults) == 3 and len(found.rows) == 1


def test_a_plan_is_read_as_it_was_written(tmp_path):
    made = plan(margin=1.25, untreated="a", picked_dirty=True, invented=True)
    (tmp_path / "p.toml").write_text(plan_text(made))
    assert read_plan(str(tmp_path / "p.toml")) == made
    assert made.fingerprint != plan(margin=1.3).fingerprint


@pytest.mark.parametrize(("old", "new", "told"), [
    ('control = "b"', 'control = "z"', "control"), ('arms = ["a", "b"]', 'arms = ["a"]', "two treatments or more"),
    ("factor = 2.0", "factor = 1.0", "a factor other than 1"), ("factor = 2.0", "margin = 0.9", "margin"),
    ('seed_hex = "0001', 'seed_hex = "zz01', "32 hexadecimal digits"), ('name = "mat"', 'name = "seat"', "each panel"),
    ("factor = 2.0", 'factor = 2.0\nwinner = "a"', "winner"), ('schema = "tersum/trial/1"', "", "schema"),
])
def test_each_fault_of_a_plan_is_told(tmp_path, old, new, told):
    text = plan_text(plan())
    assert old in text
    (tmp_path / "p.toml").write_text(text.replace(old, new))
    with pytest.raises(Faults, match=told):
        read_plan(str(tmp_path / "p.toml"))


def test_what_was_not_treated_as_drawn_is_found(tmp_path):
    made = plan()
    rows = [f"{one.vehicle},{one.panel},{one.part},{one.arm},50" for one in made.parts()]
    head = "vehicle,panel,part,arm,after\n"
    assert departures(made, table(tmp_path, head + "\n".join(rows)).rows) == ()
    swapped = [row.replace(",a,", ",B,").replace(",b,", ",a,").replace(",B,", ",b,") for row in rows]
    assert len(departures(made, table(tmp_path, head + "\n".join(swapped)).rows)) == 4

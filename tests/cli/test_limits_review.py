"""``tersum limits review``: a frozen limit beside the readings since, and what it may not do."""

import json

import pytest

from cli.test_compare import LEARN, baseline, tersum
from tersum.records.limits_file import read_limits

AGAIN = (*LEARN, "--visits", "all", "--on", "2026-08-01")
FROZEN = "2026-02-01"


def learnt(tmp_path, day=FROZEN):
    """Return a file of limits learnt from the demo baseline, as if frozen on a day."""
    out = tmp_path / "LIMITS.toml"
    (tmp_path / "first").mkdir()
    done = tersum("limits", "learn", *baseline(tmp_path / "first"), *LEARN, "--visits", "all", "--out", out)
    assert done.returncode == 0, done.stderr
    text = out.read_text()
    out.write_text(text.replace(f'on = "{read_limits(str(out)).frozen[0].on}"', f'on = "{day}"'))
    return out


def since(tmp_path, *, factor=1, **shape):
    (tmp_path / "since").mkdir()
    paths = baseline(tmp_path / "since", **shape)
    for path in paths:
        head, *rows = path.read_text().splitlines()
        cells = [row.split(",") for row in rows]
        path.write_text("\n".join([head, *(",".join([*row[:2], str(int(row[2]) * factor), *row[3:]])
                                           for row in cells)]))
    return paths


def reviewed(path, readings, *words):
    done = tersum("limits", "review", path, *readings, *(words or AGAIN), "--json")
    return done.returncode, json.loads(done.stdout)["reviews"][0]


def test_readings_like_the_first_keep_the_limit(tmp_path):
    path = learnt(tmp_path)
    code, found = reviewed(path, since(tmp_path))
    assert (code, found["verdict"], found["points_since"]) == (0, "keep", 72)
    assert found["fresh"]["low_rlu"] <= found["rlu"] <= found["fresh"]["high_rlu"]


def test_readings_that_leave_it_out_change_it_and_old_visits_stay(tmp_path):
    path = learnt(tmp_path)
    before = path.read_text()
    done = tersum("limits", "review", path, *since(tmp_path, factor=4), *AGAIN)
    assert done.returncode == 1 and "no longer fits" in done.stdout and "4 times above the first limit" in done.stdout
    assert "stay as they were judged" in done.stdout and path.read_text() == before


def test_few_readings_since_are_no_review(tmp_path):
    assert reviewed(learnt(tmp_path, "2026-02-20"), since(tmp_path, visits=2))[1]["verdict"] == "not-due"


def test_a_review_that_is_due_and_cannot_be_told_says_so(tmp_path):
    path = learnt(tmp_path)
    done = tersum("limits", "review", path, *since(tmp_path, visits=3), *AGAIN)
    assert done.returncode == 1 and "not enough to tell" in done.stdout and "36; the method needs 59" in done.stdout


def test_readings_from_before_it_was_frozen_do_not_count(tmp_path):
    code, found = reviewed(learnt(tmp_path, "2026-06-01"), since(tmp_path))
    assert (code, found["verdict"], found["points_since"]) == (0, "not-due", 0)


def test_visits_that_had_passed_teach_nothing(tmp_path):
    words = (*LEARN, "--visits", "passed", "--on", "2026-08-01")
    code, found = reviewed(learnt(tmp_path), since(tmp_path, factor=4), *words)
    assert (code, found["verdict"]) == (1, "cannot-tell") and found["lacks"][0]["code"] == "only-passed"


@pytest.mark.parametrize("other", [("--swab", "Other Swab", "--area-cm2", "100"),
                                   ("--swab", "Demo Swab", "--area-cm2", "25")])
def test_another_swab_or_area_ends_a_limit(tmp_path, other):
    done = tersum("limits", "review", learnt(tmp_path), *since(tmp_path), *other, "--visits", "all")
    assert done.returncode == 1 and "belongs to another instrument, swab or area" in done.stdout


def test_limits_that_were_not_learnt_cannot_be_reviewed(tmp_path):
    path = learnt(tmp_path)
    path.write_text(path.read_text().split("[limit.frozen]")[0])
    done = tersum("limits", "review", path, *since(tmp_path), *AGAIN)
    assert done.returncode == 3 and "tersum limits learn wrote" in done.stderr


@pytest.mark.parametrize(("old", "new", "told"), [
    ('method = "percentile"', 'method = "guess"', "method"), (f'on = "{FROZEN}"', 'on = "soon"', "a day, as"),
    ("share_pct = 95.0", "share_pct = 195.0", "share_pct"), ("points = 72", 'points = "many"', "points"),
    ("seed = 1", "sead = 1", "sead")])
def test_what_a_limit_was_learnt_from_is_checked(tmp_path, old, new, told):
    path = learnt(tmp_path)
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))
    done = tersum("limits", "review", path, *since(tmp_path), *AGAIN)
    assert done.returncode == 3 and told in done.stderr

"""The visit record as a page: every swab, every reason, the same decisions as the command line."""

import json
import re

import pytest
from click.testing import CliRunner

from web.site import example_rows, put_reading

LIMITS = 'schema = "tersum/limits/1"\n' + "".join(
    f'[[limit]]\ninstrument = "Demo Meter"\nswab = "Demo Swab"\narea_cm2 = 100\nsurface = "{surface}"\nrlu = {rlu}\n'
    f'basis = "invented"\nknown = "practice"\n' for surface, rlu in (("smooth", 240), ("rough", 520)))


def decided_by_command(site, folder):
    """Run ``tersum decide --json`` on the exported readings with the limits and the meter of the plan."""
    from tersum.cli.decide import decide

    pairs = [list(pair) for pair in site.plan.instrument.duplicates]
    (folder / "readings.csv").write_bytes(site.get(f"{site.visit}/readings.csv").content)
    (folder / "limits.toml").write_text(LIMITS)
    (folder / "meter.toml").write_text(
        f'schema = "tersum/instrument/1"\ntype = "Demo Meter"\nswab = "Demo Swab"\narea_cm2 = 100\ndetection_rlu = 5\n'
        f'over_range_rlu = 9999\nduplicates = {pairs}\n')
    done = CliRunner().invoke(decide, [str(folder / "readings.csv"), "--limits", str(folder / "limits.toml"),
                                       "--instrument", str(folder / "meter.toml"), "--json"])
    assert done.exit_code in (0, 1), done.output
    return done.stdout


def points_of(text):
    """Return the lines of a list of decisions, by point, as they stand."""
    lines = re.search(r'"points": \[\n(.*?)\n ]', text, re.S).group(1).split("\n")
    return sorted(line.strip().removesuffix(",") for line in lines)


def test_decisions_are_byte_for_byte_those_of_the_command_on_the_exported_readings(finished, tmp_path):
    page = finished.get(f"{finished.visit}/decisions.json")
    assert page.headers["content-type"] == "application/json" and json.loads(page.text)["schema"]
    by_command = decided_by_command(finished, tmp_path)
    assert points_of(page.text) == points_of(by_command) and len(points_of(page.text)) == 6
    rule = re.compile(r'"rule": .*')
    assert rule.search(page.text).group() == rule.search(by_command).group()


def test_decisions_of_an_open_visit_with_a_swab_not_counted_are_those_of_the_command(cleaned, tmp_path):
    rows = example_rows("minibus-1")[2:8]
    for row in rows:
        assert cleaned.read(row["point"], row["rlu"], blank="3").status_code == 303
    fields = {**cleaned.ask("seat back, row 2"), "dry": "no", "rinsed": "yes", "fresh_area": "yes"}
    cleaned.post(cleaned.point("seat back, row 2", "/questions"), fields)
    assert points_of(cleaned.get(f"{cleaned.visit}/decisions.json").text) == points_of(
        decided_by_command(cleaned, tmp_path))


def test_record_says_how_it_ended_what_was_measured_and_what_it_cannot_show(finished):
    html = finished.get(f"{finished.visit}/record").text
    for said in ("Finished: every planned point is done.", "6 of 6 swabbed points at or below the release level",
                 "Disinfection: what was carried out is not recorded", "Invented demo data", "agreed with the customer",
                 "RLU shows residue that gives light", "Rule: limit, version 1", "check value"):
        assert said in html, said
    assert html.count("<tr><th scope=\"row\">") == 6 + len(example_rows("minibus-1"))


def test_every_number_on_the_record_is_that_of_the_decisions(finished):
    html = finished.get(f"{finished.visit}/record").text
    points = json.loads(finished.get(f"{finished.visit}/decisions.json").text)["points"]
    rows = re.findall(r'<tr><th scope="row"><bdi>(.*?)</bdi></th><td><span class="verdict">.*?<span>(.*?)</span>'
                      r'</span>\s*</td><td class="right">(.*?)</td>', html, re.S)
    assert len(rows) == len(points)
    for (name, word, mean), point in zip(rows, points, strict=True):
        assert (name.replace("&#39;", "'"), word) == (point["point"], "done")
        assert float(mean.lstrip("≤ ")) == pytest.approx(point["geometric_mean_rlu"], rel=5e-3)


def test_record_names_nobody(cleaned):
    cleaned.read("driver's door handle", "18", person="T. Example", note="her bag lay here")
    for path in ("record", "readings.csv", "decisions.json"):
        text = cleaned.get(f"{cleaned.visit}/{path}").text
        assert "T. Example" not in text and "bag" not in text
    assert "P-1" in cleaned.get(f"{cleaned.visit}/record").text


def test_open_visit_says_that_its_record_can_change(cleaned):
    put_reading(cleaned, "wheelchair ramp grip", "382")
    html = cleaned.get(f"{cleaned.visit}/record").text
    assert "This visit is still open" in html and "What is left" in html


@pytest.mark.parametrize("width", ["narrow", "wide"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_ladder_is_a_picture_for_each_width_and_theme(finished, width, theme):
    answer = finished.get(f"{finished.visit}/ladder-{width}-{theme}.svg")
    assert answer.headers["content-type"] == "image/svg+xml" and "steering wheel" in answer.text
    assert f"ladder-{width}-{theme}.svg" in finished.get(f"{finished.visit}/record").text


def test_visit_without_readings_has_a_record_and_a_picture(site):
    html = site.get(f"{site.visit}/record").text
    assert "4 of 4 planned points have no reading that counts." in html and "Every swab" not in html
    assert site.get(f"{site.visit}/ladder-narrow-light.svg").status_code == 200
    assert json.loads(site.get(f"{site.visit}/decisions.json").text)["points"][0]["verdict"] == "not-read"
    assert site.get(f"{site.visit}/readings.csv").text.startswith("point,stage,round,swab,rlu,")

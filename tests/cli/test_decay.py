"""``tersum decay``."""

import pytest

from cli.bench import call, fields, told

SERIES = tuple(word for age, strength in ((0, 1000), (24, 905), (48, 822), (72, 738), (96, 672))
               for word in ("--point", f"{age}={strength}"))
FLOOR = ("--floor-mg-l", "800")


def test_use_by_and_rates_with_their_intervals(capsys):
    code, out, err = call(capsys, "decay", *SERIES, *FLOOR)
    assert code == 0 and "use within 50.9 h of mixing (from the series)" in out and "0.00416" in out
    assert "The label" not in out and "clock starts at mixing" in err


def test_label_life_wins_where_it_is_shorter(capsys):
    code, body = told(capsys, "decay", *SERIES, *FLOOR, "--label-life-h", "24")
    assert code == 0 and (body["use_by_h"], body["basis"]) == (24.0, "label")


def test_series_from_a_file_is_the_same(capsys, tmp_path):
    path = tmp_path / "series.csv"
    path.write_text("age_h;strength_mg_l\n0;1000\n24;905\n48;822\n72;738\n96;672\n", encoding="utf-8")
    assert told(capsys, "decay", path, *FLOOR)[1] == told(capsys, "decay", *SERIES, *FLOOR)[1]


def test_use_by_is_never_rounded_up(capsys):
    body = told(capsys, "decay", *SERIES, *FLOOR)[1]
    shown = float(call(capsys, "decay", *SERIES, *FLOOR)[1].split()[2])
    assert body["use_by_h"] - 0.1 < shown <= body["use_by_h"]


def test_short_series_gives_a_lower_bound_and_says_why(capsys):
    code, out, _ = call(capsys, "decay", *SERIES[:6], *FLOOR)
    assert code == 0 and "it held at least so long" in out and "Fewer than four points" in out


def test_solution_below_its_floor_answers_no(capsys):
    code, out, _ = call(capsys, "decay", *SERIES, "--floor-mg-l", "1100")
    assert code == 1 and "use within 0 h" in out


def test_published_rates_warn_with_their_source_of_haste(capsys):
    out = call(capsys, "decay", *SERIES, *FLOOR, "--active", "peracetic acid")[1]
    assert "Published half-life of peracetic acid in buffer, pH 9: 3.6 h" in out


def test_storage_elsewhere_needs_energy_and_both_temperatures(capsys):
    moved = ("--series-c", "20", "--store-c", "30", "--energy-kj-mol", "66")
    code, body = told(capsys, "decay", *SERIES, *FLOOR, *moved)
    assert code == 0 and body["use_by_h"] < 25.0 and body["flags"][-1]["code"] == "moved-in-temperature"
    assert call(capsys, "decay", *SERIES, *FLOOR, *moved[:4])[0] == 2


def test_curve_to_draw_goes_with_json(capsys):
    curve = told(capsys, "decay", *SERIES, *FLOOR, "--curve")[1]["curve"]
    assert len(curve["age_h"]) == len(curve["low_mg_l"]) == 60 and curve["measured_mg_l"][0] == 1000.0


@pytest.mark.parametrize(("words", "about"), [
    (SERIES[:4], ["--point"]), ((*SERIES, "--point", "5"), ["--point"]), ((*SERIES, "--point", "x=y"), ["--point"] * 2),
    ((*SERIES, "--point", "-5=300"), ["point 6: age_h"]), ((*SERIES, "--label-life-h", "0"), ["--label-life-h"]),
    ((*SERIES, "--relative-u-pct", "90"), ["relative_u"])])
def test_bad_series_are_told(capsys, words, about):
    code, body = told(capsys, "decay", *words, *FLOOR)
    assert code == 3 and fields(body) == about


def test_no_series_or_two_of_them_are_misuse(capsys):
    assert call(capsys, "decay", *FLOOR)[0] == 2 and call(capsys, "decay", "file.csv", *SERIES, *FLOOR)[0] == 2

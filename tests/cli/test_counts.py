"""``tersum counts``: numbers with operators, conventions by name, logarithms and nonsense refused."""

import pytest

from cli.bench import call, fields, told

SWAB = ("counts", "swab", "--plated-ml", "1", "--eluate-ml", "10", "--area-cm2", "100")


@pytest.mark.parametrize(("rule", "plates", "operator", "text"), [
    ("ISO 7218", ("10^-2=235,282", "10^-3=31,39"), "=", "27000"), ("BAM", ("10^-2=18", "10^-3=2"), "<", "<2500"),
    ("ISO 7218", ("10^-1=0,0",), "<", "<10"), ("BAM", ("10^-1=0,0",), "<", "<250"),
    ("ISO 7218", ("10^-2=TNTC,>300",), ">", ">30000")])
def test_count_carries_its_operator_and_convention(capsys, rule, plates, operator, text):
    words = ["counts", "plates", "--convention", rule, *(word for one in plates for word in ("--plate", one))]
    code, body = told(capsys, *words)
    assert code == 0 and (body["operator"], body["text"], body["convention"]["name"]) == (operator, text, rule)
    out, err = call(capsys, *words)[1:]
    assert f"{text} per mL or g ({rule})" in out and "neutraliser" in err


def test_csv_and_toml_of_plates_are_one(capsys, tmp_path):
    (tmp_path / "p.csv").write_text("dilution,count\n0.01,235\n0.01,282\n0.001,31\n0.001,39\n")
    (tmp_path / "p.toml").write_text("".join(f"[[row]]\ndilution = {one}\ncount = {count}\n" for one, count in (
        (0.01, 235), (0.01, 282), (0.001, 31), (0.001, 39))))
    bodies = [told(capsys, "counts", "plates", str(tmp_path / name))[1] for name in ("p.csv", "p.toml")]
    assert bodies[0] == bodies[1] and bodies[0]["reported"] == 27000.0


def test_logarithm_where_a_count_is_asked_is_refused_by_name(capsys):
    code, body = told(capsys, "counts", "plates", "--plate", "0.01=4.28,5.1", "--plate", "3=1", "--volume-ml", "x")
    assert code == 3 and "logarithm" in body["sentence"] and fields(body) == ["--volume-ml", "--plate", "--plate"]
    assert "logarithm" in call(capsys, *SWAB, "--count", "2.5")[2]


def test_dilutions_that_are_not_tenfold_are_refused(capsys):
    assert "a tenth of the one before" in call(capsys, "counts", "plates", "--plate", "0.1=50", "--plate", "0.02=9")[2]


def test_none_grown_on_a_swab_is_a_bound_with_its_limit(capsys):
    code, body = told(capsys, *SWAB, "--count", "0", "--count", "0")
    assert code == 0 and body["operator"] == "<" and body["recovered"] == pytest.approx(0.05)
    out = call(capsys, *SWAB, "--count", "0", "--count", "0")[1]
    assert out.startswith("< 0.05") and "with 95 % below 0.15" in out and "recovery is not known" in out


def test_recovery_is_shown_beside_what_came_off(capsys):
    out = call(capsys, *SWAB, "--count", "35", "--count", "41", "--recovery-pct", "50")[1]
    assert "3.8 CFU/cm2 recovered" in out and "7.6 CFU/cm2 corrected" in out
    code, body = told(capsys, *SWAB, "--count", "35", "--recovery-pct", "0", "--dilution", "2")
    assert code == 3 and "--dilution" in fields(body)


def test_crowded_contact_plate_is_at_least(capsys):
    assert call(capsys, "counts", "contact-plate", "--count", "340", "--plate-cm2", "25")[1].startswith("> 8 CFU/cm2")


def test_plates_twice_or_not_at_all_are_a_misuse(capsys):
    assert call(capsys, "counts", "plates")[0] == 2
    assert call(capsys, "counts", "plates", "a.csv", "--plate", "0.1=1")[0] == 2

"""``tersum mix``: three ways, strengths, refusals, exit codes, and a quick start."""

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from tersum.cli.main import run

DEMO = ("--product", "Demo Concentrate A")
FILE = """
schema = "tersum/product/1"
source = "label of lot 7, read 2026-01-15"
known = "read"
[[product]]
name = "Our Concentrate"
density_kg_l = 1.05
ratio_reading = "whole"
[[product.ingredient]]
name = "ethanol"
strength = 60
unit = "% w/w"
"""


@pytest.fixture
def mix(capsys):
    """Run the command as from a shell; return exit code, stdout, stderr."""
    def call(*words):
        with pytest.raises(SystemExit) as left:
            run(["mix", *words])
        out, err = capsys.readouterr()
        return left.value.code or 0, out, err
    return call


def test_dilution_is_shown_three_ways(mix):
    code, out, _ = mix("--volume-ml", "5000", "--ratio", "1+20")
    assert code == 0
    for shown in ("238 mL", "4762 mL", "5000 mL", "1 + 20", "4.762 % v/v", "1 in 21"):
        assert shown in out


def test_product_shows_strengths_order_use_by_and_cautions(mix):
    code, out, err = mix("--volume-ml", "5000", "--ratio", "1+20", *DEMO)
    assert code == 0 and "Demo Concentrate A (invented)" in out
    assert "2080" in out and "420" in out and "1000 to 2500" in out
    assert "water first" in out and "24 h" in out and "safety data sheet go before" in out
    assert "kitchen jug" in err and "common practice, no source" in err


def test_text_and_json_say_the_same(mix):
    words = ("--volume-ml", "5 L", "--target", "peracetic acid=1500 mg/L", *DEMO, "--jug", "cylinder B")
    _, text, _ = mix(*words)
    code, out, _ = mix(*words, "--json")
    told = json.loads(out)
    assert code == 0 and told["schema"] == "tersum/mix/1" and told["within_bounds"] is True
    assert told["concentrate_ml"] == pytest.approx(5000 * 1500 / 43600)
    assert told["concentrate_ml"] + told["water_ml"] == pytest.approx(5000)
    assert told["strengths"][0]["strength_mg_l"] == pytest.approx(1500)
    assert told["concentrate_measure"] == {"name": "cylinder b", "known": "memory", "half_width_ml": 2.0}
    assert f"{told['concentrate_ml']:.0f} mL" in text and f"1 + {told['ratio']['parts_water']:.2f}" in text


def test_label_ratio_is_taken_where_nothing_is_asked(mix):
    _, out, _ = mix("--volume-ml", "1000", "--product", "Demo Cleaner B", "--json")
    assert json.loads(out)["ratio"]["percent"] == pytest.approx(2.0)


@pytest.mark.parametrize(("product", "percent"), [("Demo Concentrate A", 100 / 21), ("Demo Cleaner B", 5.0)])
def test_one_to_n_is_read_as_the_product_says(mix, product, percent):
    _, out, _ = mix("--volume-ml", "1000", "--ratio", "1:20", "--product", product, "--json")
    assert json.loads(out)["ratio"]["percent"] == pytest.approx(percent)


def test_one_to_n_without_a_product_is_asked_about(mix):
    code, out, err = mix("--volume-ml", "1000", "--ratio", "1:20")
    assert code == 3 and not out and "1+20 (4.76 %) or 1 in 20 (5 %)?" in err


def test_several_targets_give_an_interval(mix):
    code, out, _ = mix("--volume-ml", "5000", "--min", "peracetic acid=1000 mg/L", "--max", "acetic acid=4 g/L", *DEMO,
                       "--json")
    interval = json.loads(out)["interval"]
    assert code == 0 and interval["low_set_by"] == "peracetic acid" and interval["high_set_by"] == "acetic acid"
    assert interval["low_frac"] == pytest.approx(1000 / 43600) and interval["high_frac"] == pytest.approx(4000 / 87200)


def test_clashing_targets_are_a_no_with_both_names(mix):
    code, _, err = mix("--volume-ml", "5000", "--min", "peracetic acid=2000 mg/L", "--max", "acetic acid=1 g/L", *DEMO)
    assert code == 1 and "peracetic acid needs at least" in err and "acetic acid allows at most" in err


def test_mixture_outside_the_label_is_shown_and_is_a_no(mix):
    code, out, _ = mix("--volume-ml", "5000", "--ratio", "1+200", *DEMO)
    assert code == 1 and "below the least of 1000 mg/L (label)" in out


def test_alcohol_is_made_up_to_volume(mix, tmp_path):
    (tmp_path / "ours.toml").write_text(FILE, encoding="utf-8")
    words = ("--volume-ml", "1000", "--product", str(tmp_path / "ours.toml"))
    code, out, _ = mix(*words, "--percent", "50")
    assert code == 0 and "make up to the volume below" in out and "do not add up" in out and "1 + " not in out
    code, _, err = mix(*words, "--ratio", "1+1")
    assert code == 3 and "contract when mixed" in err


def test_powder_is_dosed_by_weight(mix, tmp_path):
    text = FILE.replace("density_kg_l = 1.05", 'kind = "powder"').replace('name = "ethanol"', 'name = "active"')
    (tmp_path / "powder.toml").write_text(text, encoding="utf-8")
    words = ("--volume-ml", "2 L", "--product", str(tmp_path / "powder.toml"))
    _, out, _ = mix(*words, "--dose-g-l", "5", "--json")
    assert json.loads(out)["powder_g"] == 10.0 and json.loads(out)["strengths"][0]["strength_mg_l"] == 3000.0
    _, out, _ = mix(*words, "--target", "active=600 mg/L")
    assert "2 g" in out and "stir" in out
    assert mix(*words, "--ratio", "1+20")[0] == 2


def test_ppm_is_taken_as_mass_per_volume_only_where_said(mix):
    words = ("--volume-ml", "5000", "--target", "peracetic acid=1500 ppm", *DEMO, "--json")
    assert mix(*words)[0] == 3
    code, out, _ = mix(*words, "--ppm", "mg/L")
    assert code == 0 and json.loads(out)["strengths"][0]["strength_mg_l"] == pytest.approx(1500)


def test_all_that_is_wrong_is_told_at_once(mix):
    code, out, err = mix("--volume-ml", "0", "--ratio", "1 in 0.5", "--jug", "bucket", "--max", "acid", *DEMO)
    assert code == 3 and not out
    assert [line.split()[0] for line in err.splitlines()] == ["--volume-ml", "--jug", "--max", "--ratio"]


@pytest.mark.parametrize("words", [
    ("--volume-ml", "-5", "--ratio", "1+20"), ("--volume-ml", "nan", "--ratio", "1+20"),
    ("--volume-ml", "5,000", "--ratio", "1+20"), ("--volume-ml", "5000", "--ratio", "0+20"),
    ("--volume-ml", "5000", "--percent", "101"), ("--volume-ml", "5000", "--percent", "-1"),
    ("--volume-ml", "5000", "--percent", "1e1"), ("--volume-ml", "1e99", "--percent", "1"),
    ("--volume-ml", "5000", "--target", "peracetic acid=50 g/L", *DEMO),
    ("--volume-ml", "5000", "--target", "peracetic=1 g/L", *DEMO),
    ("--volume-ml", "5000", "--target", "peracetic acid=1000", *DEMO),
    ("--volume-ml", "5000", "--ratio", "1+20", "--product", "No Such Product"),
    ("--volume-ml", "5000", "--ratio", "1+20", "--jug", "500 ml"),
])
def test_bad_input_is_refused_in_a_sentence(mix, words):
    code, out, err = mix(*words)
    assert code == 3 and not out and ("got " in err or "ccepted" in err) and "Traceback" not in err


@pytest.mark.parametrize("words", [
    (), ("--volume-ml", "5000"), ("--volume-ml", "5000", "--ratio", "1+20", "--percent", "5"),
    ("--volume-ml", "5000", "--ratio", "1+20", "--target", "a=1 mg/L"), ("--volume-ml", "5000", "--target", "a=1 mg/L"),
    ("--volume-ml", "5000", "--dose-g-l", "5", *DEMO), ("--volume-ml", "5000", "--ratio", "1+20", "--ppm", "mg/kg"),
])
def test_misuse_is_told_as_misuse(mix, words):
    assert mix(*words)[0] == 2


def test_refusal_as_json_names_every_option(mix):
    code, out, _ = mix("--volume-ml", "0", "--ratio", "1:20", "--json")
    told = json.loads(out)
    assert code == 3 and told["schema"] == "tersum/error/1"
    assert [(one["field"], one["code"]) for one in told["faults"]] == [("--volume-ml", "out-of-range"),
                                                                      ("--ratio", "ambiguous-ratio")]


def test_product_file_that_is_none_is_refused_with_its_name(mix, tmp_path):
    (tmp_path / "broken.toml").write_text(FILE.replace("60", "-60").replace("source", "sauce"), encoding="utf-8")
    code, _, err = mix("--volume-ml", "5000", "--percent", "5", "--product", str(tmp_path / "broken.toml"))
    assert code == 3 and "broken.toml" in err and "strength" in err and "source" in err
    code, _, err = mix("--volume-ml", "5000", "--percent", "5", "--product", str(tmp_path / "absent.toml"))
    assert code != 0 and "absent.toml" in err and "Traceback" not in err


def test_file_of_several_products_is_asked_about(mix, tmp_path):
    (tmp_path / "two.toml").write_text(FILE + FILE[FILE.index("[[product]]"):], encoding="utf-8")
    code, _, err = mix("--volume-ml", "5000", "--percent", "5", "--product", str(tmp_path / "two.toml"))
    assert code == 3 and "one product" in err


def test_nothing_is_promised(mix):
    _, out, err = mix("--volume-ml", "5000", "--ratio", "1+20", *DEMO)
    for word in ("sterile", "germ", "kills", "is safe"):
        assert word not in (out + err).casefold()


def test_help_has_an_example_that_runs(mix):
    from tersum.cli.mix import mix as command
    assert "--product" in CliRunner().invoke(command, ["--help"]).output
    assert "Example: tersum mix" in command.epilog
    assert mix("--volume-ml", "5000", "--ratio", "1+20", *DEMO)[0] == 0


def test_mix_loads_nothing_heavy():
    """A cold start is quick because these are not loaded."""
    code = ("import sys\nfrom tersum.cli.main import run\n"
            "try: run(['mix', '--volume-ml', '5000', '--ratio', '1+20', '--product', 'Demo Concentrate A'])\n"
            "except SystemExit: pass\n"
            "print([name for name in ('numpy', 'scipy', 'rich', 'sqlalchemy', 'statsmodels') if name in sys.modules])")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"

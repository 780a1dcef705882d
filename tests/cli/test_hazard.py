"""``tersum hazard``: the class as supplied and diluted, what is not known, every rule on request."""

import json

import pytest
from click.testing import CliRunner

from tersum.cli.hazard import hazard

FILE = ('schema = "tersum/product/1"\ninvented = true\nsource = "own label, invented"\nknown = "read"\n'
        '[[product]]\nname = "Mine"\nkind = "liquid"\ndensity_kg_l = 1.0\n')


def run(*words, code=0):
    done = CliRunner().invoke(hazard, [str(one) for one in words])
    found = getattr(done.exception, "exit_code", done.exit_code) if done.exit_code else 0
    assert found == code, (found, done.output, done.exception)
    return done


def test_both_mixtures_are_shown_and_whose_word_wins():
    told = run("Demo Concentrate A", "--ratio", "1+20").stdout
    assert "as supplied" in told and "working dilution" in told and "H314" in told
    assert "Regulation (EU) 2024/2564" in told, "the line of the law that was not read is named"
    found = json.loads(run("Demo Concentrate A", "--ratio", "1+20", "--json").stdout)
    assert "win over all of this" in found["label_wins"] and found["working"] is not None


def test_every_rule_is_shown_with_its_sum_and_limit_on_request():
    told = run("Demo Cleaner B", "--trace").stdout
    assert "limit" in told and "pH of the mixture" in told


@pytest.mark.parametrize(("more", "said"), [
    ('[[product.ingredient]]\nname = "sodium hydroxide"\nstrength = 120\nunit = "% w/w"\n', "strength"),
    ('[[product.ingredient]]\nname = "a"\nstrength = 60\nunit = "% w/w"\n'
     '[[product.ingredient]]\nname = "b"\nstrength = 60\nunit = "% w/w"\n', "no more than the product"),
    ('[[product.ingredient]]\nname = "a"\nstrength = 1\nunit = "% w/w"\nindex_number = "12"\n', "index number"),
])
def test_composition_that_cannot_be_is_refused(tmp_path, more, said):
    (tmp_path / "mine.toml").write_text(FILE + more)
    assert said in str(run(tmp_path / "mine.toml", code=3).exception)


def test_density_that_is_not_stated_is_refused_where_a_share_by_mass_needs_it(tmp_path):
    (tmp_path / "mine.toml").write_text(FILE.replace("density_kg_l = 1.0\n", "") + (
        '[[product.ingredient]]\nname = "sodium hydroxide"\nstrength = 2\nunit = "% w/w"\n'))
    assert "density" in str(run(tmp_path / "mine.toml", code=3).exception)


def test_ingredient_nobody_knows_leaves_every_class_possible(tmp_path):
    (tmp_path / "mine.toml").write_text(
        FILE + '[[product.ingredient]]\nname = "an oil"\nstrength = 2\nunit = "% w/w"\n')
    told = run(tmp_path / "mine.toml").stdout
    assert "cannot be excluded" in told and "Cannot tell more" in told


def test_wrong_numbers_are_told_together():
    done = run("Demo Concentrate A", "--ratio", "x", "--ph", "99", code=3)
    assert "--ratio" in str(done.exception) and "--ph" in str(done.exception)


def test_ph_of_a_dilution_is_not_dropped_where_there_is_none():
    assert "--ph is that of a working dilution" in run("Demo Cleaner B", "--ph", "14", code=2).stderr

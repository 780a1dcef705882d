"""Every code of solution chemistry has its sentence, and no sentence is for a code that nothing gives."""

import re
from pathlib import Path

import pytest

from tersum.chemistry.boiler_chemicals import CAUTIONS as BOILER
from tersum.chemistry.boiler_chemicals import NEVER
from tersum.chemistry.condensate import CondensateCase, condensate
from tersum.chemistry.flags import Flag
from tersum.chemistry.titration import CAUTIONS
from tersum.cli.strength import REASONS
from tersum.documents import bench_text

CHEMISTRY = sorted((Path(__file__).resolve().parents[2] / "src" / "tersum" / "chemistry").glob("*.py"))
SOURCE = {path.name: path.read_text(encoding="utf-8") for path in CHEMISTRY}
# Codes that are put together from a table or a variable instead of standing in the call.
BY_TABLE = {*NEVER.values(), *BOILER.values(), "no-permission-of-the-machine-maker",
            "no-permission-of-the-product-maker", "constant-without-temperature", "constant-outside-its-range",
            "few-points", "little-loss", "no-loss-shown"}


def flag_codes():
    return {code for text in SOURCE.values() for code in re.findall(r'Flag\(\s*"([a-z0-9-]+)"', text)} | BY_TABLE


def test_every_flag_has_a_sentence_and_every_sentence_a_flag():
    assert flag_codes() == set(bench_text.FLAGS)


@pytest.mark.parametrize("code", sorted(bench_text.FLAGS))
def test_sentence_of_a_flag_is_filled_and_ends(code):
    told = bench_text.flag_text(Flag(code, "acetic acid", 12.3456))
    assert "{" not in told and told.endswith(".")


def test_every_caution_of_the_laboratory_has_a_sentence():
    given = {"laboratory-work", *(code for codes in CAUTIONS.values() for code in codes)}
    assert given == set(bench_text.CAUTIONS)
    assert all(bench_text.caution_text(code) for code in given)


def test_everything_that_would_settle_a_question_has_words():
    assert set(condensate(CondensateCase()).would_settle) == set(bench_text.SETTLES)


def test_every_word_stands_for_a_code_of_the_sciences():
    whole = "".join(SOURCE.values())
    for code in bench_text.WORDS:
        assert f'"{code}"' in whole, f"{code} is given by nothing"


def test_nothing_promises_what_no_measurement_shows():
    told = " ".join([*bench_text.FLAGS.values(), *bench_text.CAUTIONS.values(), *bench_text.WORDS.values(),
                     *bench_text.SETTLES.values(), *REASONS.values()]).casefold()
    for word in ("sterile", "germ-free", "kills", "safe to", "is safe"):
        assert word not in told

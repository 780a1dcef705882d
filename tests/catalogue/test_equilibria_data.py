"""Fingerprint of equilibria.toml: rows, constants and the sums that a mistyped digit would change."""

import pytest

from tersum.catalogue.load import table
from tersum.chemistry.equilibria import acid, acids, pk, substance, substances

AT_25C = {
    "acetic acid": (4.7558,), "peracetic acid": (8.2,), "hydrogen peroxide": (11.62,), "hypochlorous acid": (7.5366,),
    "carbonic acid": (6.3519, 10.3289), "carbon dioxide gas": (1.4682,), "citric acid": (3.128, 4.761, 6.396),
    "phosphoric acid": (2.168, 7.207, 12.346), "sulfuric acid": (1.9878,), "boric acid": (9.24,), "ammonia": (9.2442,),
    "water": (13.9947,), "lactic acid": (3.86,), "formic acid": (3.751,),
}


def test_number_of_entries_and_constants():
    assert len(table("equilibria")) == 31 and len(acids()) == 19
    assert sum(len(acid(name).terms) for name in acids()) == 24


def test_constants_at_25c_are_those_of_their_sources():
    for name, wanted in AT_25C.items():
        assert [pk(name, 25.0, step) for step in range(1, len(wanted) + 1)] == pytest.approx(wanted, abs=1e-3)


def test_sum_and_ends_of_all_constants_at_25c():
    values = [pk(name, 25.0, step) for name in acids() for step in range(1, len(acid(name).terms) + 1)]
    assert sum(values) == pytest.approx(167.8647, abs=1e-3)
    assert (min(values), max(values)) == (pytest.approx(1.4679, abs=1e-3), pytest.approx(13.9948, abs=1e-3))


def test_rivals_of_a_constant_agree_within_what_is_said_of_them():
    for first, second, within in (("water", "water (PHREEQC)", 0.0026), ("acetic acid", "acetic acid (SRD 46)", 0.0015),
                                  ("carbon dioxide gas", "carbon dioxide gas (Plummer and Busenberg)", 0.001),
                                  ("hypochlorous acid", "hypochlorous acid (PHREEQC)", 0.03)):
        assert pk(first, 25.0) == pytest.approx(pk(second, 25.0), abs=within), first
    assert pk("hydrogen peroxide", 20.0) == pytest.approx(pk("hydrogen peroxide (20 °C)", 20.0), abs=0.03)


def test_every_salt_names_an_acid_of_the_table_or_none():
    for name in substances():
        assert substance(name).acid in (*acids(), "")
    assert substance("trisodium citrate").counter_charge == 3 and substance("ammonium chloride").counter_charge == -1

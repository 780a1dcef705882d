"""CT tables: temperature down, strength and pH up; the equations are named as equations."""

import numpy as np
import pytest

from tersum.catalogue import load
from tersum.errors import Faults, OutOfRange, UnknownName
from tersum.lethality.ct_equations import ct_from_equation
from tersum.lethality.ct_tables import ct_from_table
from tersum.lethality.uv import uv_dose


def giardia(temp_c, strength_mg_l, ph, log10=3):
    return ct_from_table("free chlorine", "giardia", log10=log10, temp_c=temp_c, strength_mg_l=strength_mg_l, ph=ph)


@pytest.mark.parametrize(("temp_c", "strength", "ph", "row"), [
    (19.9, 1.0, 7.5, (15.0, 1.0, 7.5)), (20.0, 1.01, 7.0, (20.0, 1.2, 7.0)), (20.0, 1.0, 7.01, (20.0, 1.0, 7.5)),
    (0.2, 0.1, 5.0, (0.5, 0.4, 6.0)), (35.0, 3.0, 9.0, (25.0, 3.0, 9.0)),
])
def test_lookup_goes_the_cautious_way(temp_c, strength, ph, row):
    found = giardia(temp_c, strength, ph)
    assert (found.row_c, found.row_mg_l, found.row_ph) == row and found.method == "table"


def test_every_cell_asks_more_when_colder_stronger_or_more_alkaline():
    cells = np.array(load.table("ct_tables")["giardia, free chlorine"]["ct"].value)
    assert cells.shape == (6, 14, 7)
    assert (np.diff(cells, axis=0) < 0).all() and (np.diff(cells, axis=1) >= 0).all()
    assert (np.diff(cells, axis=2) > 0).all()


def test_equation_lies_above_the_table_as_stated():
    """0.5 to 17.4 % above the 168 cells at 0.4, 1, 2 and 3 mg/L, never below, from 1 °C on."""
    ratios = [ct_from_equation("free chlorine", "giardia", log10=3, temp_c=temp, strength_mg_l=strength,
                               ph=ph).ct_mg_min_l / giardia(temp, strength, ph).ct_mg_min_l
              for temp in (5, 10, 15, 20, 25) for strength in (0.4, 1.0, 2.0, 3.0)
              for ph in (6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0)]
    assert 1.0 < min(ratios) and max(ratios) < 1.18


def test_virus_equation_says_that_it_is_from_memory_and_no_table():
    found = ct_from_equation("free chlorine", "virus", log10=4, temp_c=10.0, ph=7.0)
    assert found.method == "equation" and found.known == "memory" and found.ct_mg_min_l < 6.0


def test_both_branches_of_the_equation_are_used():
    below = ct_from_equation("free chlorine", "giardia", log10=3, temp_c=12.4999, strength_mg_l=1.0, ph=7.0)
    above = ct_from_equation("free chlorine", "giardia", log10=3, temp_c=12.5, strength_mg_l=1.0, ph=7.0)
    assert below.name != above.name and below.ct_mg_min_l == pytest.approx(above.ct_mg_min_l, rel=0.05)


def test_crypto_row_of_a_quarter_log_is_met_within_one():
    row = {0.5: 159, 1: 153, 2: 140, 3: 128, 5: 107, 7: 90, 10: 69, 15: 45, 20: 29, 25: 19, 30: 12}
    for temp_c, ct in row.items():
        found = ct_from_equation("chlorine dioxide", "cryptosporidium", log10=0.25, temp_c=temp_c)
        assert found.ct_mg_min_l == pytest.approx(ct, abs=1.0)


@pytest.mark.parametrize("given", [(20.0, 3.1, 7.0), (20.0, 0.0, 7.0), (20.0, 1.0, 9.1), (20.0, None, 7.0),
                                   (20.0, 1.0, None)])
def test_outside_the_table_is_refused(given):
    with pytest.raises(OutOfRange, match=r"strength_mg_l|ph"):
        giardia(*given)


def test_no_other_reduction_is_scaled_from_a_table():
    with pytest.raises(OutOfRange, match="log10"):
        giardia(20.0, 1.0, 7.0, log10=2)


def test_all_that_is_outside_is_told_at_once():
    with pytest.raises(Faults) as found:
        giardia(20.0, 9.0, 12.0, log10=2)
    assert [one.field for one in found.value.faults] == ["strength_mg_l", "ph", "log10"]


@pytest.mark.parametrize("temp_c", [-1.0, 41.0, float("nan")])
def test_water_that_is_none_is_refused(temp_c):
    with pytest.raises(OutOfRange, match="temp_c"):
        giardia(temp_c, 1.0, 7.0)


@pytest.mark.parametrize("wrong", [{"temp_c": 0.5}, {"ph": 5.9}, {"strength_mg_l": 0.3}, {"log10": 3.5}, {"log10": 0}])
def test_equation_is_not_used_outside_its_range(wrong):
    with pytest.raises(OutOfRange, match=next(iter(wrong))):
        ct_from_equation("free chlorine", "giardia", **{"log10": 3, "temp_c": 10.0, "strength_mg_l": 1.0, "ph": 7.0,
                                                        **wrong})


def test_unknown_pair_is_offered_what_there_is():
    with pytest.raises(UnknownName, match="giardia with ozone"):
        ct_from_table("ozone", "cryptosporidium", log10=3, temp_c=10.0)
    with pytest.raises(UnknownName, match="equation"):
        ct_from_equation("chloramines", "virus", log10=4, temp_c=10.0)


def test_ultraviolet_dose_is_not_read_between_its_cells():
    assert uv_dose("virus", log10=4).number == 186.0 and uv_dose("virus", log10=4).known == "secondary"
    assert uv_dose("virus", log10=3).known == "memory"
    with pytest.raises(OutOfRange, match="1, 2, 3, 4"):
        uv_dose("giardia", log10=2.5)
    with pytest.raises(UnknownName, match="giardia"):
        uv_dose("giarda", log10=2)

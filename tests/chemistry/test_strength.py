"""The ways in which labels state a strength."""

import pytest

from tersum.chemistry.strength import (
    active,
    is_alcohol,
    mg_kg_from_mg_l,
    powder_g_per_l,
    volume_strength,
    wv_from_ww,
    ww_from_vv,
)
from tersum.errors import OutOfRange


def test_every_unit_of_one_strength_gives_the_same_mass_per_volume():
    made = [active("a", 4.0, "% w/w", density_kg_l=1.09), active("a", 4.36, "% w/v"), active("a", 43.6, "g/L"),
            active("a", 43600.0, "mg/L")]
    assert [one.strength_mg_l for one in made] == pytest.approx([43600.0] * 4, rel=1e-12)
    assert made[0].strength_g_l == pytest.approx(43.6)


def test_tolerance_of_a_label_is_rectangular():
    assert active("a", 4.0, "g/L", tolerance_frac=0.1).standard_uncertainty_mg_l == pytest.approx(400.0 / 3 ** 0.5)


def test_alcohols_are_known_as_such():
    assert is_alcohol(" Propan-2-ol ") and not is_alcohol("hydrogen peroxide") and not is_alcohol("something new")


@pytest.mark.parametrize("name", ["isopropanol", "Isopropyl alcohol", "IPA", "methanol", "1-propanol", "n-Propanol",
                                  "ethyl alcohol", "Ethanol 96 % v/v", "ethanol (denatured)", "denatured ethanol",
                                  "propanols", "2-propanol, 70 %"])
def test_common_names_of_alcohols_are_alcohols(name):
    assert is_alcohol(name)


@pytest.mark.parametrize("name", ["benzyl alcohol", "phenoxyethanol", "alcohol ethoxylates", "2-aminoethanol",
                                  "glycerol", "isotridecanol, ethoxylated", "polyvinyl alcohol"])
def test_names_that_only_sound_like_a_light_alcohol_are_none(name):
    assert not is_alcohol(name)


def test_volume_strength_counts_half_a_mole_of_oxygen():
    """Twice the peroxide gives twice the volumes; 34.015 g/L, one mole in a litre, gives half a molar volume."""
    assert volume_strength(34.015, molar_volume_l=22.414) == pytest.approx(11.207, rel=1e-12)
    assert volume_strength(120.0) == pytest.approx(2 * volume_strength(60.0), rel=1e-12)


@pytest.mark.parametrize("wrong", [
    lambda: wv_from_ww(0.0, 1.1), lambda: wv_from_ww(30.0, 0.0), lambda: wv_from_ww(101.0, 1.1),
    lambda: ww_from_vv(0.0, pure_kg_m3=789.0, solution_kg_m3=885.0),
    lambda: ww_from_vv(70.0, pure_kg_m3=float("nan"), solution_kg_m3=885.0),
    lambda: ww_from_vv(100.0, pure_kg_m3=789.0, solution_kg_m3=700.0), lambda: mg_kg_from_mg_l(-1.0, 1.1),
    lambda: mg_kg_from_mg_l(1000.0, float("inf")), lambda: volume_strength(float("nan")),
    lambda: volume_strength(60.0, molar_volume_l=0.0), lambda: powder_g_per_l(36.0, 35.0),
    lambda: powder_g_per_l(0.0, 35.0), lambda: powder_g_per_l(0.5, 0.0),
    lambda: active("a", 4.0, "g/L", tolerance_frac=0.6),
])
def test_strength_that_cannot_be_is_refused(wrong):
    with pytest.raises(OutOfRange):
        wrong()

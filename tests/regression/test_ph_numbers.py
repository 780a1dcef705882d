"""Our own pH of a dozen solutions: a change of solver or constants shows here first, by how much."""

import pytest

from tersum.chemistry.ph import solution
from tersum.chemistry.recipe import Water

TAP, AIR = Water.of_mmol(3.0, carbonate_mmol_kg=3.3), Water.of_mmol(3.0, pco2_atm=0.00042)
SOLUTIONS = [
    ({"acetic acid": 0.01}, 25.0, Water(), 3.38722),
    ({"acetic acid": 0.01}, 5.0, TAP, 4.38068),
    ({"acetic acid": 0.01}, 45.0, AIR, 4.39074),
    ({"acetic acid": 0.3, "sodium acetate": 0.3}, 25.0, Water(), 4.62154),
    ({"peracetic acid": 0.05}, 25.0, TAP, 6.49669),
    ({"hydrogen peroxide": 1.0, "sodium hydroxide": 0.05}, 20.0, Water(), 10.35644),
    ({"citric acid": 0.02, "sodium hydroxide": 0.03}, 25.0, AIR, 4.72034),
    ({"phosphoric acid": 0.01, "sodium hydroxide": 0.015}, 25.0, Water(), 7.02690),
    ({"ammonia": 0.02}, 25.0, AIR, 9.20500),
    ({"sodium hypochlorite": 0.01}, 20.0, TAP, 8.87261),
    ({"sulfuric acid": 0.01}, 25.0, TAP, 1.95277),
    ({"sodium carbonate": 0.02}, 60.0, Water(), 10.49435),
]


@pytest.mark.parametrize(("mixture", "temp_c", "water", "ph"), SOLUTIONS)
def test_ph_is_what_it_was(mixture, temp_c, water, ph):
    assert solution(mixture, temp_c=temp_c, water=water).ph == pytest.approx(ph, abs=2e-5)

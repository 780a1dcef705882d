"""The condensate is judged as if the fill water held no alkalinity."""

WHAT = "the alkalinity of the fill water is left out when two pH are weighed"
BREAKS = ["tests/chemistry/test_condensate.py::test_sixfold_hydronium_from_alkaline_water_needs_no_conversion"]


def apply(monkeypatch):
    from tersum.chemistry import condensate
    from tersum.chemistry.recipe import Water

    monkeypatch.setattr(condensate, "_in_air", lambda _alkalinity: Water(0.0, pco2_atm=condensate.AIR_PCO2_ATM))

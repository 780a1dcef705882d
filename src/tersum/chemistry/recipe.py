"""What is in a solution, as the charge balance needs it: totals of weak acids, strong ions, and the water."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.equilibria import CARBONIC, CO2_GAS, WATER, Substance, acid, dissociation, substance
from tersum.errors import N_, OutOfRange, TersumError

LOWEST_C, HIGHEST_C = 0.0, 60.0
MOST_MOL_KG = 20.0


@dataclass(frozen=True)
class Water:
    """The water a solution is made with, before anything is put in.

    ``alkalinity_mol_kg`` is the acid capacity (eq/kg): the charge of the cations that no acid holds. The carbonate that
    goes with it is either closed in (``carbonate_mol_kg``, total carbonate) or open to air (``pco2_atm``); one of the
    two must be stated where there is alkalinity. ``other_salts_mol_kg`` is the ionic strength of neutral salts.
    """

    alkalinity_mol_kg: float = 0.0
    carbonate_mol_kg: float | None = None
    pco2_atm: float | None = None
    other_salts_mol_kg: float = 0.0

    @classmethod
    def of_mmol(cls, alkalinity_mmol_kg: float, *, carbonate_mmol_kg: float | None = None,
                pco2_atm: float | None = None) -> Water:
        """Return a water from mmol/kg (meq/kg), as analyses print it.

        >>> Water.of_mmol(3.0, carbonate_mmol_kg=3.3)
        Water(alkalinity_mol_kg=0.003, carbonate_mol_kg=0.0033, pco2_atm=None, other_salts_mol_kg=0.0)
        """
        carbonate = None if carbonate_mmol_kg is None else carbonate_mmol_kg / 1000.0
        return cls(alkalinity_mmol_kg / 1000.0, carbonate, pco2_atm)


PURE_WATER = Water()


@dataclass(frozen=True)
class Part:
    """One weak acid or base in a solution: its name, charge with every proton on, total strength and constants."""

    name: str
    top_charge: int
    total_mol_kg: float
    constants: tuple[float, ...]


@dataclass(frozen=True)
class Recipe:
    """A solution as the charge balance sees it; strong ions are those that no pH changes.

    ``co2_mol_kg`` is the activity of dissolved CO2 that the air holds up, None in a closed solution;
    ``carbonate_constants`` belong to it.
    """

    parts: tuple[Part, ...]
    strong_cations_mol_kg: float
    strong_anions_mol_kg: float
    water_constant: float
    co2_mol_kg: float | None
    carbonate_constants: tuple[float, ...]
    other_salts_mol_kg: float
    temp_c: float


def recipe(composition: Mapping[str, float], *, temp_c: float = 25.0, water: Water = PURE_WATER,
           strong_acid_mol_kg: float = 0.0, pks: Mapping[str, Sequence[float]] | None = None) -> Recipe:
    """Return what the charge balance needs of a mixture, or all that is wrong with it at once.

    Parameters
    ----------
    composition : mapping of str to float
        Total strength of each substance of the catalogue, mol per kg of water, 0 to 20.
    temp_c : float
        0 to 60 °C.
    strong_acid_mol_kg : float
        Strong acid beside the named substances; negative for a base; -20 to 20.
    pks : mapping of str to sequence of float, optional
        pKs to take in place of the catalogue's, by acid, in order of proton loss, at this temperature.

    Raises
    ------
    UnknownName, OutOfRange
        Together as Faults where there are several.
    """
    checks = Checks()
    found = _substances(composition, checks)
    checks.number("temp_c", temp_c, N_("0 to 60 °C"), low=LOWEST_C, high=HIGHEST_C)
    checks.number("strong_acid_mol_kg", strong_acid_mol_kg, N_("-20 to 20 mol/kg"), low=-MOST_MOL_KG, high=MOST_MOL_KG)
    own = pks or {}
    for name, values in own.items():
        _check_pks(name, values, checks)
    _check_water(water, any(one.acid == CARBONIC and amount for one, amount in found), checks)
    checks.done()
    totals: dict[str, float] = {}
    cations, anions = max(-strong_acid_mol_kg, 0.0) + water.alkalinity_mol_kg, max(strong_acid_mol_kg, 0.0)
    for one, amount in found:
        if one.acid:
            totals[one.acid] = totals.get(one.acid, 0.0) + amount
        cations += max(one.counter_charge, 0) * amount
        anions += max(-one.counter_charge, 0) * amount
    if water.carbonate_mol_kg:
        totals[CARBONIC] = totals.get(CARBONIC, 0.0) + water.carbonate_mol_kg
    co2 = None
    if water.pco2_atm is not None:
        # The air gives an open solution its carbonate, whatever was put in.
        totals.pop(CARBONIC, None)
        co2 = dissociation(CO2_GAS, temp_c)[0] * water.pco2_atm
    # Sorted, so that the order in which things are named cannot change a digit.
    parts = tuple(Part(name, acid(name).top_charge, totals[name],
                       tuple(10.0**-value for value in own[name]) if name in own else dissociation(name, temp_c))
                  for name in sorted(totals) if totals[name] > 0.0)
    return Recipe(parts, cations, anions, dissociation(WATER, temp_c)[0], co2,
                  () if co2 is None else dissociation(CARBONIC, temp_c), water.other_salts_mol_kg, temp_c)


def _substances(composition: Mapping[str, float], checks: Checks) -> list[tuple[Substance, float]]:
    found = []
    for name, amount in composition.items():
        try:
            one = substance(name)
        except TersumError as fault:
            checks.add(fault)
            continue
        found.append((one, checks.number(name, amount, N_("0 to 20 mol/kg"), low=0.0, high=MOST_MOL_KG)))
    return found


def _check_pks(name: str, values: Sequence[float], checks: Checks) -> None:
    try:
        steps = len(acid(name).terms)
    except TersumError as fault:
        checks.add(fault)
        return
    if len(values) != steps:
        checks.add(OutOfRange(f"pks: {name}", len(values), N_("{steps} in order of proton loss"), steps=steps))
    for value in values:
        checks.number(f"pks: {name}", value, N_("-2 to 16"), low=-2.0, high=16.0)


def _check_water(water: Water, carbonate_put_in: bool, checks: Checks) -> None:
    checks.number("alkalinity_mol_kg", water.alkalinity_mol_kg, N_("0 to 1 mol/kg"), low=0.0, high=1.0)
    checks.number("other_salts_mol_kg", water.other_salts_mol_kg, N_("0 to 1 mol/kg"), low=0.0, high=1.0)
    if water.carbonate_mol_kg is not None:
        checks.number("carbonate_mol_kg", water.carbonate_mol_kg, N_("0 to 1 mol/kg"), low=0.0, high=1.0)
    if water.pco2_atm is not None:
        checks.number("pco2_atm", water.pco2_atm, N_("0 to 1 atm"), low=0.0, high=1.0)
    both = water.carbonate_mol_kg is not None and water.pco2_atm is not None
    neither = water.carbonate_mol_kg is None and water.pco2_atm is None
    if both or (neither and water.alkalinity_mol_kg and not carbonate_put_in):
        given = (water.carbonate_mol_kg, water.pco2_atm)
        checks.add(OutOfRange("carbonate_mol_kg, pco2_atm", given, N_("one of the two where the water has alkalinity: "
                                                                      "closed (total carbonate) or open to air")))

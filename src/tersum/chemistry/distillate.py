"""Forward model of a condensate: what a solution of acids sends over as vapour, as droplets, and after conversion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tersum.chemistry.accepted import Checks
from tersum.chemistry.ph import Solution, solution
from tersum.chemistry.recipe import PURE_WATER, Water
from tersum.errors import N_

ACETIC, PERACETIC = "acetic acid", "peracetic acid"


@dataclass(frozen=True)
class Distillate:
    """A solution and its condensate: the acid that could evaporate (undissociated), mol/kg, and what came over.

    ``hydronium_ratio`` is the concentration of hydrogen ions in the condensate over that in the solution.
    """

    solution: Solution
    undissociated_mol_kg: float
    condensate: Solution

    @property
    def hydronium_ratio(self) -> float:
        """How many times more hydrogen ions the condensate holds."""
        return self.condensate.hydronium_mol_kg / self.solution.hydronium_mol_kg


@dataclass(frozen=True)
class Conversion:
    """A solution before and after peracid turned into acetic acid, whether or not oxygen came off."""

    before: Solution
    after: Solution

    @property
    def hydronium_ratio(self) -> float:
        """Hydrogen ions after over before."""
        return self.after.hydronium_mol_kg / self.before.hydronium_mol_kg


def distilled(acetic_mol_kg: float, *, water: Water = PURE_WATER, alpha: float, entrained_frac: float = 0.0,
              solution_c: float = 25.0, condensate_c: float = 25.0, air_pco2_atm: float = 0.0) -> Distillate:
    """Return the condensate that a solution of acetic acid gives at the start of boiling.

    Parameters
    ----------
    acetic_mol_kg : float
        Total acetic acid in the boiler, 0 to 2 mol/kg.
    water : Water
        The water it was filled with.
    alpha : float
        Volatility of the undissociated acid relative to water, 0 to 10; 0.7 +- 0.2 at the boil.
    entrained_frac : float
        Share of the condensate that came over as droplets of the whole liquid, salts included, 0 to 1.
    air_pco2_atm : float
        CO2 over the condensate, 0 to 0.1.

    Source
    ------
    Mass balance: only the undissociated form evaporates; salts and alkalinity stay behind. The share that is
    dissociated is taken at the temperature of the reading, not at the boil: the alkalinity fixes it, pKa hardly.

    Examples
    --------
    >>> tap = Water(0.003, pco2_atm=0.00042)
    >>> found = distilled(0.01, water=tap, alpha=0.7)
    >>> round(found.solution.ph, 3), round(found.condensate.ph, 3), round(found.hydronium_ratio, 1)
    (4.371, 3.548, 6.4)
    """
    checks = Checks()
    checks.number("acetic_mol_kg", acetic_mol_kg, N_("0 to 2 mol/kg"), low=0.0, high=2.0)
    checks.number("alpha", alpha, N_("0 to 10"), low=0.0, high=10.0)
    checks.number("entrained_frac", entrained_frac, N_("0 to 1"), low=0.0, high=1.0)
    checks.number("air_pco2_atm", air_pco2_atm, N_("0 to 0.1 atm"), low=0.0, high=0.1)
    checks.done()
    boiler = solution({ACETIC: acetic_mol_kg}, temp_c=solution_c, water=water)
    free = boiler.species.get(f"{ACETIC}:0", 0.0)
    over = (1.0 - entrained_frac) * alpha * free + entrained_frac * acetic_mol_kg
    droplets = Water(entrained_frac * water.alkalinity_mol_kg, pco2_atm=air_pco2_atm,
                     other_salts_mol_kg=entrained_frac * water.other_salts_mol_kg)
    return Distillate(boiler, free, solution({ACETIC: over}, temp_c=condensate_c, water=droplets))


def converted(acetic_mol_kg: float, peracetic_mol_kg: float, *, converted_frac: float, temp_c: float = 25.0,
              water: Water = PURE_WATER) -> Conversion:
    """Return a solution before and after a share of its peracid has become acetic acid.

    Parameters
    ----------
    acetic_mol_kg, peracetic_mol_kg : float
        0 to 2 mol/kg.
    converted_frac : float
        0 to 1.

    Source
    ------
    CH3CO3H -> CH3CO2H + 1/2 O2 and CH3CO3H + H2O -> CH3CO2H + H2O2 make the same acid; the second makes no oxygen, and
    2 H2O2 -> 2 H2O + O2 changes no hydrogen ion at all. So no pH tells whether oxygen came off.

    Examples
    --------
    >>> found = converted(0.01, 0.005, converted_frac=1.0)
    >>> round(found.before.ph, 3), round(found.after.ph, 3), round(found.hydronium_ratio, 2)
    (3.387, 3.297, 1.23)
    """
    checks = Checks()
    checks.number("acetic_mol_kg", acetic_mol_kg, N_("0 to 2 mol/kg"), low=0.0, high=2.0)
    checks.number("peracetic_mol_kg", peracetic_mol_kg, N_("0 to 2 mol/kg"), low=0.0, high=2.0)
    checks.number("converted_frac", converted_frac, N_("0 to 1"), low=0.0, high=1.0)
    checks.done()
    turned = converted_frac * peracetic_mol_kg
    mixtures: tuple[Mapping[str, float], ...] = (
        {ACETIC: acetic_mol_kg, PERACETIC: peracetic_mol_kg},
        {ACETIC: acetic_mol_kg + turned, PERACETIC: peracetic_mol_kg - turned})
    before, after = (solution(one, temp_c=temp_c, water=water) for one in mixtures)
    return Conversion(before, after)

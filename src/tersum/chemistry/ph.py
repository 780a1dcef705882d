"""The pH of one solution: charge balance of weak acids and bases, strong ions and carbonate, in plain Python."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.chemistry.activity import DAVIES, ActivityModel, debye_slope, log10_coefficient
from tersum.chemistry.equilibria import CARBONIC
from tersum.chemistry.flags import Flag, validity
from tersum.chemistry.recipe import PURE_WATER, Recipe, Water, recipe
from tersum.errors import N_, OutOfRange

LN10 = math.log(10.0)
HIGHEST_IONIC_STRENGTH = 1.0
# Bracket of ln(activity of H+): beyond it there is no aqueous solution that this program accepts.
LOWEST_LN, HIGHEST_LN = -16.0 * LN10, 2.0 * LN10
# Steps in ln(activity) and in the ionic strength at which a pH counts as found, to about 1e-9: Newton's last step
# leaves the square of itself. No meter resolves a thousandth.
LN_STEP = 1e-6
SETTLED = 1e-8
MOST_PASSES = 200
LONGEST_STEP = 4.0

Charges = tuple[float, float, float, float]


@dataclass(frozen=True)
class Solution:
    """A solution at equilibrium: ``species`` in mol/kg by name and charge, as ``acetic acid:-1``; H+ and OH- too."""

    ph: float
    ionic_strength_mol_kg: float
    species: Mapping[str, float]
    temp_c: float
    flags: tuple[Flag, ...] = ()

    @property
    def hydronium_mol_kg(self) -> float:
        """Concentration of hydrogen ions, mol/kg; the pH is that of their activity."""
        return self.species["H+"]


def solution(composition: Mapping[str, float], *, temp_c: float = 25.0, water: Water = PURE_WATER,
             strong_acid_mol_kg: float = 0.0, pks: Mapping[str, Sequence[float]] | None = None,
             model: ActivityModel = DAVIES) -> Solution:
    """Return the pH of a mixture of weak acids, bases and salts in a water.

    Parameters
    ----------
    composition : mapping of str to float
        Total strength of each substance of the catalogue, mol per kg of water, 0 to 20. The order does not matter.
    temp_c : float
        Temperature of the solution, 0 to 60 °C.
    water : Water
        Alkalinity and carbonate of the water.
    strong_acid_mol_kg : float
        Strong acid beside the named substances (stabilisers and the like, fitted per product); negative for a base.
    pks : mapping of str to sequence of float, optional
        pKs to take in place of the catalogue's, by acid, in order of proton loss, at this temperature.
    model : ActivityModel
        Activity coefficients; plain Davies unless another is given.

    Raises
    ------
    UnknownName, OutOfRange
        All at once as Faults; also where the ionic strength passes 1 mol/kg, where no Davies equation holds.

    Source
    ------
    Charge balance and mass action (stumm-morgan-1996, chapter 3) with Davies activities (davies-1962). Flagged above
    0.5 mol/kg of ionic strength, where the pH may be off by 0.05, and where a constant is used outside its range.
    Peracid and peroxide hardly move the pH beside acetic acid: a pH checks the dilution and the water, not the
    strength of the peracid.

    Examples
    --------
    >>> round(solution({"acetic acid": 0.01}).ph, 3)
    3.387
    >>> tap = Water(alkalinity_mol_kg=0.003, pco2_atm=0.00042)
    >>> round(solution({"acetic acid": 0.01}, water=tap).ph, 3)
    4.371
    """
    made = recipe(composition, temp_c=temp_c, water=water, strong_acid_mol_kg=strong_acid_mol_kg, pks=pks)
    balance, ln_activity, ionic_strength = solved(made, model)
    if ionic_strength > HIGHEST_IONIC_STRENGTH:
        raise OutOfRange("ionic_strength_mol_kg", ionic_strength, N_("up to 1 mol/kg; dilute further"))
    species = balance.species(math.exp(ln_activity))
    return Solution(-ln_activity / LN10, ionic_strength, species, temp_c, validity(made, ionic_strength))


def strong_acid_for(ph: float, composition: Mapping[str, float], *, temp_c: float = 25.0, water: Water = PURE_WATER,
                    model: ActivityModel = DAVIES) -> float:
    """Return the strong acid, mol/kg, that brings a mixture to a pH; negative where a strong base is needed.

    Parameters are those of :func:`solution`; ``ph`` from -1 to 15.

    Examples
    --------
    >>> acid = strong_acid_for(3.0, {"acetic acid": 0.01})
    >>> round(solution({"acetic acid": 0.01}, strong_acid_mol_kg=acid).ph, 6)
    3.0
    """
    activity = 10.0 ** -number("ph", ph, N_("-1 to 15"), low=-1.0, high=15.0)
    made = recipe(composition, temp_c=temp_c, water=water)
    acid = ionic_strength = 0.0
    for _ in range(MOST_PASSES):
        balance = Balance(made, ionic_strength, model)
        positive, negative, _rise, _fall = balance.charges(activity)
        acid = positive - negative
        before, ionic_strength = ionic_strength, balance.ionic_strength(activity) + 0.5 * abs(acid)
        if abs(ionic_strength - before) <= 1e-13 + SETTLED * ionic_strength:
            return acid
        if ionic_strength > HIGHEST_IONIC_STRENGTH:
            break
    raise OutOfRange("ionic_strength_mol_kg", ionic_strength, N_("up to 1 mol/kg; dilute further"))


class Balance:
    """The charge balance at one ionic strength: constants turned into concentrations once, then called for many pH."""

    def __init__(self, made: Recipe, ionic_strength: float, model: ActivityModel = DAVIES):
        self.made = made
        slope = debye_slope(made.temp_c)
        if model.ion_size_a:
            def g(name: str, charge: int) -> float:
                return float(10.0 ** log10_coefficient(ionic_strength, charge, slope=slope, model=model, species=name))
        else:
            by_charge = [float(10.0 ** log10_coefficient(ionic_strength, charge, slope=slope, model=model))
                         for charge in range(5)]

            def g(name: str, charge: int) -> float:
                return by_charge[abs(charge)]

        self.g_hydrogen = g("H+", 1)
        self.hydroxide = made.water_constant / g("OH-", -1)
        self.parts: list[tuple[str, int, float, list[float]]] = []
        for part in made.parts:
            name, top = part.name, part.top_charge
            steps = [g(f"{name}:{top - step}", top - step) for step in range(len(part.constants) + 1)]
            here = [constant * steps[at] / steps[at + 1] for at, constant in enumerate(part.constants)]
            self.parts.append((name, top, part.total_mol_kg, here))
        self.open: tuple[float, float, float] | None = None
        if made.co2_mol_kg is not None:
            none, one, two = (g(f"{CARBONIC}:{-step}", -step) for step in range(3))
            first, second = made.carbonate_constants
            # The air fixes the activity of CO2, so its molality is that over its coefficient.
            self.open = (made.co2_mol_kg / none, first * none / one, second * one / two)

    def charges(self, activity: float) -> Charges:
        """Return positive and negative charge at an activity of H+, and how each changes per unit of ln(activity)."""
        positive = rise = activity / self.g_hydrogen
        negative = fall = self.hydroxide / activity
        # Only the net strong charge: two large equal charges would drown the hydrogen ions in rounding.
        net = self.made.strong_cations_mol_kg - self.made.strong_anions_mol_kg
        if net > 0.0:
            positive += net
        else:
            negative -= net
        for _name, top, total, constants in self.parts:
            if top == 0 and len(constants) == 1:
                ion = total * constants[0] / (constants[0] + activity)
                negative += ion
                fall += ion * activity / (constants[0] + activity)
                continue
            shares = _shares(activity, constants)
            lost = 0.0
            for step, share in enumerate(shares):
                lost += step * share
            for step, share in enumerate(shares):
                charge = top - step
                if charge > 0:
                    positive += charge * total * share
                    rise += charge * total * share * (lost - step)
                elif charge < 0:
                    negative -= charge * total * share
                    fall += charge * total * share * (lost - step)
        if self.open:
            co2, first, second = self.open
            once = co2 * first / activity
            twice = once * second / activity
            negative += once + 2.0 * twice
            fall += once + 4.0 * twice
        return positive, negative, rise, fall

    def species(self, activity: float) -> dict[str, float]:
        """Return each species, mol/kg, by name and charge."""
        found = {"H+": activity / self.g_hydrogen, "OH-": self.hydroxide / activity}
        for name, top, total, constants in self.parts:
            for step, share in enumerate(_shares(activity, constants)):
                found[f"{name}:{top - step}"] = total * share
        if self.open:
            co2, first, second = self.open
            found[f"{CARBONIC}:0"] = co2
            found[f"{CARBONIC}:-1"] = co2 * first / activity
            found[f"{CARBONIC}:-2"] = co2 * first * second / activity**2
        return found

    def ionic_strength(self, activity: float) -> float:
        """Return the ionic strength, mol/kg; strong ions count as single charges."""
        doubled = activity / self.g_hydrogen + self.hydroxide / activity
        doubled += self.made.strong_cations_mol_kg + self.made.strong_anions_mol_kg
        for _name, top, total, constants in self.parts:
            if top == 0 and len(constants) == 1:
                doubled += total * constants[0] / (constants[0] + activity)
            else:
                shares = _shares(activity, constants)
                doubled += total * sum((top - step) ** 2 * share for step, share in enumerate(shares))
        if self.open:
            co2, first, second = self.open
            doubled += co2 * first / activity * (1.0 + 4.0 * second / activity)
        return 0.5 * doubled + self.made.other_salts_mol_kg


def _shares(activity: float, constants: list[float]) -> list[float]:
    """Return the share of each form, from the one with every proton on downwards."""
    weights, weight = [1.0], 1.0
    for constant in constants:
        weight *= constant / activity
        weights.append(weight)
    whole = sum(weights)
    return [one / whole for one in weights]


def solved(made: Recipe, model: ActivityModel = DAVIES) -> tuple[Balance, float, float]:
    """Return the balance, ln(activity of H+) and the ionic strength, once both have settled.

    Coefficients are taken at 1 mol/kg at most; a solution that settles above is for the caller to refuse.
    """
    ln_activity = (-7.0 if made.strong_cations_mol_kg > made.strong_anions_mol_kg else -4.0) * LN10
    strength = 0.5 * (made.strong_cations_mol_kg + made.strong_anions_mol_kg) + made.other_salts_mol_kg
    for _ in range(MOST_PASSES):
        balance = Balance(made, min(strength, HIGHEST_IONIC_STRENGTH), model)
        ln_activity = _root(balance, ln_activity)
        before, strength = strength, balance.ionic_strength(math.exp(ln_activity))
        if abs(strength - before) <= 1e-13 + SETTLED * strength:
            break
    return balance, ln_activity, strength


def _root(balance: Balance, start: float) -> float:
    """Return ln(activity) where the charges balance.

    The logarithm of positive over negative charge rises all the way, so Newton steps inside a closing bracket cannot
    miss; where one leaves the bracket it is halved instead.
    """
    low, high, here = LOWEST_LN, HIGHEST_LN, start
    for turn in range(MOST_PASSES):
        positive, negative, rise, fall = balance.charges(math.exp(here))
        off = math.log(positive / negative)
        if off > 0.0:
            high = here
        else:
            low = here
        # Between two buffers the balance is flat and a whole step would be a leap.
        there = here - max(-LONGEST_STEP, min(LONGEST_STEP, off / (rise / positive + fall / negative)))
        if not low <= there <= high or turn > 40:
            there = 0.5 * (low + high)
        if abs(there - here) < LN_STEP:
            return there
        here = there
    return here

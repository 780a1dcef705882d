"""The pH of one solution: charge balance of weak acids and bases, strong ions and carbonate, in plain Python."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.chemistry.activity import DAVIES, ActivityModel, debye_slope, log10_coefficient
from tersum.chemistry.equilibria import CARBONIC
from tersum.chemistry.flags import Flag, validity
from tersum.chemistry.recipe import PURE_WATER, Part, Recipe, Water, recipe
from tersum.errors import N_, OutOfRange

LN10 = math.log(10.0)
HIGHEST_IONIC_STRENGTH = 1.0
# Bracket of ln(activity of H+): beyond it there is no aqueous solution that this program accepts.
LOWEST_LN, HIGHEST_LN = -16.0 * LN10, 2.0 * LN10
# Steps in ln(activity) and in the ionic strength (relative) at which a pH counts as found, to about 1e-7: Newton's last
# step leaves about the square of itself, and a millionth of ionic strength moves no pH by more than a tenth of that.
# No meter resolves a thousandth.
LN_STEP = 3e-4
SETTLED = 1e-6
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
    balance = Balance(made, ionic_strength, model)
    for _ in range(MOST_PASSES):
        balance.tune(ionic_strength)
        positive, negative, _rise, _fall = balance.charges(activity)
        acid = positive - negative
        before, ionic_strength = ionic_strength, balance.ionic_strength(activity) + 0.5 * abs(acid)
        if abs(ionic_strength - before) <= 1e-13 + SETTLED * ionic_strength:
            return acid
        if ionic_strength > HIGHEST_IONIC_STRENGTH:
            break
    raise OutOfRange("ionic_strength_mol_kg", ionic_strength, N_("up to 1 mol/kg; dilute further"))


class Balance:
    """The charge balance of a recipe: tuned to an ionic strength, then called for many pH.

    Acids of one proton share one ratio of coefficients: for them the activity is scaled, not each constant.
    """

    __slots__ = ("_cation", "_hydrogen", "_hydroxide", "_lift", "_many", "_model", "_open", "_single", "_slope",
                 "_tuned", "made")

    def __init__(self, made: Recipe, ionic_strength: float, model: ActivityModel = DAVIES):
        self.made, self._model, self._slope = made, model, debye_slope(made.temp_c)
        self._single: list[tuple[float, float]] = []
        self._many: list[Part] = []
        for part in made.parts:
            plain = part.top_charge == 0 and len(part.constants) == 1 and f"{part.name}:-1" not in model.ion_size_a
            if plain:
                self._single.append((part.constants[0], part.total_mol_kg * part.constants[0]))
            else:
                self._many.append(part)
        self.tune(ionic_strength)

    def tune(self, ionic_strength: float) -> None:
        """Take the activity coefficients at another ionic strength, mol/kg."""
        made, model, slope = self.made, self._model, self._slope
        one: float = 10.0 ** log10_coefficient(ionic_strength, 1, slope=slope, model=model)
        none: float = 10.0 ** (model.neutral_linear * ionic_strength)
        table = (none, one, one**4, one**9, one**16)

        def g(name: str, charge: int) -> float:
            if name in model.ion_size_a:
                own: float = 10.0 ** log10_coefficient(ionic_strength, charge, slope=slope, model=model, species=name)
                return own
            return table[abs(charge)]

        self._hydrogen, self._lift = g("H+", 1), one / none
        self._hydroxide = made.water_constant / g("OH-", -1)
        self._tuned: list[tuple[int, float, list[float]]] = []
        for part in self._many:
            steps = [g(f"{part.name}:{charge}", charge)
                     for charge in range(part.top_charge, part.top_charge - len(part.constants) - 1, -1)]
            here = [constant * steps[at] / steps[at + 1] for at, constant in enumerate(part.constants)]
            self._tuned.append((part.top_charge, part.total_mol_kg, here))
        self._open: tuple[float, float, float] | None = None
        if made.co2_mol_kg is not None:
            free, single, double = (g(f"{CARBONIC}:{-step}", -step) for step in range(3))
            first, second = made.carbonate_constants
            # The air fixes the activity of CO2, so its molality is that over its coefficient.
            self._open = (made.co2_mol_kg / free, first * free / single, second * single / double)

    @property
    def g_hydrogen(self) -> float:
        """Activity coefficient of hydrogen ions."""
        return self._hydrogen

    def charges(self, activity: float) -> Charges:
        """Return positive and negative charge at an activity of H+, and how each changes per unit of ln(activity)."""
        positive = rise = activity / self._hydrogen
        negative = fall = self._hydroxide / activity
        # Only the net strong charge: two large equal charges would drown the hydrogen ions in rounding.
        net = self.made.strong_cations_mol_kg - self.made.strong_anions_mol_kg
        if net > 0.0:
            positive += net
        else:
            negative -= net
        lifted = activity * self._lift
        for constant, both in self._single:
            whole = constant + lifted
            ion = both / whole
            negative += ion
            fall += ion * lifted / whole
        for top, total, constants in self._tuned:
            if top == 0 and len(constants) == 2:  # as below, written out: carbonate is in every tap water
                once = constants[0] / activity
                twice = once * constants[1] / activity
                whole = 1.0 + once + twice
                lost = (once + 2.0 * twice) / whole
                negative += total * lost
                fall += total * ((once + 4.0 * twice) / whole - lost * lost)
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
        if self._open:
            co2, first, second = self._open
            once = co2 * first / activity
            twice = once * second / activity
            negative += once + 2.0 * twice
            fall += once + 4.0 * twice
        return positive, negative, rise, fall

    def species(self, activity: float) -> dict[str, float]:
        """Return each species, mol/kg, by name and charge."""
        found = {"H+": activity / self._hydrogen, "OH-": self._hydroxide / activity}
        tuned = iter(self._tuned)
        for part in self.made.parts:
            top, total = part.top_charge, part.total_mol_kg
            constants = next(tuned)[2] if part in self._many else [part.constants[0] / self._lift]
            for step, share in enumerate(_shares(activity, constants)):
                found[f"{part.name}:{top - step}"] = total * share
        if self._open:
            co2, first, second = self._open
            found[f"{CARBONIC}:0"] = co2
            found[f"{CARBONIC}:-1"] = co2 * first / activity
            found[f"{CARBONIC}:-2"] = co2 * first * second / activity**2
        return found

    def ionic_strength(self, activity: float) -> float:
        """Return the ionic strength, mol/kg; strong ions count as single charges."""
        doubled = activity / self._hydrogen + self._hydroxide / activity
        doubled += self.made.strong_cations_mol_kg + self.made.strong_anions_mol_kg
        lifted = activity * self._lift
        for constant, both in self._single:
            doubled += both / (constant + lifted)
        for top, total, constants in self._tuned:
            for step, share in enumerate(_shares(activity, constants)):
                doubled += (top - step) ** 2 * total * share
        if self._open:
            co2, first, second = self._open
            doubled += co2 * first / activity * (1.0 + 4.0 * second / activity)
        return 0.5 * doubled + self.made.other_salts_mol_kg


def _shares(activity: float, constants: list[float]) -> list[float]:
    """Return the share of each form, from the one with every proton on downwards."""
    weights, weight, whole = [1.0], 1.0, 1.0
    for constant in constants:
        weight *= constant / activity
        weights.append(weight)
        whole += weight
    return [one / whole for one in weights]


def solved(made: Recipe, model: ActivityModel = DAVIES) -> tuple[Balance, float, float]:
    """Return the balance, ln(activity of H+) and the ionic strength, once both have settled.

    Coefficients are taken at 1 mol/kg at most; a solution that settles above is for the caller to refuse.
    """
    hydrogen = _first_guess(made)
    ln_activity = max(LOWEST_LN, min(HIGHEST_LN, math.log(hydrogen)))
    strength = hydrogen + max(made.strong_cations_mol_kg, made.strong_anions_mol_kg) + made.other_salts_mol_kg
    balance = Balance(made, min(strength, HIGHEST_IONIC_STRENGTH), model)
    for _ in range(MOST_PASSES):
        ln_activity = _root(balance, ln_activity)
        before, strength = strength, balance.ionic_strength(math.exp(ln_activity))
        if abs(strength - before) <= 1e-13 + SETTLED * strength:
            break
        balance.tune(min(strength, HIGHEST_IONIC_STRENGTH))
    return balance, ln_activity, strength


def _first_guess(made: Recipe) -> float:
    """Return the hydrogen ions to start from, mol/kg: strong ions use up the acids from the strongest on.

    The acid that is not used up holds the pH; a quadratic with it alone is within some ten percent.
    """
    net = made.strong_cations_mol_kg - made.strong_anions_mol_kg
    net += sum(part.top_charge * part.total_mol_kg for part in made.parts)
    weak = made.water_constant
    if made.co2_mol_kg is not None:
        weak += made.carbonate_constants[0] * made.co2_mol_kg
    protons = [(constant, part.total_mol_kg) for part in made.parts for constant in part.constants]
    protons.sort(reverse=True)
    for constant, total in protons:
        if net < total:
            return _quadratic(constant + net, constant * (total - net) + weak)
        net -= total
    return _quadratic(net, weak)


def _quadratic(middle: float, last: float) -> float:
    """Return the positive root of x^2 + middle x - last, without a difference of two near numbers."""
    root = math.sqrt(middle * middle + 4.0 * last)
    return 2.0 * last / (middle + root) if middle > 0.0 else 0.5 * (root - middle)


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

"""The pH of many solutions at once: the charge balance of `ph.py` over NumPy arrays."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.chemistry.accepted import Checks
from tersum.chemistry.activity import DAVIES, SIZE_TERM_AT_25C, SLOPE_AT_25C, ActivityModel, permittivity
from tersum.chemistry.equilibria import CARBONIC, CO2_GAS, KELVIN, WATER, acid, substance
from tersum.chemistry.ph import HIGHEST_IONIC_STRENGTH, HIGHEST_LN, LN10, LN_STEP, LOWEST_LN, SETTLED, solved
from tersum.chemistry.recipe import HIGHEST_C, LOWEST_C, MOST_MOL_KG, Part, Recipe
from tersum.errors import N_, OutOfRange, TersumError

Array = NDArray[np.float64]
# Small enough that all arrays of a block stay in the processor's cache.
BLOCK = 4096
MOST_PASSES = 60
# Between two buffers the balance is flat, and a Newton step in ln(activity) would be a leap.
LONGEST_STEP = 4.0


@dataclass(frozen=True)
class Solutions:
    """Many solutions at equilibrium; every array has the shape of the arguments together.

    ``ph`` is NaN where the ionic strength passes 1 mol/kg: there no Davies equation holds.
    """

    ph: Array
    ionic_strength_mol_kg: Array
    hydronium_mol_kg: Array


def solutions(composition: Mapping[str, ArrayLike], *, temp_c: ArrayLike = 25.0, alkalinity_mol_kg: ArrayLike = 0.0,
              carbonate_mol_kg: ArrayLike | None = None, pco2_atm: ArrayLike | None = None,
              other_salts_mol_kg: ArrayLike = 0.0, strong_acid_mol_kg: ArrayLike = 0.0,
              model: ActivityModel = DAVIES) -> Solutions:
    """Return the pH of many mixtures; the same balance as :func:`tersum.chemistry.ph.solution`.

    Parameters
    ----------
    composition : mapping of str to array_like
        Total strength of each substance, mol/kg of water, 0 to 20. All arguments broadcast together.
    temp_c : array_like
        0 to 60 °C.
    alkalinity_mol_kg, carbonate_mol_kg, pco2_atm : array_like
        The water: acid capacity in eq/kg, 0 to 1, with either closed carbonate, mol/kg, or open air, atm.
    other_salts_mol_kg : array_like
        Ionic strength of neutral salts, 0 to 1.
    strong_acid_mol_kg : array_like
        Strong acid beside the named substances, -20 to 20; negative for a base.

    Raises
    ------
    UnknownName, OutOfRange
        Naming the first value outside what is accepted; several as Faults.

    Source
    ------
    As :func:`tersum.chemistry.ph.solution`. Newton steps on the logarithm of positive over negative charge; a solution
    that does not settle by them is handed to the bracketed solver.

    Examples
    --------
    >>> [round(float(one), 3) for one in solutions({"acetic acid": [0.1, 0.01]}).ph]
    [2.881, 3.387]
    """
    given = {name: np.asarray(amount, dtype=float) for name, amount in composition.items()}
    water = {"temp_c": np.asarray(temp_c, dtype=float), "alkalinity_mol_kg": np.asarray(alkalinity_mol_kg, dtype=float),
             "carbonate_mol_kg": np.asarray(0.0 if carbonate_mol_kg is None else carbonate_mol_kg, dtype=float),
             "pco2_atm": np.asarray(0.0 if pco2_atm is None else pco2_atm, dtype=float),
             "other_salts_mol_kg": np.asarray(other_salts_mol_kg, dtype=float),
             "strong_acid_mol_kg": np.asarray(strong_acid_mol_kg, dtype=float)}
    _check(given, water, closed=carbonate_mol_kg is not None, opened=pco2_atm is not None)
    shape = np.broadcast_shapes(*(one.shape for one in (*given.values(), *water.values())))
    size = math.prod(shape)
    flat = {name: _flat(one, shape) for name, one in {**given, **water}.items()}
    ln_activity, strength, hydronium = np.empty(size), np.empty(size), np.empty(size)
    for start in range(0, size, BLOCK):
        here = slice(start, min(start + BLOCK, size))
        block = {name: one if one.ndim == 0 else one[here] for name, one in flat.items()}
        rows = _Rows(block, tuple(given), here.stop - here.start, model, opened=pco2_atm is not None)
        ln_activity[here], strength[here], hydronium[here] = rows.solved()
    found = np.where(strength > HIGHEST_IONIC_STRENGTH, np.nan, ln_activity / -LN10)
    return Solutions(found.reshape(shape), strength.reshape(shape), hydronium.reshape(shape))


@dataclass(frozen=True)
class _Tuned:
    """Constants as they stand between concentrations at one ionic strength.

    Acids of one proton share one ratio of coefficients: the activity is lifted by it, not each constant scaled.
    """

    g_hydrogen: Array
    hydroxide: Array
    lift: Array
    many: list[tuple[int, Array, list[Array]]]
    opened: tuple[Array, Array, Array] | None


class _Rows:
    """One block of solutions; what is the same in all of them stays a single number."""

    def __init__(self, block: Mapping[str, Array], names: Sequence[str], size: int, model: ActivityModel, *,
                 opened: bool):
        self.size, self.model, self.temp_c = size, model, block["temp_c"]
        kelvin = self.temp_c + KELVIN
        there = _permittivity(self.temp_c) * kelvin
        self.slope = SLOPE_AT_25C * (permittivity(25.0) * 298.15 / there) ** 1.5
        self.water = _dissociation(WATER, kelvin)[0]
        self.salts = block["other_salts_mol_kg"]
        totals, self.cations, self.anions = _totals(block, names)
        self.co2: Array | None = None
        if opened:
            # The air gives an open solution its carbonate, whatever was put in.
            totals.pop(CARBONIC, None)
            self.co2 = _dissociation(CO2_GAS, kelvin)[0] * block["pco2_atm"]
        self.carbonate = _dissociation(CARBONIC, kelvin)
        self.parts = [(name, totals[name], _dissociation(name, kelvin)) for name in sorted(totals)]
        plain = {name for name, _total, constants in self.parts
                 if acid(name).top_charge == 0 and len(constants) == 1 and f"{name}:-1" not in model.ion_size_a}
        self.single = [(constants[0], total * constants[0]) for name, total, constants in self.parts if name in plain]
        self.many = [(name, total, constants) for name, total, constants in self.parts if name not in plain]
        # Only the net strong charge: two large equal charges would drown the hydrogen ions in rounding.
        net = self.cations - self.anions
        self.plus, self.minus = np.maximum(net, 0.0), np.maximum(-net, 0.0)

    def solved(self) -> tuple[Array, Array, Array]:
        """Return ln(activity of H+), the ionic strength and the concentration of H+."""
        hydrogen = self._first_guess()
        here = np.minimum(np.maximum(np.log(hydrogen), LOWEST_LN), HIGHEST_LN)
        strength = hydrogen + np.maximum(self.cations, self.anions) + self.salts
        settled = np.zeros(self.size, dtype=bool)
        for _ in range(MOST_PASSES):
            before = strength
            tuned = self._tuned(np.minimum(strength, HIGHEST_IONIC_STRENGTH))
            step, strength = self._step(np.exp(here), tuned)
            here = np.minimum(np.maximum(here - np.minimum(np.maximum(step, -LONGEST_STEP), LONGEST_STEP), LOWEST_LN),
                              HIGHEST_LN)
            settled = (np.abs(step) < LN_STEP) & (np.abs(strength - before) <= 1e-13 + SETTLED * strength)
            if settled.all():
                break
        # From the last step on, not from before it.
        hydrogen = np.exp(here) / tuned.g_hydrogen
        for place in np.flatnonzero(~settled):
            here[place], strength[place], hydrogen[place] = self._bracketed(int(place))
        return here, strength, hydrogen

    def _first_guess(self) -> Array:
        """Return the hydrogen ions to start from: as in `ph.py`, for every row at once."""
        net = self.cations - self.anions
        for name, total, _constants in self.parts:
            net = net + acid(name).top_charge * total
        weak = self.water if self.co2 is None else self.water + self.carbonate[0] * self.co2
        protons = [(constant, total) for _name, total, constants in self.parts for constant in constants]
        # By the strongest row of each: where two acids cross with temperature, only a guess is worse.
        protons.sort(key=lambda one: -float(np.max(one[0])))
        found, held = np.zeros(self.size), np.zeros(self.size, dtype=bool)
        for constant, total in protons:
            holds = ~held & (net < total)
            if holds.any():
                last = constant * np.maximum(total - net, 0.0) + weak
                found = np.where(holds, _quadratic(constant + net, last), found)
                held |= holds
            net = net - total
            if held.all():
                return found
        return np.where(held, found, _quadratic(net, weak))

    def _tuned(self, strength: Array) -> _Tuned:
        root = np.sqrt(strength)
        one = _ten_to(self.slope * (self.model.linear * strength - root / (1.0 + root)))
        neutral = _ten_to(self.model.neutral_linear * strength) if self.model.neutral_linear else np.asarray(1.0)
        by_charge: dict[int, Array] = {0: neutral, 1: one}

        def g(name: str, charge: int) -> Array:
            size = self.model.ion_size_a.get(name)
            if size is not None:
                spread = SIZE_TERM_AT_25C * (self.slope / SLOPE_AT_25C) ** (1.0 / 3.0)
                return _ten_to(-charge * charge * self.slope * root / (1.0 + spread * size * root))
            if abs(charge) not in by_charge:
                by_charge[abs(charge)] = one ** (charge * charge)
            return by_charge[abs(charge)]

        many = []
        for name, total, constants in self.many:
            top = acid(name).top_charge
            steps = [g(f"{name}:{top - step}", top - step) for step in range(len(constants) + 1)]
            here = [constant * (steps[at] / steps[at + 1]) for at, constant in enumerate(constants)]
            many.append((top, total, here))
        opened = None
        if self.co2 is not None:
            free, single, double = (g(f"{CARBONIC}:{-step}", -step) for step in range(3))
            first, second = self.carbonate
            opened = (self.co2 / free, first * free / single, second * single / double)
        return _Tuned(g("H+", 1), self.water / g("OH-", -1), one / neutral, many, opened)

    def _step(self, activity: Array, tuned: _Tuned) -> tuple[Array, Array]:
        """Return the Newton step in ln(activity), and the ionic strength."""
        hydrogen, hydroxide = activity / tuned.g_hydrogen, tuned.hydroxide / activity
        positive, negative, fall = hydrogen + self.plus, hydroxide + self.minus, hydroxide
        rise, doubled = hydrogen, hydrogen + hydroxide + (self.cations + self.anions)
        lifted = activity * tuned.lift
        for constant, both in self.single:
            whole = constant + lifted
            ion = both / whole
            negative, doubled, fall = negative + ion, doubled + ion, fall + ion * (lifted / whole)
        for top, total, constants in tuned.many:
            shares = _shares(activity, constants)
            lost = sum(at * share for at, share in enumerate(shares) if at)
            for at, share in enumerate(shares):
                charge = top - at
                if charge == 0:
                    continue
                ions = charge * total * share
                doubled = doubled + charge * ions
                if charge > 0:
                    positive, rise = positive + ions, rise + ions * (lost - at)
                else:
                    negative, fall = negative - ions, fall + ions * (lost - at)
        if tuned.opened is not None:
            co2, first, second = tuned.opened
            once = co2 * first / activity
            twice = once * second / activity
            negative, fall = negative + once + 2.0 * twice, fall + once + 4.0 * twice
            doubled = doubled + once + 4.0 * twice
        step = np.log(positive / negative) / (rise / positive + fall / negative)
        return step, 0.5 * doubled + self.salts

    def _bracketed(self, place: int) -> tuple[float, float, float]:
        def one(value: Array) -> float:
            return float(np.broadcast_to(value, (self.size,))[place])

        parts = tuple(Part(name, acid(name).top_charge, one(total), tuple(one(each) for each in constants))
                      for name, total, constants in self.parts)
        made = Recipe(parts, one(self.cations), one(self.anions), one(self.water),
                      None if self.co2 is None else one(self.co2), tuple(one(each) for each in self.carbonate),
                      one(self.salts), one(self.temp_c))
        balance, ln_activity, strength = solved(made, self.model)
        return ln_activity, strength, math.exp(ln_activity) / balance.g_hydrogen


def _totals(block: Mapping[str, Array], names: Sequence[str]) -> tuple[dict[str, Array], Array, Array]:
    strong = block["strong_acid_mol_kg"]
    cations, anions = block["alkalinity_mol_kg"] + np.maximum(-strong, 0.0), np.maximum(strong, 0.0)
    totals: dict[str, Array] = {}
    for name in names:
        known = substance(name)
        if known.acid:
            totals[known.acid] = totals.get(known.acid, np.zeros(())) + block[name]
        cations = cations + max(known.counter_charge, 0) * block[name]
        anions = anions + max(-known.counter_charge, 0) * block[name]
    if np.any(block["carbonate_mol_kg"]):
        totals[CARBONIC] = totals.get(CARBONIC, np.zeros(())) + block["carbonate_mol_kg"]
    return totals, cations, anions


def _check(given: Mapping[str, Array], water: Mapping[str, Array], *, closed: bool, opened: bool) -> None:
    checks = Checks()
    for name, amount in given.items():
        try:
            substance(name)
        except TersumError as fault:
            checks.add(fault)
        _check_all(checks, name, amount, N_("0 to 20 mol/kg"), 0.0, MOST_MOL_KG)
    _check_all(checks, "temp_c", water["temp_c"], N_("0 to 60 °C"), LOWEST_C, HIGHEST_C)
    _check_all(checks, "alkalinity_mol_kg", water["alkalinity_mol_kg"], N_("0 to 1 mol/kg"), 0.0, 1.0)
    _check_all(checks, "carbonate_mol_kg", water["carbonate_mol_kg"], N_("0 to 1 mol/kg"), 0.0, 1.0)
    _check_all(checks, "other_salts_mol_kg", water["other_salts_mol_kg"], N_("0 to 1 mol/kg"), 0.0, 1.0)
    _check_all(checks, "pco2_atm", water["pco2_atm"], N_("0 to 1 atm"), 0.0, 1.0)
    _check_all(checks, "strong_acid_mol_kg", water["strong_acid_mol_kg"], N_("-20 to 20 mol/kg"), -MOST_MOL_KG,
               MOST_MOL_KG)
    put_in = any(name in given and np.any(given[name]) for name in ("carbonic acid", "sodium carbonate",
                                                                    "sodium hydrogen carbonate"))
    if closed and opened or not (closed or opened or put_in) and np.any(water["alkalinity_mol_kg"]):
        checks.add(OutOfRange("carbonate_mol_kg, pco2_atm", (closed, opened),
                              N_("one of the two where the water has alkalinity: closed (total carbonate) or open to "
                                 "air")))
    checks.done()


def _check_all(checks: Checks, field: str, values: Array, accepted: str, low: float, high: float) -> None:
    # Written so that NaN, which compares false, is refused as well.
    wrong = values[~((values >= low) & (values <= high))] if values.ndim else np.atleast_1d(values)
    for value in wrong[:1]:
        checks.number(field, float(value), accepted, low=low, high=high)


def _flat(values: Array, shape: tuple[int, ...]) -> Array:
    if values.ndim == 0 or values.size == 1:
        return values.reshape(())
    return np.ascontiguousarray(np.broadcast_to(values, shape)).reshape(-1)


def _permittivity(temp_c: Array) -> Array:
    return np.asarray(permittivity(temp_c))  # type: ignore[arg-type]  # a polynomial: the same for arrays


def _dissociation(name: str, kelvin: Array) -> list[Array]:
    return [_ten_to(-(a + b * kelvin + c / kelvin + d * np.log10(kelvin) + e / kelvin**2 + f * kelvin**2))
            for a, b, c, d, e, f in acid(name).terms]


def _quadratic(middle: Array, last: Array) -> Array:
    root = np.sqrt(middle * middle + 4.0 * last)
    # The half that is not taken may divide by nothing.
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(middle > 0.0, 2.0 * last / (middle + root), 0.5 * (root - middle))


def _shares(activity: Array, constants: list[Array]) -> list[Array]:
    weights, whole, weight = [], np.ones_like(activity), np.ones_like(activity)
    for constant in constants:
        weight = weight * constant / activity
        weights.append(weight)
        whole = whole + weight
    return [1.0 / whole, *(one / whole for one in weights)]


def _ten_to(exponent: Array) -> Array:
    return np.asarray(np.exp(LN10 * exponent))

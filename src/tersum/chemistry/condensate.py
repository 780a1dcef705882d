"""A solution against its steam condensate: which explanations of the two pH the forward model allows, and which not."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tersum.chemistry.accepted import Checks
from tersum.chemistry.acetic_equivalent import acetic_equivalent
from tersum.chemistry.distillate import ACETIC
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.flags import Flag
from tersum.chemistry.henry import volatility
from tersum.chemistry.ph import solution
from tersum.chemistry.ph_arrays import solutions
from tersum.chemistry.ph_meter import GOOD
from tersum.chemistry.ph_reading import HydroniumRatio, hydronium_ratio
from tersum.chemistry.recipe import Water
from tersum.errors import N_, OutOfRange

Array = NDArray[np.float64]
AIR_PCO2_ATM = 0.00042
COVERAGE = 2.0

CONSISTENT, NOT_CONSISTENT, CANNOT_TELL = "consistent-with", "not-consistent-with", "cannot-tell"
DISTILLATION, ENTRAINMENT, CONVERSION = "dilution-or-distillation", "entrainment", "conversion-to-acid"
REQUIRED = ("solution_ph", "condensate_ph", "solution_c", "condensate_c", "alkalinity_mmol_l", "u_ph", "calibration")
NEVER_SHOWN = "oxygen-released"

# What varies freely within each explanation. Judgement, stated here: how much plain water dilutes the condensate (any
# amount may), how much of the boiler's water was gone, and the CO2 over the condensate (steam brings that of the
# alkalinity along).
DILUTIONS = (1.0, 0.7, 0.5, 0.25, 0.1, 0.03, 0.01)
WATER_LEFT = (1.0, 0.6, 0.3)
CO2_ATM = (0.0, AIR_PCO2_ATM, 0.01)
ENTRAINED = (0.02, 0.05, 0.1, 0.25, 0.5, 1.0)
CONVERTED = (0.25, 0.5, 0.75, 1.0)
# Three-point Gauss-Hermite: nodes in standard uncertainties, weights.
NODES = ((-math.sqrt(3.0), 1.0 / 6.0), (0.0, 2.0 / 3.0), (math.sqrt(3.0), 1.0 / 6.0))
# Molar conductivity of hydrogen ions with acetate at 25 °C: 349.8 + 40.9 S cm2/mol, as µS/cm per mol/L.
ACID_US_CM_PER_MOL_L = 390.7e3


@dataclass(frozen=True)
class CondensateCase:
    """What was measured; None where it was not. The first seven are required for any answer but "cannot tell".

    ``u_ph`` is the standard uncertainty of each reading; ``calibration`` the verdict of the meter's calibration on
    record; ``alkalinity_mmol_l`` that of the fill water as it stands in the boiler, ``u_alkalinity_mmol_l`` its
    standard uncertainty (5 % if left out). ``peracid_mg_l`` is the peracetic acid in the boiler.
    """

    solution_ph: float | None = None
    condensate_ph: float | None = None
    solution_c: float | None = None
    condensate_c: float | None = None
    alkalinity_mmol_l: float | None = None
    u_ph: float | None = None
    calibration: str | None = None
    u_alkalinity_mmol_l: float | None = None
    peracid_mg_l: float | None = None
    solution_us_cm: float | None = None
    condensate_us_cm: float | None = None


@dataclass(frozen=True)
class Hypothesis:
    """One explanation: whether the condensate's pH lies within what it can give, that range, and its weight.

    The weight is the chance of the reading under it, averaged over what varies freely, as a share of all; it leans on
    those ranges and is for a chemist's eye only.
    """

    name: str
    answer: str
    low_ph: float
    high_ph: float
    weight: float


@dataclass(frozen=True)
class CondensateAnswer:
    """What two pH readings say.

    ``answer`` is ``consistent-with`` where exactly one explanation is left (``named``), ``not-consistent-with`` where
    none of them is, else ``cannot-tell``. ``not_shown`` is what no pH shows, whatever the answer. ``would_settle``
    names the measurements that would.
    """

    answer: str
    named: tuple[str, ...]
    hypotheses: tuple[Hypothesis, ...]
    ratio: HydroniumRatio | None
    acetic_equivalent_mol_kg: float | None
    missing: tuple[str, ...]
    would_settle: tuple[str, ...]
    flags: tuple[Flag, ...]
    not_shown: str = NEVER_SHOWN


def condensate(case: CondensateCase) -> CondensateAnswer:
    """Return which explanations of a condensate's pH are consistent with it.

    Parameters
    ----------
    case : CondensateCase
        pH 1 to 12, temperatures 0 to 60 °C, alkalinity 0 to 50 mmol/L, u_ph above 0 to 0.5.

    Raises
    ------
    OutOfRange
        All values outside what is accepted at once, as Faults. What is missing is no fault: the answer is then
        ``cannot-tell`` with the names of what is missing.

    Source
    ------
    Forward model of :func:`tersum.chemistry.distillate.distilled` with the volatility at the boil 0.7 +- 0.2
    (gmehling-onken-vle, from memory). Alkaline water holds acid as acetate, which stays behind while the undissociated
    rest distils: hydronium then rises severalfold without any oxidation chemistry.

    Examples
    --------
    >>> said = condensate(CondensateCase(solution_ph=4.37, condensate_ph=3.55))
    >>> said.answer, said.missing
    ('cannot-tell', ('solution_c', 'condensate_c', 'alkalinity_mmol_l', 'u_ph', 'calibration'))
    """
    _check(case)
    missing = tuple(name for name in REQUIRED if getattr(case, name) is None)
    settle = _would_settle(case)
    ratio = _ratio(case)
    flags = _flags(case)
    if missing or case.calibration != GOOD:
        return CondensateAnswer(CANNOT_TELL, (), (), ratio, None, missing, settle, flags)
    model = _Model(case)
    if model.acidity is None:
        return CondensateAnswer(CANNOT_TELL, (), (), ratio, None, (), settle, (*flags, Flag("solution-no-weak-acid")))
    hypotheses = _weighed(model)
    named = tuple(one.name for one in hypotheses if one.answer == CONSISTENT)
    open_questions = any(one.answer == CANNOT_TELL for one in hypotheses)
    answer = CANNOT_TELL
    if not open_questions and len(named) <= 1:
        answer = CONSISTENT if named else NOT_CONSISTENT
    return CondensateAnswer(answer, named, hypotheses, ratio, model.acidity, (), settle, flags)


class _Model:
    """The forward model of one complete case: what each explanation predicts, as arrays of pH and weight."""

    def __init__(self, case: CondensateCase):
        self.case = case
        self.u_ph = _given(case.u_ph)
        self.alkalinity = _given(case.alkalinity_mmol_l) / 1000.0
        wide = case.u_alkalinity_mmol_l
        self.u_alkalinity = 0.05 * self.alkalinity if wide is None else wide / 1000.0
        self.acidity = self._acid(_given(case.solution_ph), self.alkalinity)
        self.alpha = volatility(ACETIC, 100.0)

    def _acid(self, ph: float, alkalinity: float) -> float | None:
        try:
            found = acetic_equivalent(ph, temp_c=_given(self.case.solution_c), water=_in_air(alkalinity))
        except OutOfRange:
            return None
        return found.mol_kg

    def boilers(self) -> Iterator[tuple[float, float, float]]:
        """Yield acid, alkalinity and weight for readings spread by their uncertainties."""
        for off_ph, weight_ph in NODES:
            for off_alkalinity, weight_alkalinity in NODES:
                alkalinity = max(self.alkalinity + off_alkalinity * self.u_alkalinity, 0.0)
                acid = self._acid(_given(self.case.solution_ph) + off_ph * self.u_ph, alkalinity)
                yield acid or 0.0, alkalinity, weight_ph * weight_alkalinity

    def predicted(self, *, entrained: Sequence[float] = (0.0,), converted: Sequence[float] = (0.0,),
                  peracid_mol_kg: float = 0.0) -> tuple[Array, Array]:
        """Return every predicted pH of the condensate and its weight."""
        over, salts, weights, co2 = [], [], [], []
        for acid, alkalinity, weight in self.boilers():
            for share in converted:
                total = acid + share * peracid_mol_kg
                free = solution({ACETIC: total}, temp_c=_given(self.case.solution_c),
                                water=_in_air(alkalinity)).species.get(f"{ACETIC}:0", 0.0)
                for distilled, diluted in self._passages(free):
                    for droplets in entrained:
                        for pressure in CO2_ATM:
                            over.append(diluted * ((1.0 - droplets) * distilled + droplets * total))
                            salts.append(diluted * droplets * alkalinity)
                            co2.append(pressure)
                            weights.append(weight)
        found = solutions({ACETIC: over}, temp_c=_given(self.case.condensate_c), alkalinity_mol_kg=salts, pco2_atm=co2)
        return found.ph, np.array(weights) / math.fsum(weights)

    def _passages(self, free_mol_kg: float) -> Iterator[tuple[float, float]]:
        """Yield the acid in the vapour's own condensate, and what plain water then leaves of it."""
        for alpha in np.linspace(self.alpha.low, self.alpha.high, 5):
            for left in WATER_LEFT:
                for diluted in DILUTIONS:
                    yield float(alpha * free_mol_kg * left ** (alpha - 1.0)), diluted


def _weighed(model: _Model) -> tuple[Hypothesis, ...]:
    case = model.case
    entrained = _entrained_range(case)
    shares = [share for share in ENTRAINED if entrained is None or entrained[0] <= share <= entrained[1]]
    if entrained is not None and entrained[1] >= ENTRAINED[0]:
        shares = sorted({*shares, max(entrained[0], ENTRAINED[0]), entrained[1]})
    made = {DISTILLATION: model.predicted() if entrained is None or entrained[0] < ENTRAINED[1] else None,
            ENTRAINMENT: model.predicted(entrained=shares) if shares else None}
    if case.peracid_mg_l:
        peracid = case.peracid_mg_l / 1000.0 / molar_mass_g_mol("peracetic acid")
        made[CONVERSION] = model.predicted(converted=CONVERTED, peracid_mol_kg=peracid)
    elif case.peracid_mg_l is not None:
        made[CONVERSION] = None
    chances = {name: _chance(model, *one) for name, one in made.items() if one is not None}
    whole = sum(chances.values())
    judged = [_judged(model, name, one, chances.get(name, 0.0) / whole if whole else 0.0)
              for name, one in made.items()]
    if case.peracid_mg_l is None:
        judged.append(Hypothesis(CONVERSION, CANNOT_TELL, math.nan, math.nan, math.nan))
    return tuple(judged)


def _judged(model: _Model, name: str, made: tuple[Array, Array] | None, weight: float) -> Hypothesis:
    if made is None:  # ruled out by another measurement, not by the pH
        return Hypothesis(name, NOT_CONSISTENT, math.nan, math.nan, 0.0)
    low, high = float(np.min(made[0])), float(np.max(made[0]))
    reach = COVERAGE * model.u_ph
    inside = low - reach <= _given(model.case.condensate_ph) <= high + reach
    return Hypothesis(name, CONSISTENT if inside else NOT_CONSISTENT, low, high, weight)


def _chance(model: _Model, ph: Array, weights: Array) -> float:
    off = (ph - _given(model.case.condensate_ph)) / model.u_ph
    return float(np.sum(weights * np.exp(-0.5 * off**2)))


def _entrained_range(case: CondensateCase) -> tuple[float, float] | None:
    """Return the least and most entrainment that two conductivities allow; None where they say nothing."""
    if case.solution_us_cm is None or case.condensate_us_cm is None:
        return None
    salts = case.solution_us_cm - ACID_US_CM_PER_MOL_L * 10.0 ** -_given(case.solution_ph)
    if salts < 0.2 * case.solution_us_cm:
        return None  # soft water: the acid itself carries the current, and no salt is left to trace
    over = case.condensate_us_cm - ACID_US_CM_PER_MOL_L * 10.0 ** -_given(case.condensate_ph)
    share = max(over, 0.0) / salts
    # A pH known to 0.05 leaves the acid's own part uncertain by 12 %; half either way covers it and the mobilities.
    doubt = 0.25 * ACID_US_CM_PER_MOL_L * 10.0 ** -_given(case.condensate_ph) / salts
    return max(0.5 * share - doubt, 0.0), min(1.5 * share + doubt, 1.0)


def _ratio(case: CondensateCase) -> HydroniumRatio | None:
    if case.solution_ph is None or case.condensate_ph is None or case.u_ph is None:
        return None
    return hydronium_ratio(case.solution_ph, case.condensate_ph, u_a=case.u_ph, u_b=case.u_ph)


def _would_settle(case: CondensateCase) -> tuple[str, ...]:
    wanted = ["redox-titration-of-both", "total-acid-of-both", "water-weighed-in-and-out", "active-oxygen-balance",
              "gas-volume", "control-run-with-plain-acid"]
    if case.solution_us_cm is None or case.condensate_us_cm is None:
        wanted.insert(2, "conductivity-of-both")
    return tuple(wanted)


def _flags(case: CondensateCase) -> tuple[Flag, ...]:
    flags = []
    if case.calibration not in (None, GOOD):
        flags.append(Flag("calibration-not-good", str(case.calibration)))
    if case.solution_c is not None and case.condensate_c is not None and abs(case.solution_c - case.condensate_c) > 5.0:
        flags.append(Flag("temperatures-differ", "", abs(case.solution_c - case.condensate_c)))
    if case.condensate_us_cm is not None and case.condensate_us_cm < 100.0:
        flags.append(Flag("low-conductivity", "", case.condensate_us_cm))
    return tuple(flags)


def _in_air(alkalinity_mol_kg: float) -> Water:
    return Water(alkalinity_mol_kg, pco2_atm=AIR_PCO2_ATM)


def _given(value: float | None) -> float:
    if value is None:
        raise OutOfRange("value", value, N_("a number"))
    return value


def _check(case: CondensateCase) -> None:
    checks = Checks()
    ranges = {"solution_ph": (1.0, 12.0, N_("pH 1 to 12")), "condensate_ph": (1.0, 12.0, N_("pH 1 to 12")),
              "solution_c": (0.0, 60.0, N_("0 to 60 °C")), "condensate_c": (0.0, 60.0, N_("0 to 60 °C")),
              "alkalinity_mmol_l": (0.0, 50.0, N_("0 to 50 mmol/L")), "u_ph": (1e-4, 0.5, N_("0.0001 to 0.5")),
              "u_alkalinity_mmol_l": (0.0, 10.0, N_("0 to 10 mmol/L")),
              "peracid_mg_l": (0.0, 100000.0, N_("0 to 100 000 mg/L")),
              "solution_us_cm": (0.1, 200000.0, N_("0.1 to 200 000 µS/cm")),
              "condensate_us_cm": (0.1, 200000.0, N_("0.1 to 200 000 µS/cm"))}
    for name, (low, high, accepted) in ranges.items():
        if getattr(case, name) is not None:
            checks.number(name, getattr(case, name), accepted, low=low, high=high)
    checks.done()

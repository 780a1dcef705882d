"""Rates at another temperature, and what others have found: a published rate is a warning, never a use-by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.load import Sourced, table
from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.decay import Decay, DecayFit
from tersum.chemistry.flags import Flag
from tersum.chemistry.student import t_factor
from tersum.chemistry.uncertainty import Quantity
from tersum.errors import N_, OutOfRange

GAS_CONSTANT_KJ = 8.314462618e-3  # kJ/(mol K), CODATA 2018
KELVIN = 273.15
KJ_PER_KCAL = 4.184


@dataclass(frozen=True)
class PublishedRate:
    """One published rate of decomposition: half-life, h, at a temperature, where it was found, and how it is known."""

    name: str
    half_life_h: float
    at_c: float
    at_ph: float | None
    note: str
    sourced: Sourced


def rate_at(rate: Quantity, *, energy_kj_mol: Quantity, from_c: float, to_c: float) -> Quantity:
    """Return a rate at another temperature, with its standard uncertainty.

    Parameters
    ----------
    rate : Quantity
        At ``from_c``; above 0, any unit.
    energy_kj_mol : Quantity
        Activation energy, 0 to 300 kJ/mol.
    from_c, to_c : float
        0 to 100 °C.

    Source
    ------
    Arrhenius: k2 = k1 exp(-(Ea/R) (1/T2 - 1/T1)). Good over some 20 K from where the energy was measured; a catalyst
    (metal, dirt) has an energy of its own.

    Examples
    --------
    >>> round(rate_at(Quantity(1.71e-3), energy_kj_mol=Quantity(66.2), from_c=25.0, to_c=35.0).value, 5)
    0.00407
    """
    checks = Checks()
    checks.number("rate", rate.value, N_("above 0"), above=0.0)
    checks.number("energy_kj_mol", energy_kj_mol.value, N_("0 to 300 kJ/mol"), low=0.0, high=300.0)
    for name, temp_c in (("from_c", from_c), ("to_c", to_c)):
        checks.number(name, temp_c, N_("0 to 100 °C"), low=0.0, high=100.0)
    checks.done()
    step = -(1.0 / (to_c + KELVIN) - 1.0 / (from_c + KELVIN)) / GAS_CONSTANT_KJ
    value = rate.value * math.exp(energy_kj_mol.value * step)
    return Quantity(value, value * math.hypot(rate.relative, energy_kj_mol.standard_uncertainty * step))


def decay_at(found: Decay, *, energy_kj_mol: Quantity, from_c: float, to_c: float) -> Decay:
    """Return a fitted series as it would run at another temperature, with intervals widened by the doubt in the energy.

    Parameters are those of :func:`rate_at`; flagged ``moved-in-temperature``.

    Examples
    --------
    >>> from tersum.chemistry.decay import decay
    >>> series = decay([0, 24, 48, 72, 96], [1000, 905, 822, 738, 672])
    >>> warm = decay_at(series, energy_kj_mol=Quantity(66.2, 5.0), from_c=20.0, to_c=30.0)
    >>> round(warm.first.rate / series.first.rate, 2), warm.flags[-1].code
    (2.45, 'moved-in-temperature')
    """
    factor = rate_at(Quantity(1.0), energy_kj_mol=energy_kj_mol, from_c=from_c, to_c=to_c)

    def moved(fit: DecayFit) -> DecayFit:
        wide = math.hypot(factor.value * fit.standard_uncertainty, fit.rate * factor.standard_uncertainty)
        rate, reach = factor.value * fit.rate, t_factor(0.95, fit.degrees_of_freedom) * wide
        # What was seen to hold so long there would have been as old here so much sooner.
        held = fit.last_age_h / (factor.value + 2.0 * factor.standard_uncertainty)
        return replace(fit, rate=rate, standard_uncertainty=wide, low_rate=rate - reach, high_rate=rate + reach,
                       last_age_h=held)

    return replace(found, first=moved(found.first), second=moved(found.second),
                   flags=(*found.flags, Flag("moved-in-temperature", "", to_c)))


def q10(energy_kj_mol: float, *, at_c: float = 25.0) -> float:
    """Return how many times faster it goes ten kelvin warmer.

    >>> round(q10(66.2), 2), round(q10(kj_mol_from_kcal(24.8)), 2)
    (2.38, 3.89)
    """
    return rate_at(Quantity(1.0), energy_kj_mol=Quantity(energy_kj_mol), from_c=at_c, to_c=at_c + 10.0).value


def kj_mol_from_kcal(energy_kcal_mol: float) -> float:
    """Return kJ/mol from kcal/mol (thermochemical).

    >>> round(kj_mol_from_kcal(24.8), 1)
    103.8
    """
    return number("energy_kcal_mol", energy_kcal_mol, N_("0 to 100 kcal/mol"), low=0.0, high=100.0) * KJ_PER_KCAL


def activation_energy(temps_c: Sequence[float], rates: Sequence[float]) -> Quantity:
    """Return the activation energy from rates at several temperatures, kJ/mol.

    Parameters
    ----------
    temps_c, rates : sequence of float
        Two or more, temperatures 0 to 100 °C and not all one, rates above 0. With two the uncertainty is infinite:
        nothing shows how straight the line is.

    Source
    ------
    Least squares of ln k on 1/T.

    Examples
    --------
    >>> round(activation_energy([25.0, 45.0], [1.71e-3, 9.64e-3]).value, 1)
    68.2
    """
    checks = Checks()
    if len(temps_c) != len(rates) or len(rates) < 2:
        raise OutOfRange("rates", len(rates), N_("two rates or more, each with its temperature"))
    for temp_c, rate in zip(temps_c, rates, strict=True):
        checks.number("temps_c", temp_c, N_("0 to 100 °C"), low=0.0, high=100.0)
        checks.number("rates", rate, N_("above 0"), above=0.0)
    if len(set(temps_c)) < 2:
        checks.add(OutOfRange("temps_c", temps_c[0], N_("at least two different temperatures")))
    checks.done()
    inverse = [1.0 / (temp_c + KELVIN) for temp_c in temps_c]
    logs = [math.log(rate) for rate in rates]
    middle, mean = sum(inverse) / len(inverse), sum(logs) / len(logs)
    across = sum((one - middle) ** 2 for one in inverse)
    slope = sum((one - middle) * (log - mean) for one, log in zip(inverse, logs, strict=True)) / across
    left = sum((log - mean - slope * (one - middle)) ** 2 for one, log in zip(inverse, logs, strict=True))
    wide = math.sqrt(left / (len(rates) - 2) / across) if len(rates) > 2 else math.inf
    return Quantity(-slope * GAS_CONSTANT_KJ, wide * GAS_CONSTANT_KJ)


def published_rates(active: str) -> tuple[PublishedRate, ...]:
    """Return what has been published of the half-life of an active, the shortest first; empty where nothing is known.

    >>> [round(one.half_life_h, 1) for one in published_rates("peracetic acid")]
    [3.6, 48.0, 48.0, 71.9, 405.3]
    """
    found = []
    for name, entry in table("decay").items():
        if entry.labels["active"] != active or not {"rate", "half_life"} & set(entry):
            continue
        value = entry["half_life"] if "half_life" in entry else entry["rate"]
        hours = value.number if "half_life" in entry else math.log(2.0) / value.number
        at_ph = value.details.get("at_ph")
        found.append(PublishedRate(name, hours, float(value.details["at_c"]), None if at_ph is None else float(at_ph),
                                   str(entry.labels["note"]), value))
    return tuple(sorted(found, key=lambda one: one.half_life_h))


def published_order(active: str) -> tuple[Sourced, ...]:
    """Return what has been published of the order of an active's decomposition.

    >>> [one.value for one in published_order("peracetic acid")]
    [2]
    """
    return tuple(entry["order"] for entry in table("decay").values()
                 if entry.labels["active"] == active and "order" in entry)


def warnings(active: str, use_by_h: float) -> tuple[Flag, ...]:
    """Return the published half-lives that are shorter than a use-by time: a reason to titrate, no use-by of its own.

    >>> [flag.about for flag in warnings("peracetic acid", 24.0)]
    ['peracetic acid in buffer, pH 9']
    """
    number("use_by_h", use_by_h, N_("0 or more"), low=0.0)
    return tuple(Flag("published-half-life-shorter", one.name, one.half_life_h) for one in published_rates(active)
                 if one.half_life_h < use_by_h)

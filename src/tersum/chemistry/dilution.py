"""A working solution: how much concentrate and water, shown three ways, and the strength of each active in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.chemistry.accepted import number
from tersum.chemistry.ratio import Ratio, parse_ratio
from tersum.chemistry.strength import Active, active
from tersum.chemistry.targets import Bounds, FractionInterval, ratio_for_targets
from tersum.chemistry.uncertainty import Quantity, quotient, rectangular
from tersum.errors import N_, OutOfRange
from tersum.units import coded

__all__ = ["Active", "Bounds", "FractionInterval", "Mixture", "Powder", "Ratio", "Working", "active", "mixture",
           "parse_ratio", "parts_water_for", "powder_solution", "ratio_for_targets"]

CONTRACTS = "contracts-on-mixing"
MOST_ML = 1e8


@dataclass(frozen=True)
class Working:
    """Strength of one active in the working solution, mg/L, with its standard uncertainty."""

    name: str
    strength_mg_l: float
    standard_uncertainty_mg_l: float

    @property
    def expanded_mg_l(self) -> float:
        """Half-width of the interval that holds the strength in about 95 of 100 mixes (coverage factor 2), mg/L."""
        return 2.0 * self.standard_uncertainty_mg_l


@dataclass(frozen=True)
class Mixture:
    """One working solution.

    ``water_ml`` is None, and ``no_water_because`` says why, where volumes do not add up: then the concentrate is made
    up with water to ``volume_ml``. ``concentrate_g`` is None without a density.
    """

    volume_ml: float
    ratio: Ratio
    concentrate_ml: float
    water_ml: float | None
    concentrate_g: float | None
    strengths: tuple[Working, ...]
    no_water_because: str | None = None


@dataclass(frozen=True)
class Powder:
    """A solution of a powder, made up with water to ``volume_ml``."""

    volume_ml: float
    powder_g: float
    strengths: tuple[Working, ...]


def mixture(volume_ml: float, ratio: Ratio, actives: Sequence[Active] = (), *, density_kg_l: float | None = None,
            concentrate_half_width_ml: float = 0.0, volume_half_width_ml: float = 0.0) -> Mixture:
    """Return the working solution that a ratio gives.

    Parameters
    ----------
    volume_ml : float
        Finished solution, mL, above 0.
    ratio : Ratio
        Concentrate in it, by volume.
    actives : sequence of Active
        What is in the concentrate.
    density_kg_l : float, optional
        Of the concentrate, to give its mass.
    concentrate_half_width_ml, volume_half_width_ml : float
        Tolerances of the two measures, mL, rectangular.

    Raises
    ------
    OutOfRange
        If an argument lies outside what is stated above.
    TersumError
        ``not-additive`` for an alcohol given as parts + parts: its volumes contract by several percent.

    Source
    ------
    Mass balance: C = C_s V_s / V_t. Uncertainty: jcgm-100-2008, 5.1.6, with C_s, V_s and V_t independent. Additive
    volumes hold within 0.5 % below about 10 % of an aqueous oxidiser. Temperature is left out: 10 K move a volume by
    0.2 %, against several percent of a jug.

    Examples
    --------
    >>> made = mixture(5000.0, Ratio(1 / 20), [Active("peracetic acid", 43600.0, 2517.2)],
    ...                concentrate_half_width_ml=25.0, volume_half_width_ml=500.0)
    >>> made.concentrate_ml, made.water_ml, made.strengths[0].strength_mg_l
    (250.0, 4750.0, 2180.0)
    >>> round(made.strengths[0].standard_uncertainty_mg_l)
    218
    """
    number("volume_ml", volume_ml, N_("above 0, up to 100 000 000 mL"), above=0.0, high=MOST_ML)
    contracts = any(one.contracts for one in actives)
    if contracts and ratio.stated_as == "parts":
        told = N_("{field} adds volumes that contract when mixed: got {value}; accepted: {accepted}.")
        raise coded("not-additive", told, "ratio", f"1+{ratio.parts_water:g}",
                    N_("a percentage or 1 in so many, made up to volume"))
    concentrate_ml = volume_ml * ratio.concentrate_frac
    poured = _measured("concentrate_half_width_ml", concentrate_ml, concentrate_half_width_ml)
    total = _measured("volume_half_width_ml", volume_ml, volume_half_width_ml)
    grams = None if density_kg_l is None else concentrate_ml * number("density_kg_l", density_kg_l, N_("0.5 to 3 kg/L"),
                                                                      low=0.5, high=3.0)
    return Mixture(volume_ml, ratio, concentrate_ml, None if contracts else volume_ml - concentrate_ml, grams,
                   tuple(_working(one, poured, total) for one in actives), CONTRACTS if contracts else None)


def powder_solution(volume_ml: float, dose_g_l: float, contents_ww_pct: Sequence[tuple[str, float]], *,
                    dose_half_width_g: float = 0.0, volume_half_width_ml: float = 0.0) -> Powder:
    """Return the solution that so many grams of powder a litre give, made up to volume.

    Examples
    --------
    >>> powder_solution(5000.0, 10.0, [("active", 50.0)]).strengths[0].strength_mg_l
    5000.0
    """
    number("volume_ml", volume_ml, N_("above 0, up to 100 000 000 mL"), above=0.0, high=MOST_ML)
    grams = number("dose_g_l", dose_g_l, N_("above 0, up to 1000 g/L"), above=0.0, high=1000.0) * volume_ml / 1000.0
    weighed = _measured("dose_half_width_g", grams, dose_half_width_g)
    total = _measured("volume_half_width_ml", volume_ml, volume_half_width_ml)
    found = []
    for name, pct in contents_ww_pct:
        number(name, pct, N_("above 0, up to 100 % w/w"), above=0.0, high=100.0)
        made = quotient([Quantity(pct / 100.0), weighed], [total], scale=1e6)
        found.append(Working(name, made.value, made.standard_uncertainty))
    return Powder(volume_ml, grams, tuple(found))


def parts_water_for(stock: float, target: float) -> float:
    """Return parts of water to one part of stock, both strengths in one unit.

    Source
    ------
    cdc-gics-2019, appendix E, example 1: 3.5 % to 0.5 % takes 6 parts of water.

    Examples
    --------
    >>> parts_water_for(3.5, 0.5)
    6.0
    """
    number("stock", stock, N_("above 0"), above=0.0)
    if number("target", target, N_("above 0"), above=0.0) > stock:
        raise OutOfRange("target", target, N_("no stronger than the concentrate, {stock:g}"), stock=stock)
    return stock / target - 1.0


def _measured(field: str, value: float, half_width: float) -> Quantity:
    number(field, half_width, N_("0 or more, and less than what is measured"), low=0.0)
    if half_width >= value:
        raise OutOfRange(field, half_width, N_("0 or more, and less than what is measured"))
    return Quantity(value, rectangular(half_width))


def _working(one: Active, poured: Quantity, total: Quantity) -> Working:
    made = quotient([Quantity(one.strength_mg_l, one.standard_uncertainty_mg_l), poured], [total])
    return Working(one.name, made.value, made.standard_uncertainty)

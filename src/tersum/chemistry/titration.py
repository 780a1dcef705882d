"""Strength by titration: peroxide, peracid, available chlorine, total acid. Laboratory work, with its cautions."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tersum.catalogue.load import Entry, table
from tersum.chemistry.accepted import Checks, number
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.flags import Flag
from tersum.chemistry.uncertainty import Quantity, rectangular
from tersum.errors import N_, OutOfRange, TersumError, UnknownName

ACCEPTED, THIRD_NEEDED, MEDIAN, SINGLE = "accepted", "third-needed", "median-of-replicates", "single"
AUDIENCE = "laboratory"
MOST_REPLICATES = 6
# Critical range factors of ISO 5725-6 for 3 to 6 results (from memory); two results take that of the catalogue.
RANGE_FACTORS = {3: 3.3, 4: 3.6, 5: 3.9, 6: 4.0}
COVERAGE = 2.0

# What must be said with a titration, by titrant and by analyte: codes, in the order of the work.
CAUTIONS: Mapping[str, tuple[str, ...]] = {
    "permanganate": ("cold-dilute-sulfuric-acid", "not-beside-organics-or-other-reducers"),
    "cerium(IV)": ("cold-dilute-sulfuric-acid",),
    "thiosulfate": ("starch-near-the-end", "standardise-monthly"),
    "sodium hydroxide": ("to-ph-8.2", "carbonate-free-water"),
    "peracetic acid": ("peroxide-first-and-cold", "excess-iodide-at-once", "finish-within-a-minute",
                       "returning-blue-is-peroxide"),
    "sodium hypochlorite": ("acid-after-the-iodide", "small-sample-gives-off-chlorine"),
    "available chlorine": ("acid-after-the-iodide", "small-sample-gives-off-chlorine"),
    "total acid as acetic": ("peracid-interferes-above-ph-7-destroy-it-first",),
}


@dataclass(frozen=True)
class Titration:
    """One determination as it was done.

    ``titres_ml`` are the replicates, one to six; ``blank_ml`` a titre of everything but the sample; ``sample_ml`` what
    was pipetted; ``diluted`` how many times the product was diluted before. ``repeatability_frac`` is the method's
    relative standard deviation (1 % for a burette, 5 % for a drop count unless one's own is known).
    """

    analyte: str
    titrant: str
    titrant_mol_l: Quantity
    titres_ml: tuple[float, ...]
    sample_ml: Quantity
    blank_ml: float = 0.0
    burette_ml: float = 25.0
    diluted: float = 1.0
    repeatability_frac: float | None = None


@dataclass(frozen=True)
class TitrationResult:
    """Strength of the product, g/L, with its standard uncertainty and what went into it.

    ``answer`` says what was made of the replicates: ``accepted`` (they agree: mean), ``third-needed`` (two do not:
    their mean stands for now), ``median-of-replicates`` (three or more do not: median), ``single`` (nothing to
    compare). Where they do not agree, their own scatter takes the place of the method's in the uncertainty.
    ``budget`` holds relative standard uncertainties. ``cautions`` are codes of what to tell the person at the bench.
    """

    analyte: str
    strength_g_l: float
    standard_uncertainty_g_l: float
    replicates_g_l: tuple[float, ...]
    answer: str
    budget: Mapping[str, float]
    flags: tuple[Flag, ...]
    cautions: tuple[str, ...]
    audience: str = AUDIENCE

    @property
    def interval_g_l(self) -> tuple[float, float]:
        """Interval at twice the standard uncertainty, g/L, not below 0."""
        reach = COVERAGE * self.standard_uncertainty_g_l
        return max(self.strength_g_l - reach, 0.0), self.strength_g_l + reach


@dataclass(frozen=True)
class ActiveOxygen:
    """Peroxide and peracid of one flask, and the active oxygen of both, g/L."""

    peroxide: TitrationResult
    peracid: TitrationResult
    active_oxygen_g_l: Quantity


def analytes() -> tuple[str, ...]:
    """Return what can be titrated."""
    return tuple(name for name, entry in table("redox").items() if entry.labels["role"] == "analyte")


def equivalent_mg(analyte: str, titrant: str, titrant_mol_l: float, volume_ml: float = 1.0) -> float:
    """Return the mass of analyte, mg, that a volume of titrant stands for: 1 mL unless another is given.

    Source
    ------
    The reactions of ``redox.toml``: electrons (or protons) of titrant over those of analyte, times molar mass.

    Examples
    --------
    >>> round(equivalent_mg("hydrogen peroxide", "permanganate", 0.02), 3)
    1.701
    >>> round(equivalent_mg("peracetic acid", "thiosulfate", 0.1), 3)
    3.803
    """
    number("titrant_mol_l", titrant_mol_l, N_("above 0, up to 2 mol/L"), above=0.0, high=2.0)
    number("volume_ml", volume_ml, N_("0 to 1000 mL"), low=0.0, high=1000.0)
    entry = _analyte(analyte)
    if titrant not in entry.labels["titrants"]:
        raise UnknownName("titrant", titrant, entry.labels["titrants"])
    per_mol = table("redox")[titrant]["equivalents"].number / entry["equivalents"].number
    return volume_ml * titrant_mol_l * per_mol * molar_mass_g_mol(entry.labels["substance"])


def expected_titre_ml(analyte: str, titrant: str, strength_g_l: float, *, titrant_mol_l: float, sample_ml: float,
                      blank_ml: float = 0.0) -> float:
    """Return the titre that a strength should give: to choose the sample before the work.

    >>> round(expected_titre_ml("peracetic acid", "thiosulfate", 1.0, titrant_mol_l=0.01, sample_ml=10.0), 2)
    26.3
    """
    number("strength_g_l", strength_g_l, N_("0 to 2000 g/L"), low=0.0, high=2000.0)
    number("sample_ml", sample_ml, N_("above 0, up to 1000 mL"), above=0.0, high=1000.0)
    return blank_ml + strength_g_l * sample_ml / equivalent_mg(analyte, titrant, titrant_mol_l)


def titrated(done: Titration) -> TitrationResult:
    """Return the strength that a titration found.

    Raises
    ------
    OutOfRange, UnknownName
        Together as Faults: a titre beyond the burette or below its blank, no sample, a titrant that does not fit.

    Source
    ------
    C = c_t (V - V_blank) n M / V_sample. Replicates: two are accepted where they differ by no more than 2.8
    repeatability standard deviations (iso-5725-6), otherwise a third is made and, if it does not agree either, the
    median taken. Uncertainty: jcgm-100-2008, 5.1.6, with the burette's tolerance (iso-385-2005), two readings and the
    blank's two.

    Examples
    --------
    >>> found = titrated(Titration("hydrogen peroxide", "cerium(IV)", Quantity(0.1, 0.0002), (14.20, 14.24),
    ...                            Quantity(10.0, 0.012), blank_ml=0.05))
    >>> round(found.strength_g_l, 3), round(found.standard_uncertainty_g_l, 3), found.answer
    (2.41, 0.019, 'accepted')
    """
    _check(done)
    factor = equivalent_mg(done.analyte, done.titrant, done.titrant_mol_l.value) / done.sample_ml.value * done.diluted
    each = tuple(factor * (titre - done.blank_ml) for titre in done.titres_ml)
    spread = _repeatability(done)
    strength, answer = _taken(each, spread)
    if answer in (THIRD_NEEDED, MEDIAN):
        spread = statistics.stdev(each) / statistics.fmean(each)
    budget = _budget(done, spread)
    return TitrationResult(done.analyte, strength, strength * math.hypot(*budget.values()), each, answer, budget,
                           _flags(done), _cautions(done))


def peroxide_then_peracid(peroxide: Titration, peracid: Titration) -> ActiveOxygen:
    """Return both oxidisers titrated one after the other in the same flask, and their active oxygen.

    Parameters
    ----------
    peroxide : Titration
        Cerium(IV) (better beside organics) or permanganate, in cold dilute sulfuric acid, first.
    peracid : Titration
        Thiosulfate, at once after excess iodide; the same sample.

    Source
    ------
    greenspan-mackellar (from memory); active oxygen is one atom per molecule of either.

    Examples
    --------
    >>> first = Titration("hydrogen peroxide", "cerium(IV)", Quantity(0.1), (14.20,), Quantity(10.0), blank_ml=0.05)
    >>> second = Titration("peracetic acid", "thiosulfate", Quantity(0.01), (26.40,), Quantity(10.0), blank_ml=0.10,
    ...                    burette_ml=50.0)
    >>> found = peroxide_then_peracid(first, second)
    >>> round(found.peroxide.strength_g_l, 3), round(found.peracid.strength_g_l, 3), \
round(found.active_oxygen_g_l.value, 3)
    (2.407, 1.0, 1.342)
    """
    checks = Checks()
    for field, done, wanted in (("peroxide", peroxide, "hydrogen peroxide"), ("peracid", peracid, "peracetic acid")):
        if done.analyte != wanted:
            checks.add(OutOfRange(f"{field}: analyte", done.analyte, "{wanted}", wanted=wanted))
    if peroxide.sample_ml.value != peracid.sample_ml.value or peroxide.diluted != peracid.diluted:
        checks.add(OutOfRange("sample_ml", peracid.sample_ml.value, N_("one flask: the same sample in both steps")))
    checks.done()
    first, second = titrated(peroxide), titrated(peracid)
    shares = [available_oxygen_pct(one.analyte) / 100.0 for one in (first, second)]
    total = sum(share * one.strength_g_l for share, one in zip(shares, (first, second), strict=True))
    # The pipette is common to both; counted twice here it makes the uncertainty a hair too large.
    wide = math.hypot(*(share * one.standard_uncertainty_g_l for share, one in zip(shares, (first, second),
                                                                                  strict=True)))
    return ActiveOxygen(first, second, Quantity(total, wide))


def available_oxygen_pct(substance: str) -> float:
    """Return the active oxygen of a pure peroxide or peracid, % by mass.

    >>> round(available_oxygen_pct("hydrogen peroxide"), 2), round(available_oxygen_pct("peracetic acid"), 2)
    (47.04, 21.04)
    """
    if substance not in ("hydrogen peroxide", "peracetic acid"):
        raise UnknownName("substance", substance, ("hydrogen peroxide", "peracetic acid"))
    return 100.0 * molar_mass_g_mol("oxygen") / 2.0 / molar_mass_g_mol(substance)


def oxygen_ml(peroxide_mg: float) -> float:
    """Return the oxygen gas, mL at 0 °C and 101.325 kPa, that hydrogen peroxide gives off.

    >>> round(oxygen_ml(1.701), 2)
    0.56
    """
    number("peroxide_mg", peroxide_mg, N_("0 or more"), low=0.0)
    return peroxide_mg / molar_mass_g_mol("hydrogen peroxide") / 2.0 * table("constants")["ideal gas"][
        "molar_volume"].number


def _taken(each: Sequence[float], spread_frac: float) -> tuple[float, str]:
    """Return the strength that the replicates stand for, and what was made of them."""
    mean = statistics.fmean(each)
    if len(each) == 1:
        return mean, SINGLE
    factor = table("redox")["bench"]["critical_factor"].number if len(each) == 2 else RANGE_FACTORS[len(each)]
    if max(each) - min(each) <= factor * spread_frac * mean:
        return mean, ACCEPTED
    return (mean, THIRD_NEEDED) if len(each) == 2 else (statistics.median(each), MEDIAN)


def _repeatability(done: Titration) -> float:
    return (table("redox")["bench"]["burette_repeatability"].number if done.repeatability_frac is None
            else done.repeatability_frac)


def _budget(done: Titration, spread_frac: float) -> dict[str, float]:
    net = statistics.fmean(done.titres_ml) - done.blank_ml
    # Class A, the smallest burette that holds what was filled in; 0.2 % for one larger than any that is listed.
    glass = table("glassware")["burette"]["tolerance_a"].value
    tolerance = next((float(wide) for size, wide in sorted(glass.items(), key=lambda one: float(one[0]))
                      if float(size) >= done.burette_ml), 0.002 * done.burette_ml)
    read = table("redox")["bench"]["burette_reading"].number * math.sqrt(2.0)
    often = math.sqrt(len(done.titres_ml))
    return {"titrant": done.titrant_mol_l.relative, "sample": done.sample_ml.relative,
            "burette": rectangular(tolerance) / net, "readings": read / often / net,
            "blank": read / net if done.blank_ml else 0.0, "repeatability": spread_frac / often}


def _flags(done: Titration) -> tuple[Flag, ...]:
    flags = []
    share = min(done.titres_ml) / done.burette_ml
    if share < table("redox")["bench"]["smallest_titre"].number:
        flags.append(Flag("titre-small", "", share))
    if done.blank_ml > 0.1 * statistics.fmean(done.titres_ml):
        flags.append(Flag("blank-large", "", done.blank_ml))
    if not done.blank_ml:
        flags.append(Flag("no-blank"))
    return tuple(flags)


def _cautions(done: Titration) -> tuple[str, ...]:
    return ("laboratory-work", *CAUTIONS.get(done.titrant, ()), *CAUTIONS.get(done.analyte, ()))


def _analyte(name: str) -> Entry:
    if name not in analytes():
        raise UnknownName("analyte", name, analytes())
    return table("redox")[name]


def _check(done: Titration) -> None:
    checks = Checks()
    try:
        equivalent_mg(done.analyte, done.titrant, done.titrant_mol_l.value)
    except TersumError as fault:
        checks.add(fault)
    checks.number("u(titrant_mol_l)", done.titrant_mol_l.standard_uncertainty, N_("0 or more"), low=0.0)
    checks.number("sample_ml", done.sample_ml.value, N_("above 0, up to 1000 mL"), above=0.0, high=1000.0)
    checks.number("u(sample_ml)", done.sample_ml.standard_uncertainty, N_("0 or more"), low=0.0)
    checks.number("burette_ml", done.burette_ml, N_("1 to 100 mL"), low=1.0, high=100.0)
    checks.number("blank_ml", done.blank_ml, N_("0 mL up to the burette"), low=0.0, high=done.burette_ml)
    checks.number("diluted", done.diluted, N_("1 to 100 000"), low=1.0, high=1e5)
    if done.repeatability_frac is not None:
        checks.number("repeatability_frac", done.repeatability_frac, N_("above 0, up to 0.5"), above=0.0, high=0.5)
    if not 1 <= len(done.titres_ml) <= MOST_REPLICATES:
        checks.add(OutOfRange("titres_ml", len(done.titres_ml), N_("one to six titres")))
    for place, titre in enumerate(done.titres_ml, start=1):
        checks.number(f"titre {place}", titre, N_("above the blank, and no more than the burette holds"),
                      above=done.blank_ml, high=done.burette_ml)
    checks.done()

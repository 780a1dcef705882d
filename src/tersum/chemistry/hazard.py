"""Hazard class of a mixture from its listed ingredients: what is triggered, what cannot be excluded, and by which sums.

A screening aid. The supplier's label and safety data sheet always win; see ``documents/hazard_text.py``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from tersum.catalogue.hazard_entry import COMPUTED, HazardEntry
from tersum.catalogue.hazard_list import ListDate, entries_of, limit, limit_row, list_date
from tersum.chemistry.accepted import Checks
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.hazard_labels import Label, label_of
from tersum.chemistry.hazard_rules import CATEGORIES, PASSED, REACHED, SUPPLEMENTARY, Rule, rules_for
from tersum.chemistry.strength import is_alcohol
from tersum.errors import N_, OutOfRange

UNLISTED = "rest-not-listed"
UNKNOWN = "ingredient-not-known"
NO_PH = "ph-not-stated"
NEWEST = "newest-entry-not-read"
MINIMUM = "minimum-classification"
NO_FACTOR = "m-factor-not-stated"
RECALLED = "entry-recalled"
NOT_COMPUTED = "class-not-computed"
ADDITIVITY = "additivity-doubtful"
ON_BOUND = "estimate-on-bound"
RESERVE = "ph-rule-set-aside"
OPENING = (UNLISTED, UNKNOWN)  # gaps that leave every endpoint open
PEROXIDE, PERACID = "hydrogen peroxide", "peracetic acid"
MOST_PCT = 100.0 + 1e-9


@dataclass(frozen=True)
class Part:
    """One ingredient: its share, % w/w, and the versions of its classification; none where nobody knows it."""

    name: str
    ww_pct: float
    entries: tuple[HazardEntry, ...] = ()


@dataclass(frozen=True)
class Composition:
    """What a mixture is made of.

    ``unlisted_ww_pct`` is what no line accounts for. ``ph`` is that of the mixture; ``reserve_confirmed`` says that
    its acid or alkaline reserve and test data show it not to be corrosive in spite of it. Without a pH corrosion cannot
    be excluded, unless all parts are water and alcohols.
    """

    parts: tuple[Part, ...]
    ph: float | None = None
    reserve_confirmed: bool = False
    unlisted_ww_pct: float = 0.0


@dataclass(frozen=True)
class Fired:
    """One rule with its sum against its limit; ``reached`` tells whether it gave its category."""

    code: str
    endpoint: str
    category: str
    total: float
    limit: float
    certain: bool
    reached: bool

    @property
    def ratio(self) -> float:
        """The sum over its limit; infinite where anything at all is too much."""
        return self.total / self.limit if self.limit else math.inf


@dataclass(frozen=True)
class Endpoint:
    """One hazard: what the listed ingredients trigger, and the strictest that what is not known leaves possible."""

    name: str
    category: str | None
    at_worst: str | None

    @property
    def undecided(self) -> bool:
        """Whether something stricter than what is triggered cannot be excluded."""
        return self.at_worst != self.category


@dataclass(frozen=True)
class Gap:
    """Something that is not known or not current: a code, what it is about, and a number or text that goes with it."""

    code: str
    about: str = ""
    number: float | None = None
    text: str = ""


@dataclass(frozen=True)
class Classification:
    """The hazard class of one mixture.

    ``label`` holds signal word, H-, P- and EUH-codes of what is triggered, ``label_at_worst`` the same with all that
    cannot be excluded: whoever protects people uses that one. ``trace`` holds every rule that was asked, its sum and
    its limit. ``nothing_triggered`` is the mildest answer there is; it never means that a mixture does no harm.
    """

    composition: Composition
    endpoints: tuple[Endpoint, ...]
    label: Label
    label_at_worst: Label
    trace: tuple[Fired, ...]
    gaps: tuple[Gap, ...]
    oxygen_pct: float
    estimates: dict[str, float]
    list_date: ListDate = field(default_factory=list_date)

    def __getitem__(self, name: str) -> Endpoint:
        return next(one for one in self.endpoints if one.name == name)

    @property
    def nothing_triggered(self) -> bool:
        """Whether no classification is triggered by the listed ingredients."""
        return not any(one.category for one in self.endpoints) and not self.label.euh_codes

    @property
    def cannot_tell(self) -> bool:
        """Whether something stricter cannot be excluded; so where a newer line was not read or a class not computed."""
        return any(one.undecided for one in self.endpoints) or any(
            one.code in (NEWEST, NOT_COMPUTED) for one in self.gaps)

    @property
    def eyes_covered(self) -> bool:
        """Whether damage to eyes is covered by corrosion of skin and gets no statement of its own."""
        return (self["skin"].category or "").startswith("Skin Corr.")


def part(name: str, ww_pct: float, *, stated: HazardEntry | None = None) -> Part:
    """Return an ingredient with what the list and its supplier say of it.

    >>> [one.status for one in part("ethanol", 70.0).entries]
    ['recalled', 'expected']
    """
    return Part(name, ww_pct, (*((stated,) if stated else ()), *entries_of(name)))


def classification(mixture: Composition) -> Classification:
    """Return the hazard class of a mixture.

    Parameters
    ----------
    mixture : Composition
        Shares 0 to 100 % w/w, together no more than 100; pH -1 to 15 or None.

    Raises
    ------
    OutOfRange, Faults
        Everything that is wrong with the composition, at once.

    Source
    ------
    See :func:`tersum.chemistry.hazard_rules.rules_for`; clp-annex-1, 3.2.3.1.2 and 3.3.3.1.2 (pH), 2.15.2.1 (organic
    peroxides). All ingredients enter the sums, those below the relevance limits of table 1.1 too: stricter than the
    text asks. A sum within 1e-9 of its limit has reached it.

    Examples
    --------
    >>> found = classification(Composition((part("hydrogen peroxide", 5.0), part("water", 95.0)), ph=4.0))
    >>> found["eye"].category, found["skin"].category, found.label.h_codes
    ('Eye Irrit. 2', None, ('H319',))
    """
    _check(mixture)
    rules = rules_for([one.entries for one in mixture.parts])
    trace = (*_fired(rules, mixture), *_by_ph(mixture), *_organic_peroxide(mixture))
    gaps = tuple(_gaps(mixture, trace))
    opened = any(gap.code in OPENING for gap in gaps)
    endpoints = tuple(_endpoint(name, trace, opened) for name in CATEGORIES)
    euh = [one for one in trace if one.endpoint == SUPPLEMENTARY and one.reached]
    return Classification(
        mixture, endpoints,
        label_of([one.category for one in endpoints if one.category], [one.category for one in euh if one.certain]),
        label_of([one.at_worst for one in endpoints if one.at_worst], [one.category for one in euh]),
        trace, gaps, oxygen_pct(mixture), _estimates(trace))


def oxygen_pct(mixture: Composition) -> float:
    """Return the available oxygen of the organic peroxides, % w/w.

    >>> round(oxygen_pct(Composition((part("peracetic acid", 4.7),))), 3)
    0.989
    """
    oxygen = limit("organic peroxide", "oxygen_mass")
    return sum(oxygen * one.ww_pct / molar_mass_g_mol(PERACID) for one in mixture.parts if of_substance(one, PERACID))


def exempt_organic_peroxide(oxygen: float, peroxide_pct: float) -> bool:
    """Tell whether a mixture stays out of the class of organic peroxides by its oxygen.

    >>> exempt_organic_peroxide(0.989, 0.9), exempt_organic_peroxide(0.505, 6.9), exempt_organic_peroxide(0.02, 8.0)
    (True, False, False)
    """
    return oxygen <= oxygen_limit(peroxide_pct)


def oxygen_limit(peroxide_pct: float) -> float:
    """Return how much available oxygen, %, a mixture with this much hydrogen peroxide may have outside the class."""
    if peroxide_pct <= limit("organic peroxide", "low_peroxide"):
        return limit("organic peroxide", "oxygen_low_peroxide")
    return limit("organic peroxide", "oxygen_high_peroxide") if peroxide_pct <= limit(
        "organic peroxide", "high_peroxide") else 0.0


def estimate_mix(shares_pct: Sequence[float], estimates: Sequence[float], *, unknown_pct: float = 0.0) -> float:
    """Return the acute toxicity estimate of a mixture, in the unit of its ingredients' estimates.

    Parameters
    ----------
    shares_pct, estimates : sequences of float
        Of the ingredients that are acutely toxic, % w/w and mg/kg or mg/L, above 0.
    unknown_pct : float
        Ingredients of unknown acute toxicity, % w/w; they count above 10 %.

    Source
    ------
    clp-annex-1, 3.1.3.6.1 and 3.1.3.6.2.3.

    Examples
    --------
    >>> round(estimate_mix([26.0, 23.0, 40.0], [2737.0, 4500.0, 400.0]), 1)
    872.5
    """
    checks = Checks()
    for share, one in zip(shares_pct, estimates, strict=True):
        checks.number("shares_pct", share, N_("0 to 100 %"), low=0.0, high=100.0)
        checks.number("estimates", one, N_("above 0"), above=0.0)
    checks.number("unknown_pct", unknown_pct, N_("0 to 100 %"), low=0.0, high=100.0)
    checks.done()
    total = sum(share / one for share, one in zip(shares_pct, estimates, strict=True))
    return known_pct(unknown_pct) / total if total else math.inf


def of_substance(one: Part, substance: str) -> bool:
    """Tell whether an ingredient is a substance of the list, by its name or its entries."""
    return one.name.strip().casefold() == substance or any(entry.substance == substance for entry in one.entries)


def moves_ph(one: Part) -> bool:
    """Tell whether an ingredient may move a pH: all but water and alcohols."""
    return not (of_substance(one, "water") or is_alcohol(one.name))


def _share(mixture: Composition, substance: str) -> float:
    return sum(one.ww_pct for one in mixture.parts if of_substance(one, substance))


def _check(mixture: Composition) -> None:
    checks = Checks()
    for one in mixture.parts:
        checks.number(one.name, one.ww_pct, N_("0 to 100 % w/w"), low=0.0, high=100.0)
    checks.number("unlisted_ww_pct", mixture.unlisted_ww_pct, N_("0 to 100 % w/w"), low=0.0, high=100.0)
    if mixture.ph is not None:
        checks.number("ph", mixture.ph, N_("-1 to 15"), low=-1.0, high=15.0)
    together = sum(one.ww_pct for one in mixture.parts) + mixture.unlisted_ww_pct
    if together > MOST_PCT:
        checks.add(OutOfRange("ingredient", f"{together:.6g} %", N_("ingredients that make up no more than 100 %")))
    checks.done()


def _unknown_pct(mixture: Composition) -> float:
    return mixture.unlisted_ww_pct + sum(one.ww_pct for one in mixture.parts if not one.entries)


def known_pct(unknown_pct: float) -> float:
    """Return what a sum of acute toxicity is compared with, once ingredients of unknown toxicity are left out."""
    return 100.0 - unknown_pct if unknown_pct > limit("acute", "unknown") else 100.0


def _fired(rules: Sequence[Rule], mixture: Composition) -> list[Fired]:
    shares = [one.ww_pct for one in mixture.parts]
    known = known_pct(_unknown_pct(mixture))
    found = []
    for rule in rules:
        total = sum(weight * share for weight, share in zip(rule.weights, shares, strict=True))
        against = known if rule.of_known else rule.limit
        reached = total > against * PASSED if rule.beyond else total >= against * REACHED
        found.append(Fired(rule.code, rule.endpoint, rule.category, total, against, rule.certain,
                           reached and total > 0.0))
    return found


def _by_ph(mixture: Composition) -> list[Fired]:
    """Return what the pH of the whole mixture says; a pH that nobody states excludes nothing."""
    categories = (("skin", "Skin Corr. 1"), ("eye", "Eye Dam. 1"))
    acid, alkaline = limit("ph", "acid"), limit("ph", "alkaline")
    if mixture.ph is None:
        needed = mixture.unlisted_ww_pct > 0.0 or any(one.ww_pct > 0.0 and moves_ph(one) for one in mixture.parts)
        return [Fired(NO_PH, endpoint, CATEGORIES[endpoint][0], 0.0, 1.0, False, needed) for endpoint, _ in categories]
    against = acid if abs(mixture.ph - acid) < abs(mixture.ph - alkaline) else alkaline
    reached = mixture.ph <= acid or mixture.ph >= alkaline
    return [Fired("ph-extreme", endpoint, category, mixture.ph, against, True,
                  reached and not mixture.reserve_confirmed) for endpoint, category in categories]


def _organic_peroxide(mixture: Composition) -> list[Fired]:
    oxygen = oxygen_pct(mixture)
    if not oxygen:
        return []
    against = oxygen_limit(_share(mixture, PEROXIDE))
    return [Fired("organic-peroxide-oxygen", "organic-peroxide", CATEGORIES["organic-peroxide"][0], oxygen,
                  against, True, oxygen > against)]


def _endpoint(name: str, trace: Sequence[Fired], opened: bool) -> Endpoint:
    order = CATEGORIES[name]
    reached = [one for one in trace if one.endpoint == name and one.reached]
    sure = [order.index(one.category) for one in reached if one.certain]
    worst = [0] if opened else [order.index(one.category) for one in reached]
    return Endpoint(name, order[min(sure)] if sure else None, order[min(worst)] if worst else None)


def _estimates(trace: Sequence[Fired]) -> dict[str, float]:
    """Return the mixture's acute toxicity estimate by route, from the sum against the ceiling of category 4."""
    from_rules = {}
    for one in trace:
        if one.code == "acute-estimate" and one.category.startswith("Acute Tox. 4") and one.certain and one.total:
            route = one.endpoint.removeprefix("acute-")
            from_rules[route] = _ceiling(route) * one.limit / one.total
    return from_rules


def _ceiling(route: str) -> float:
    return limit_row(f"acute {route}", "bounds")[3]


def _gaps(mixture: Composition, trace: Sequence[Fired]) -> list[Gap]:
    found = []
    if mixture.unlisted_ww_pct > 0.0:
        found.append(Gap(UNLISTED, number=mixture.unlisted_ww_pct))
    if any(one.code == NO_PH and one.reached for one in trace):
        found.append(Gap(NO_PH))
    if mixture.reserve_confirmed and mixture.ph is not None:
        found.append(Gap(RESERVE, number=mixture.ph))
    for one in mixture.parts:
        if one.ww_pct > 0.0:
            found += _gaps_of(one)
    sure = {(one.endpoint, one.category): one for one in trace if one.code == "acute-estimate" and one.certain}
    for rule in trace:
        other = sure.get((rule.endpoint, rule.category))
        if rule.code == "acute-estimate" and not rule.certain and rule.reached and other and not other.reached \
                and math.isclose(rule.total, rule.limit, rel_tol=1e-9):
            found.append(Gap(ON_BOUND, text=rule.category))
    return found


def _gaps_of(one: Part) -> list[Gap]:
    if not one.entries:
        return [Gap(UNKNOWN, one.name, one.ww_pct)]
    found = []
    for entry in one.entries:
        if entry.newest:
            found.append(Gap(NEWEST, one.name, text=entry.newest))
        if entry.minimum:
            found.append(Gap(MINIMUM, one.name, text=", ".join(entry.minimum)))
        found += [Gap(NO_FACTOR, one.name, text=name) for name in ("Aquatic Acute 1", "Aquatic Chronic 1")
                  if name in entry.classes and entry.certain and not any(
                      name in other.m_factors for other in one.entries)]
        found += [Gap(NOT_COMPUTED, one.name, text=name) for name in entry.classes if name not in COMPUTED]
        if entry.status in ("recalled", "no-harmonised-entry"):
            found.append(Gap(RECALLED, one.name, text=entry.status))
    return found

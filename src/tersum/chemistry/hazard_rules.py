"""The rules by which a mixture is classified: each a weighted sum of its ingredients against one limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from tersum.catalogue.hazard_entry import ACUTE, AQUATIC, EYE, ROUTES, SKIN, STOT, HazardEntry
from tersum.catalogue.hazard_list import limit, limit_row

# Endpoints and their categories, strictest first.
CATEGORIES: dict[str, tuple[str, ...]] = {
    "skin": SKIN,
    "eye": EYE,
    **{f"acute-{route}": tuple(one for one in ACUTE if one.endswith(route)) for route in ROUTES},
    "stot-irritation": (STOT[0],),
    "stot-narcosis": (STOT[1],),
    "aquatic-acute": (AQUATIC[0],),
    "aquatic-chronic": AQUATIC[1:],
    "organic-peroxide": ("Org. Perox.",),
    "oxidising-liquid": ("Ox. Liq. 1", "Ox. Liq. 2", "Ox. Liq. 3"),
    "flammable-liquid": ("Flam. Liq. 1", "Flam. Liq. 2", "Flam. Liq. 3"),
}
SUPPLEMENTARY = "supplementary"
# Two floating-point sums of one mixture differ in the last digit; a sum this near its limit has reached it.
REACHED = 1.0 - 1e-9
PASSED = 1.0 + 1e-9
ANY_SHARE = 1e9  # the weight of what counts in any share: no factor is stated


@dataclass(frozen=True)
class Rule:
    """``sum(weights x % w/w) >= limit`` gives ``category``; ``certain`` is false for what only cannot be excluded.

    ``beyond`` asks for more than the limit. ``of_known`` compares with what is left of 100 after the ingredients of
    unknown toxicity, where these are more than a tenth.
    """

    code: str
    endpoint: str
    category: str
    limit: float
    weights: tuple[float, ...]
    certain: bool = True
    beyond: bool = False
    of_known: bool = False


Versions = Sequence[HazardEntry]
Weight = Callable[[HazardEntry], float]


def rules_for(parts: Sequence[Versions]) -> tuple[Rule, ...]:
    """Return the rules of a mixture, from the versions of the entry of each ingredient (none: unknown).

    Source
    ------
    clp-annex-1: tables 3.2.3, 3.2.4, 3.3.3, 3.3.4, 3.1.1, 3.1.2, 4.1.1, 4.1.2, 3.1.3.6.1, 3.8.3.4.5, with specific
    limits in place of general ones (article 10): an ingredient counts as its share over its own limit.
    """
    found = [*_skin(parts), *_eye(parts), *_acute(parts), *_stot(parts), *_aquatic(parts), *_physical(parts),
             *_supplementary(parts)]
    asked: dict[tuple[object, ...], Rule] = {}
    for one in found:  # strictest first: a rule with the same sum as a stricter one never adds anything
        if any(one.weights):
            asked.setdefault((one.code, one.endpoint, one.limit, one.weights, one.certain, one.beyond), one)
    return tuple(asked.values())


def skin_limits(entry: HazardEntry) -> dict[str, float]:
    """Return the share of an ingredient, %, from which each skin category holds by it alone.

    >>> from tersum.catalogue.hazard_list import entries_of
    >>> skin_limits(entries_of("sodium hydroxide")[0])
    {'Skin Corr. 1A': 5.0, 'Skin Corr. 1B': 2.0, 'Skin Irrit. 2': 0.5}
    """
    own = {name: entry.limits[name] for name in SKIN if name in entry.limits}
    corrosive = [name for name in SKIN[:-1] if name in entry.classes]
    if corrosive and not any(name in own for name in SKIN[:-1]):
        general = {corrosive[0]: limit("skin", "corrosive")}
        if SKIN[-1] not in own:
            general[SKIN[-1]] = limit("skin", "corrosive_as_irritant")
        return {**general, **own}
    if SKIN[-1] in entry.classes and SKIN[-1] not in own:
        own[SKIN[-1]] = limit("skin", "irritant")
    return own


def eye_limits(entry: HazardEntry) -> dict[str, float]:
    """Return the same for eyes; what corrodes skin damages eyes.

    >>> from tersum.catalogue.hazard_list import entries_of
    >>> eye_limits(entries_of("sodium hydroxide")[0])
    {'Eye Dam. 1': 2.0, 'Eye Irrit. 2': 0.5}
    """
    own = {name: entry.limits[name] for name in EYE if name in entry.limits}
    corrosive = [entry.limits[name] for name in SKIN[:-1] if name in entry.limits]
    if corrosive:
        own = {EYE[0]: min(corrosive), **own}
    elif EYE[0] not in own and (EYE[0] in entry.classes or any(name in entry.classes for name in SKIN[:-1])):
        own = {EYE[0]: limit("eye", "damaging"), EYE[1]: limit("eye", "damaging_as_irritant"), **own}
    if EYE[1] in entry.classes and EYE[1] not in own:
        own[EYE[1]] = limit("eye", "irritant")
    return {name: own[name] for name in EYE if name in own}


def acute_estimate(entry: HazardEntry, route: str) -> tuple[float, bool] | None:
    """Return the acute toxicity estimate of an ingredient and whether it was converted from a category.

    >>> from tersum.catalogue.hazard_list import entries_of
    >>> acute_estimate(entries_of("hydrogen peroxide")[0], "oral")
    (500.0, True)
    """
    if route in entry.ate:
        return entry.ate[route], False
    for category, value in enumerate(limit_row(f"acute {route}", "converted"), start=1):
        if f"Acute Tox. {category} {route}" in entry.classes:
            return value, True
    return None


def _pair(code: str, endpoint: str, category: str, against: float, parts: Sequence[Versions], weight: Weight, *,
          worst: Weight | None = None, **more: bool) -> Iterable[Rule]:
    """Yield the rule on what classifies, and the stricter one on all that is known where it differs."""
    sure = tuple(max((weight(one) for one in versions if one.certain), default=0.0) for versions in parts)
    rule = Rule(code, endpoint, category, against, sure, **more)
    yield rule
    most = tuple(max((max(weight(one), (worst or weight)(one)) for one in versions), default=0.0)
                 for versions in parts)
    if most != sure:
        yield replace(rule, weights=most, certain=False)


def _skin(parts: Sequence[Versions]) -> Iterable[Rule]:
    # A corrosive ingredient without a sub-category leaves the mixture without one.
    whole = any("Skin Corr. 1" in (*one.classes, *one.limits) for versions in parts for one in versions)
    for name in SKIN:
        against = limit("skin", "irritant" if name == SKIN[-1] else "corrosive")
        called = "Skin Corr. 1" if whole and name in ("Skin Corr. 1B", "Skin Corr. 1C") else name
        yield from _pair("skin-sum", "skin", called, against, parts, _share_of(skin_limits, SKIN, name, against))
    yield from _not_additive("skin", "Skin Corr. 1", "not_additive_corrosive", SKIN, parts, SKIN[:-1])
    yield from _not_additive("skin", SKIN[-1], "not_additive_irritant", SKIN, parts, SKIN)


def _eye(parts: Sequence[Versions]) -> Iterable[Rule]:
    for name, key in zip(EYE, ("damaging", "irritant"), strict=True):
        against = limit("eye", key)
        yield from _pair("eye-sum", "eye", name, against, parts, _share_of(eye_limits, EYE, name, against))
    both = (*EYE, *SKIN[:-1])
    yield from _not_additive("eye", EYE[0], "not_additive_damaging", both, parts, (EYE[0], *SKIN[:-1]))
    yield from _not_additive("eye", EYE[1], "not_additive_irritant", both, parts, both)


def _share_of(limits: Callable[[HazardEntry], dict[str, float]], order: Sequence[str], name: str,
              against: float) -> Weight:
    """Return the weight that makes an ingredient reach the general limit at its own one."""
    at_least = order[:order.index(name) + 1]

    def weight(entry: HazardEntry) -> float:
        if entry.additivity == "no":
            return 0.0
        own = limits(entry)
        return max((against / own[one] for one in at_least if one in own), default=0.0)

    return weight


def _not_additive(endpoint: str, category: str, key: str, limited: Sequence[str], parts: Sequence[Versions],
                  classes: Sequence[str]) -> Iterable[Rule]:
    """Yield the rules for ingredients whose effects do not add up; one with limits of its own keeps to these."""

    def counts(entry: HazardEntry) -> float:
        own = any(name in entry.limits for name in limited)
        return float(not own and any(name in entry.classes for name in classes))

    yield from _pair(f"{endpoint}-not-additive", endpoint, category, limit(endpoint, key), parts,
                     lambda entry: counts(entry) * (entry.additivity == "no"),
                     worst=lambda entry: counts(entry) * (entry.additivity != "yes"))


def _acute(parts: Sequence[Versions]) -> Iterable[Rule]:
    for route in ROUTES:
        converted = limit_row(f"acute {route}", "converted")
        for category, bound in enumerate(limit_row(f"acute {route}", "bounds"), start=1):

            def weight(entry: HazardEntry, route: str = route, bound: float = bound) -> float:
                estimate = acute_estimate(entry, route)
                return bound / estimate[0] if estimate else 0.0

            # A converted value may sit on the bound itself: that alone does not decide for the stricter category.
            on_bound = any(math.isclose(bound, one) for one in converted) and any(
                (acute_estimate(one, route) or (0.0, False))[1] for versions in parts for one in versions)
            for rule in _pair("acute-estimate", f"acute-{route}", f"Acute Tox. {category} {route}", 100.0, parts,
                              weight, of_known=True):
                if on_bound and rule.certain:
                    yield replace(rule, beyond=True)
                    yield replace(rule, certain=False)
                else:
                    yield rule


def _stot(parts: Sequence[Versions]) -> Iterable[Rule]:
    against = limit("stot", "generic")
    for endpoint, name in (("stot-irritation", STOT[0]), ("stot-narcosis", STOT[1])):

        def weight(entry: HazardEntry, name: str = name) -> float:
            return against / entry.limits.get(name, against if name in entry.classes else math.inf)

        yield from _pair("stot-sum", endpoint, name, against, parts, weight)


def _aquatic(parts: Sequence[Versions]) -> Iterable[Rule]:
    against, step = limit("aquatic", "sum"), limit("aquatic", "step")
    acute, *chronic = AQUATIC
    # A factor that another version of the same entry states is not unknown.
    stated = {(id(one), name) for versions in parts for one in versions for name in (acute, chronic[0])
              if any(name in other.m_factors for other in versions)}

    def factor(entry: HazardEntry, name: str, unknown: float) -> float:
        missing = 1.0 if (id(entry), name) in stated else unknown
        return entry.m_factors.get(name, missing) if name in entry.classes else 0.0

    def chronic_weight(entry: HazardEntry, place: int, unknown: float) -> float:
        lower = (step ** (place - other) for other in range(1, place + 1) if chronic[other] in entry.classes)
        return max(step**place * factor(entry, chronic[0], unknown), *lower, 0.0)

    yield from _pair("aquatic-sum", "aquatic-acute", acute, against, parts, lambda one: factor(one, acute, 1.0),
                     worst=lambda one: factor(one, acute, ANY_SHARE))
    for place, name in enumerate(chronic[:3]):
        yield from _pair("aquatic-sum", "aquatic-chronic", name, against, parts,
                         lambda one, place=place: chronic_weight(one, place, 1.0),  # type: ignore[misc]
                         worst=lambda one, place=place: chronic_weight(one, place, ANY_SHARE))  # type: ignore[misc]
    yield from _pair("aquatic-sum", "aquatic-chronic", chronic[3], against, parts,
                     lambda one: float(any(name in one.classes for name in chronic)))


def _physical(parts: Sequence[Versions]) -> Iterable[Rule]:
    oxidising = CATEGORIES["oxidising-liquid"]
    for place, name in enumerate(oxidising):

        def weight(entry: HazardEntry, names: Sequence[str] = oxidising[:place + 1]) -> float:
            return max((1.0 / entry.limits[one] for one in names if one in entry.limits), default=0.0)

        def unlimited(entry: HazardEntry, names: Sequence[str] = oxidising[:place + 1]) -> float:
            none = not any(one in entry.limits for one in oxidising)
            return ANY_SHARE if none and any(one in entry.classes for one in names) else 0.0

        yield from _pair("oxidising-limit", "oxidising-liquid", name, 1.0, parts, weight, worst=unlimited)
    flammable = CATEGORIES["flammable-liquid"]
    strictest = next((one for one in flammable for versions in parts for entry in versions if one in entry.classes), "")
    if strictest:
        yield from (one for one in _pair("flash-point", "flammable-liquid", strictest, limit("flammable", "asked_from"),
                                         parts, lambda one: 0.0,
                                         worst=lambda one: float(any(name in one.classes for name in flammable))))


def _supplementary(parts: Sequence[Versions]) -> Iterable[Rule]:
    for name, beyond in (("EUH031", False), ("EUH206", True)):

        def weight(entry: HazardEntry, name: str = name) -> float:
            return 1.0 / entry.limits[name] if name in entry.limits else 0.0

        yield from _pair("supplementary-limit", SUPPLEMENTARY, name, 1.0, parts, weight, beyond=beyond)

"""Hazard class of many mixtures of the same ingredients at once: the rules of :mod:`hazard_rules` on arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tersum.arguments import reals
from tersum.catalogue.hazard_list import limit
from tersum.catalogue.product import Product
from tersum.chemistry.accepted import Checks
from tersum.chemistry.equilibria import molar_mass_g_mol
from tersum.chemistry.hazard import (
    MOST_PCT,
    PERACID,
    PEROXIDE,
    Part,
    moves_ph,
    of_substance,
)
from tersum.chemistry.hazard_product import HEAVIEST_KG_L, WATER, diluted, neat_composition, water_kg_l
from tersum.chemistry.hazard_rules import CATEGORIES, PASSED, REACHED, SUPPLEMENTARY, Rule, rules_for
from tersum.errors import N_, OutOfRange

Array = NDArray[np.float64]
NONE = 255  # where no category holds


@dataclass(frozen=True)
class ManyClassifications:
    """The categories of n mixtures.

    ``category`` and ``at_worst`` hold, for each endpoint, uint8 of shape (n,): the place of the category in
    ``CATEGORIES[endpoint]``, strictest 0, or 255 for none. ``euh`` tells for each supplementary statement where it is
    triggered. A lower number is never milder, so arrays compare with ``<``.
    """

    category: Mapping[str, NDArray[np.uint8]]
    at_worst: Mapping[str, NDArray[np.uint8]]
    euh: Mapping[str, NDArray[np.bool_]]

    def names(self, endpoint: str) -> list[str]:
        """Return the categories of one endpoint as words, ``none`` where nothing is triggered."""
        words = dict(enumerate(CATEGORIES[endpoint])) | {NONE: "none"}
        return [words[int(place)] for place in self.category[endpoint]]


def classifications(parts: Sequence[Part], ww_pct: ArrayLike, *, ph: ArrayLike | None = None,
                    unlisted_ww_pct: ArrayLike = 0.0, reserve_confirmed: bool = False) -> ManyClassifications:
    """Return the hazard classes of many mixtures of the same ingredients.

    Parameters
    ----------
    parts : sequence of Part, length m
        The ingredients; their own shares do not count here.
    ww_pct : array_like, shape (n, m)
        Shares, % w/w, 0 to 100, each row no more than 100 together with what is not listed.
    ph : array_like, shape (n,) or (), optional
        pH of each mixture, -1 to 15.
    unlisted_ww_pct : array_like, shape (n,) or ()
        What no line accounts for, % w/w.
    reserve_confirmed : bool
        As in :class:`tersum.chemistry.hazard.Composition`, for all of them.

    Raises
    ------
    OutOfRange, Faults
        If an argument lies outside what is stated above.

    Examples
    --------
    >>> from tersum.chemistry.hazard import part
    >>> found = classifications([part("hydrogen peroxide", 0.0)], [[4.9], [5.0], [8.0]], ph=4.0)
    >>> found.names("eye")
    ['none', 'Eye Irrit. 2', 'Eye Dam. 1']
    """
    shares, unlisted, acidity = _checked(parts, ww_pct, unlisted_ww_pct, ph)
    unknown = unlisted + sum((shares[:, place] for place, one in enumerate(parts) if not one.entries),
                             np.zeros(len(shares)))
    known = np.where(unknown > limit("acute", "unknown"), 100.0 - unknown, 100.0)
    sure = {name: np.full(len(shares), NONE, dtype=np.uint8) for name in CATEGORIES}
    worst = {name: np.full(len(shares), NONE, dtype=np.uint8) for name in CATEGORIES}
    euh: dict[str, NDArray[np.bool_]] = {}
    for rule in rules_for([one.entries for one in parts]):
        reached = _reached(rule, shares, known)
        if rule.endpoint == SUPPLEMENTARY:
            if rule.certain:
                euh[rule.category] = reached
            continue
        _put(worst, rule.endpoint, rule.category, reached)
        if rule.certain:
            _put(sure, rule.endpoint, rule.category, reached)
    _by_ph(sure, worst, parts, shares, unlisted, acidity, reserve_confirmed)
    _organic_peroxide(sure, worst, parts, shares)
    for name in CATEGORIES:
        worst[name][unknown > 0.0] = 0
    return ManyClassifications(sure, worst, euh)


def dilutions(product: Product, concentrate_frac: ArrayLike, *, ph: ArrayLike | None = None) -> ManyClassifications:
    """Return the hazard classes of many dilutions of one liquid product.

    Parameters
    ----------
    product : Product
        A liquid.
    concentrate_frac : array_like, shape (n,)
        Share of concentrate by volume, above 0 to 1.
    ph : array_like, shape (n,) or (), optional
        pH of each dilution; without it corrosion stays possible.

    Examples
    --------
    >>> from tersum.catalogue.load import product
    >>> dilutions(product("Demo Concentrate A"), [1.0, 0.2, 0.05], ph=3.0).names("eye")
    ['Eye Dam. 1', 'Eye Irrit. 2', 'none']
    """
    if product.kind != "liquid":
        raise OutOfRange("product", product.name, N_("a liquid"))
    frac = np.atleast_1d(reals("concentrate_frac", concentrate_frac, above=0.0, at_most=1.0))
    neat = neat_composition(product)
    heavy = frac * (product.density_kg_l or HEAVIEST_KG_L)
    mass = heavy / (heavy + (1.0 - frac) * water_kg_l())
    parts = diluted(neat, 0.5).parts
    shares = np.outer(mass, [one.ww_pct for one in neat.parts] + [0.0] * (len(parts) - len(neat.parts)))
    shares[:, [one.name for one in parts].index(WATER)] += 100.0 * (1.0 - mass)
    return classifications(parts, shares, ph=ph, unlisted_ww_pct=neat.unlisted_ww_pct * mass)


def _checked(parts: Sequence[Part], ww_pct: ArrayLike, unlisted_ww_pct: ArrayLike,
             ph: ArrayLike | None) -> tuple[Array, Array, Array | None]:
    shares = reals("ww_pct", ww_pct, at_least=0.0, at_most=MOST_PCT)
    if shares.ndim != 2 or shares.shape[1] != len(parts):
        raise OutOfRange("ww_pct", str(shares.shape), N_("one row a mixture, one column an ingredient, {count}"),
                         count=len(parts))
    unlisted = np.broadcast_to(reals("unlisted_ww_pct", unlisted_ww_pct, at_least=0.0, at_most=MOST_PCT), len(shares))
    together = shares.sum(axis=1) + unlisted
    checks = Checks()
    if np.any(together > MOST_PCT):
        checks.add(OutOfRange("ingredient", f"{float(together.max()):.6g} %",
                              N_("ingredients that make up no more than 100 %")))
    checks.done()
    acidity = None if ph is None else np.broadcast_to(reals("ph", ph, at_least=-1.0, at_most=15.0), len(shares))
    return shares, unlisted, acidity


def _reached(rule: Rule, shares: Array, known: Array) -> NDArray[np.bool_]:
    # Column by column: no array of rules times mixtures is ever held.
    total = np.zeros(len(shares))
    for place, weight in enumerate(rule.weights):
        if weight:
            total += weight * shares[:, place]
    against = known if rule.of_known else rule.limit
    reached = total > against * PASSED if rule.beyond else total >= against * REACHED
    return np.asarray(reached & (total > 0.0))


def _put(found: Mapping[str, NDArray[np.uint8]], endpoint: str, category: str, where: NDArray[np.bool_]) -> None:
    place = CATEGORIES[endpoint].index(category)
    np.minimum(found[endpoint], place, out=found[endpoint], where=where)


def _by_ph(sure: Mapping[str, NDArray[np.uint8]], worst: Mapping[str, NDArray[np.uint8]], parts: Sequence[Part],
           shares: Array, unlisted: Array, acidity: Array | None, reserve_confirmed: bool) -> None:
    if acidity is None:
        needed = unlisted > 0.0
        for place, one in enumerate(parts):
            if moves_ph(one):
                needed = needed | (shares[:, place] > 0.0)
        for endpoint in ("skin", "eye"):
            _put(worst, endpoint, CATEGORIES[endpoint][0], np.asarray(needed))
        return
    extreme = ((acidity <= limit("ph", "acid")) | (acidity >= limit("ph", "alkaline"))) & (not reserve_confirmed)
    for endpoint, category in (("skin", "Skin Corr. 1"), ("eye", "Eye Dam. 1")):
        _put(sure, endpoint, category, extreme)
        _put(worst, endpoint, category, extreme)


def _organic_peroxide(sure: Mapping[str, NDArray[np.uint8]], worst: Mapping[str, NDArray[np.uint8]],
                      parts: Sequence[Part], shares: Array) -> None:
    def amount(substance: str) -> Array:
        columns = [place for place, one in enumerate(parts) if of_substance(one, substance)]
        return np.asarray(shares[:, columns].sum(axis=1))

    peroxide, name = amount(PEROXIDE), "organic peroxide"
    oxygen = limit(name, "oxygen_mass") * amount(PERACID) / molar_mass_g_mol(PERACID)
    against = np.select([peroxide <= limit(name, "low_peroxide"), peroxide <= limit(name, "high_peroxide")],
                        [limit(name, "oxygen_low_peroxide"), limit(name, "oxygen_high_peroxide")], 0.0)
    for found in (sure, worst):
        _put(found, "organic-peroxide", CATEGORIES["organic-peroxide"][0], oxygen > against)


"""What a material takes: chemicals at working strength, and heat; and parts that take only their maker's method."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from tersum.catalogue.load import Entry, Sourced, table
from tersum.catalogue.product import Product
from tersum.chemistry.accepted import number
from tersum.chemistry.together import classes_of, classes_of_ingredient
from tersum.chemistry.working_solution import actives_of
from tersum.errors import N_

FINE, CARE, AVOID, MAKERS_METHOD, UNKNOWN = "fine", "care", "avoid", "makers-method", "unknown"
AGENTS = ("peracid", "peroxide", "hypochlorite", "alcohol", "quat", "alkali")  # the order of the table
_WORSE = (FINE, CARE, UNKNOWN, AVOID)
# Highest strength that the table speaks of, mg/L (0.2, 3, 0.5 %, alcohol 70 % w/w, a tenth over for rounding).
STRONGEST_MG_L = {"peracid": 2200.0, "peroxide": 33000.0, "hypochlorite": 5500.0, "alcohol": 670000.0}
# What the table has no column for: an acid counts as nothing known; these do nothing to a material by themselves.
HARMLESS = ("none", "chloride", "anionic")


@dataclass(frozen=True)
class MaterialVerdict:
    """The verdict on one material: what it stands on, and what decides.

    ``evidence`` is 1 (a study was read), 2 (a statement of authority was read), 3 (recalled or inferred), empty where
    nothing is known. ``by`` names the agent or ``heat`` that decides.
    """

    material: str
    verdict: str
    by: str = ""
    evidence: str = ""
    value: Sourced | None = None


@cache
def materials() -> tuple[str, ...]:
    """Return every material and part of the table."""
    return tuple(table("materials"))


def makers_only() -> tuple[str, ...]:
    """Return the parts that take nothing but their maker's written method."""
    return tuple(name for name, entry in table("materials").items() if entry.labels.get("makers_method"))


def material_under(material: str, agent: str) -> MaterialVerdict:
    """Return the verdict on a material under one agent at working strength, short contact, then a rinse.

    Parameters
    ----------
    material : str
        Of the table, capitals aside; another is ``unknown``.
    agent : str
        One of :data:`AGENTS`; another is ``unknown``.

    Examples
    --------
    >>> material_under("copper", "peracid").verdict, material_under("airbag cover", "quat").verdict
    ('avoid', 'makers-method')
    """
    found = _entry(material)
    if found is None:
        return MaterialVerdict(material, UNKNOWN)
    name, entry = found
    if entry.labels.get("makers_method"):
        return MaterialVerdict(name, MAKERS_METHOD, agent, value=entry["only"])
    if agent not in AGENTS:
        return MaterialVerdict(name, UNKNOWN, agent)
    value = entry["verdicts"]
    grade = str(entry.labels["evidence"]) if agent in entry.labels.get("graded", ()) else "3"
    return MaterialVerdict(name, str(value.value[AGENTS.index(agent)]), agent, grade, value)


def material_heated(material: str, temp_c: float) -> MaterialVerdict:
    """Return the verdict on a material at a surface temperature: ``avoid`` above its limit, ``care`` close below it.

    Parameters
    ----------
    material : str
        Of the table; one whose limit is not known is ``unknown``.
    temp_c : float
        Of the surface, -20 to 200 °C.

    Examples
    --------
    >>> material_heated("leather", 90.0).verdict, material_heated("leather", 40.0).verdict
    ('avoid', 'fine')
    """
    number("temp_c", temp_c, N_("-20 to 200 °C"), low=-20.0, high=200.0)
    found = _entry(material)
    if found is None:
        return MaterialVerdict(material, UNKNOWN, "heat")
    name, entry = found
    if entry.labels.get("makers_method"):
        return MaterialVerdict(name, MAKERS_METHOD, "heat", value=entry["only"])
    if "hottest_c" not in entry:
        return MaterialVerdict(name, UNKNOWN, "heat")
    value = entry["hottest_c"]
    near = value.number - 10.0
    verdict = AVOID if temp_c > value.number else CARE if temp_c > near else FINE
    return MaterialVerdict(name, verdict, "heat", "3", value)


def material_under_product(material: str, product: Product, *, concentrate_frac: float = 1.0) -> MaterialVerdict:
    """Return the worst verdict on a material over everything in a product at its working dilution.

    Where an ingredient is not known, or an agent is stronger than the table speaks of, the verdict is at least
    ``unknown``: a mixture is never judged by what happens to be listed.

    Parameters
    ----------
    material : str
        Of the table.
    product : Product
        Of the catalogue or of a file.
    concentrate_frac : float
        Volume share of the product in what is used, above 0 to 1.
    """
    number("concentrate_frac", concentrate_frac, N_("above 0, up to 1"), above=0.0, high=1.0)
    agents = [one for one in classes_of(product) if one not in HARMLESS]
    # An acid beside a peracid is that of its equilibrium, which the table's column speaks of.
    if "peracid" in agents and "acid" in agents:
        agents.remove("acid")
    found = [_not_too_strong(material_under(material, agent), product, concentrate_frac) for agent in agents]
    if not found:
        entry = _entry(material)
        if entry is not None and entry[1].labels.get("makers_method"):
            return MaterialVerdict(entry[0], MAKERS_METHOD, value=entry[1]["only"])
        return MaterialVerdict(entry[0] if entry else material, UNKNOWN)
    makers = [one for one in found if one.verdict == MAKERS_METHOD]
    return makers[0] if makers else max(found, key=lambda one: _WORSE.index(one.verdict))


def _not_too_strong(verdict: MaterialVerdict, product: Product, concentrate_frac: float) -> MaterialVerdict:
    if verdict.verdict not in (FINE, CARE) or _within_the_table(verdict.by, product, concentrate_frac):
        return verdict
    return MaterialVerdict(verdict.material, UNKNOWN, verdict.by, verdict.evidence, verdict.value)


def _within_the_table(agent: str, product: Product, concentrate_frac: float) -> bool:
    """Tell whether an agent is as weak as the table speaks of; a concentrate used as supplied is not."""
    if product.kind != "liquid" or (concentrate_frac >= 1.0 and product.label_ratio is not None):
        return False
    strength = sum(one.strength_mg_l for one in actives_of(product) if agent in classes_of_ingredient(one.name))
    return strength * concentrate_frac <= STRONGEST_MG_L.get(agent, math.inf) * (1.0 + 1e-9)


def _entry(material: str) -> tuple[str, Entry] | None:
    wanted = material.strip().casefold()
    return next(((name, entry) for name, entry in table("materials").items() if name.casefold() == wanted), None)

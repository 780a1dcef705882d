"""What one substance is classified as: classes, specific limits, factors, and how far the entry may be trusted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from tersum.errors import N_
from tersum.fields import Fields

SKIN = ("Skin Corr. 1A", "Skin Corr. 1", "Skin Corr. 1B", "Skin Corr. 1C", "Skin Irrit. 2")  # strictest first
EYE = ("Eye Dam. 1", "Eye Irrit. 2")
ROUTES = ("oral", "dermal", "inhalation")
ACUTE = tuple(f"Acute Tox. {category} {route}" for route in ROUTES for category in (1, 2, 3, 4))
STOT = ("STOT SE 3 H335", "STOT SE 3 H336")
AQUATIC = ("Aquatic Acute 1", "Aquatic Chronic 1", "Aquatic Chronic 2", "Aquatic Chronic 3", "Aquatic Chronic 4")
PHYSICAL = ("Ox. Liq. 1", "Ox. Liq. 2", "Ox. Liq. 3", "Flam. Liq. 1", "Flam. Liq. 2", "Flam. Liq. 3", "Org. Perox. CD",
            "Org. Perox. D", "Org. Perox. EF")
COMPUTED = (*SKIN, *EYE, *ACUTE, *STOT, *AQUATIC, *PHYSICAL)
LIMITED = (*SKIN, *EYE, *STOT, "Ox. Liq. 1", "Ox. Liq. 2", "Ox. Liq. 3", "EUH031", "EUH206")
# Read and told, never computed: a mixture with such an ingredient is the supplier's to classify.
NOT_COMPUTED = ("Acute Tox. 1", "Skin Sens. 1", "Skin Sens. 1A", "Skin Sens. 1B", "Resp. Sens. 1", "Resp. Sens. 1A",
                "Resp. Sens. 1B", "Muta. 1A", "Muta. 1B", "Muta. 2", "Carc. 1A", "Carc. 1B", "Carc. 2", "Repr. 1A",
                "Repr. 1B", "Repr. 2", "STOT SE 1", "STOT SE 2", "STOT RE 1", "STOT RE 2", "Asp. Tox. 1",
                "Met. Corr. 1")
ADDITIVITY = ("yes", "no", "doubtful")
STATUSES = ("as-read", "may-have-changed", "superseded", "expected", "recalled", "no-harmonised-entry", "supplier")
INDEX_NUMBER = re.compile(r"[0-9]{3}-[0-9]{3}-[0-9]{2}-[0-9X]", re.ASCII)

_EMPTY: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True)
class HazardEntry:
    """One version of one substance's classification.

    ``limits`` are % w/w of a mixture from which a class holds; ``ate`` mg/kg (``inhalation``: mg/L, counted as mist);
    ``minimum`` lists classes whose category is the least it may be. ``additivity`` says whether sums of skin and eye
    may be used for it. ``newest`` names the legal line that was not read, where there is one.
    """

    substance: str
    status: str
    law: str
    classes: tuple[str, ...] = ()
    limits: Mapping[str, float] = field(default_factory=lambda: _EMPTY)
    m_factors: Mapping[str, float] = field(default_factory=lambda: _EMPTY)
    ate: Mapping[str, float] = field(default_factory=lambda: _EMPTY)
    minimum: tuple[str, ...] = ()
    additivity: str = "yes"
    index_number: str | None = None
    cas: str | None = None
    newest: str | None = None
    since: str | None = None
    until: str | None = None
    known: tuple[str, ...] = ()
    counted_as: str | None = None
    aliases: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def certain(self) -> bool:
        """Whether the entry itself classifies; an expected one only ever makes an answer stricter."""
        return self.status != "expected"


def stated_entry(keys: Fields, substance: str) -> HazardEntry | None:
    """Return what a product file says of an ingredient's classes; None where it says nothing.

    Parameters
    ----------
    keys : Fields
        The ingredient's table. ``classes``, ``not_additive``, and the tables ``limits``, ``m_factors`` and ``ate``.
    """
    if not any(keys.has(key) for key in ("classes", "limits", "m_factors", "ate", "not_additive")):
        return None
    if not keys.has("classes"):
        keys.refuse("classes", "", N_("the list of classes, empty where the supplier states none"))
    classes = keys.texts("classes")
    for one in classes:
        if one not in (*COMPUTED, *NOT_COMPUTED):
            keys.unknown("classes", one, (*COMPUTED, *NOT_COMPUTED))
    not_additive = keys.yes("not_additive", False)
    return HazardEntry(
        substance, "supplier", "supplier", classes,
        limits=_numbers(keys.table("limits", required=False), LIMITED, most=100.0),
        m_factors=_numbers(keys.table("m_factors", required=False), AQUATIC[:2], least=1.0, most=1e6),
        ate=_numbers(keys.table("ate", required=False), ROUTES, most=1e6),
        additivity="no" if not_additive else "yes", known=("read",))


def _numbers(keys: Fields, names: tuple[str, ...], *, least: float = 0.0, most: float) -> Mapping[str, float]:
    found = {name: keys.number(name, above=0.0, least=least, most=most) for name in names if keys.has(name)}
    keys.close()
    return MappingProxyType(found)

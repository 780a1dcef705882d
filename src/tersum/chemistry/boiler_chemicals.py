"""Whether a chemical may go into a steam boiler: refused until both makers have permitted it in writing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tersum.catalogue.load import table
from tersum.chemistry.flags import Flag

PLAIN_WATER, PERMITTED, REFUSED = "plain-water", "permitted-in-writing", "refused"
# What may never go into a boiler, whoever permits it, by family of the catalogue: the code of the reason.
NEVER = {"hypochlorite": "gives-off-chlorine", "chlorine": "gives-off-chlorine", "alcohol": "flammable-vapour"}
# What a permitted substance does in a hot metal boiler.
CAUTIONS = {"peroxide": "decomposes-and-builds-pressure", "peracid": "decomposes-and-builds-pressure",
            "acid": "corrodes-and-stays-behind", "alkali": "foams-and-carries-over", "ammonia": "leaves-with-the-steam",
            "quat": "foams-and-carries-over"}


@dataclass(frozen=True)
class WrittenPermission:
    """A maker's written permission on file: who gave it, the document, and its date as it stands there."""

    maker: str
    document: str
    date: str


@dataclass(frozen=True)
class BoilerAnswer:
    """Whether something may go into the boiler: ``plain-water``, ``permitted-in-writing`` or ``refused``, and why."""

    answer: str
    reasons: tuple[Flag, ...]


def chemical_in_boiler(substances: Sequence[str], *, machine: WrittenPermission | None = None,
                       product: WrittenPermission | None = None) -> BoilerAnswer:
    """Return whether something may go into the boiler with the water.

    Parameters
    ----------
    substances : sequence of str
        What would go in, by the catalogue's names; empty for plain water. A name that is not known is refused: nothing
        can be said of it.
    machine, product : WrittenPermission, optional
        Written permissions on file of the machine's and the product's maker. Both are needed.

    Source
    ------
    Common practice (no source): a boiler concentrates what does not boil off, oxidisers decompose on hot metal, and no
    data were found on peracid passing a small boiler.

    Examples
    --------
    >>> [reason.code for reason in chemical_in_boiler(["peracetic acid"]).reasons]
    ['no-permission-of-the-machine-maker', 'no-permission-of-the-product-maker']
    """
    reasons = [Flag("not-in-the-catalogue", name) for name in substances if name not in table("substances")]
    families = {name: str(table("substances")[name].labels["family"]) for name in substances
                if name in table("substances")}
    reasons += [Flag(NEVER[family], name) for name, family in families.items() if family in NEVER]
    if all(family == "water" for family in families.values()) and not reasons:
        return BoilerAnswer(PLAIN_WATER, ())
    reasons += [Flag(code) for code, permission in (("no-permission-of-the-machine-maker", machine),
                                                    ("no-permission-of-the-product-maker", product))
                if permission is None or not (permission.maker.strip() and permission.document.strip())]
    if reasons:
        return BoilerAnswer(REFUSED, tuple(reasons))
    return BoilerAnswer(PERMITTED, tuple(Flag(CAUTIONS[family], name) for name, family in families.items()
                                         if family in CAUTIONS))

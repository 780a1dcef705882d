"""Published doses of ultraviolet light in water, by log10 credited."""

from __future__ import annotations

from tersum.arguments import real
from tersum.catalogue import load
from tersum.catalogue.load import Sourced
from tersum.errors import OutOfRange, UnknownName


def uv_dose(organism: str, *, log10: int) -> Sourced:
    """Return the ultraviolet dose in water for a whole number of logs, with its source; its number is in mJ/cm2.

    Raises
    ------
    UnknownName
        For another organism.
    OutOfRange
        For logs that the table does not hold; it is not read between its cells.

    Source
    ------
    40 CFR 141.720(d)(1) (memory, but for virus at 4 log). A validated reactor with a 254 nm lamp in water: no figure
    for a lamp over a surface.

    Examples
    --------
    >>> uv_dose("giardia", log10=2).number
    5.2
    """
    entries = load.table("uv_doses")
    if organism not in entries:
        raise UnknownName("organism", organism, tuple(entries))
    doses = {key: one for one in entries[organism].values.values() for key in one.value}
    key = f"{real('log10', log10):g}"
    if key not in doses:
        raise OutOfRange("log10", log10, "{tabulated}", tabulated=", ".join(sorted(doses)))
    one = doses[key]
    return Sourced(f"{organism}, {key} log10", one.value[key], one.unit, one.source, one.where, one.known, one.details)

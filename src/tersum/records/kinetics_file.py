"""Reading MODEL.toml: a law of inactivation, what it was tested at, and where it comes from; all faults at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.errors import N_
from tersum.fields import Fields
from tersum.lethality.contact import Kinetics
from tersum.lethality.label_time import ModelRange
from tersum.records.toml_file import placed, read_toml


@dataclass(frozen=True)
class KineticsFile:
    """A law with its organism, active and source, and what it was tested at."""

    organism: str
    active: str
    source: str
    kinetics: Kinetics
    tested: ModelRange


def read_kinetics(path: str) -> KineticsFile:
    """Return the law in a file.

    Parameters
    ----------
    path : str
        TOML with ``organism``, ``active``, ``source``; a table ``[law]`` with ``rate`` and where wanted ``exponent``,
        ``power``, ``fading_per_min``; a table ``[tested]`` with ``strength_mg_l``, ``temp_c`` and where known ``ph``
        (each a low and a high end), ``soils``, ``most_log10`` and ``most_min``.

    Raises
    ------
    Faults
        All that is missing, unknown or out of range, each with its key.
    """
    fields = Fields(read_toml(path))
    organism, active, source = (fields.text(key) for key in ("organism", "active", "source"))
    law, tested = fields.table("law"), fields.table("tested")
    numbers = (law.number("rate", above=0.0), law.number("exponent", 1.0, least=0.0),
               law.number("power", 1.0, above=0.0), law.number("fading_per_min", 0.0, least=0.0))
    strength, temp = _ends(tested, "strength_mg_l"), _ends(tested, "temp_c")
    acidity = _ends(tested, "ph", required=False)
    soils = tested.texts("soils") or ("clean",)
    most = (tested.number("most_log10", above=0.0), tested.number("most_min", above=0.0))
    for one in (law, tested, fields):
        one.close()
    if fields.faults:
        raise placed(path, fields.faults)
    assert strength and temp  # missing ends are faults
    return KineticsFile(organism, active, source, Kinetics(*numbers),
                        ModelRange(strength, temp, most[0], most[1], acidity, soils))


def _ends(table: Fields, key: str, *, required: bool = True) -> tuple[float, float] | None:
    value = table.raw(key)
    if value is None and not required:
        return None
    numbers = value if isinstance(value, list) else []
    if len(numbers) == 2 and all(isinstance(one, int | float) and not isinstance(one, bool) and math.isfinite(one)
                                 for one in numbers) and numbers[0] <= numbers[1]:
        return float(numbers[0]), float(numbers[1])
    table.refuse(key, value, N_("a low end and a high end, such as [500, 2000]"))
    return None

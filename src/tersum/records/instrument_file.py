"""Reading INSTRUMENT.toml: the meter, its swab, its range, and how well two swabs of it agree."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tersum.errors import N_, OutOfRange
from tersum.evidence.repeatability import Repeatability, from_duplicates
from tersum.fields import Fields
from tersum.records.toml_file import placed, read_toml

SCHEMA = "tersum/instrument/1"
ENOUGH_DUPLICATES = 10  # below this the release level is strict, because the spread is hardly known
MOST_DUPLICATES = 10_000


@dataclass(frozen=True)
class InstrumentFile:
    """What the file says.

    ``repeatability`` is from its duplicates (basis ``duplicates``) or stated in it (``stated``); None where the file
    brings neither, so that the catalogue's book value has to stand in.
    """

    file: str
    type: str
    swab: str
    area_cm2: float
    detection_rlu: float | None
    over_range_rlu: float | None
    duplicates: tuple[tuple[float, float], ...]
    repeatability: Repeatability | None
    invented: bool = False


def read_instrument(path: str) -> InstrumentFile:
    """Return what an instrument file says.

    Raises
    ------
    RowFault
        If the file cannot be read.
    Faults
        Everything that is wrong with its keys, all at once.
    """
    fields = Fields(read_toml(path))
    fields.text("schema", choices=[SCHEMA])
    invented = fields.yes("invented", False)
    kind, swab = fields.text("type"), fields.text("swab")
    area_cm2 = fields.number("area_cm2", above=0.0, most=10_000.0)
    detection = fields.optional_number("detection_rlu", above=0.0, most=1e9)
    over_range = fields.optional_number("over_range_rlu", above=0.0, most=1e12)
    if detection is not None and over_range is not None and detection >= over_range:
        fields.refuse("over_range_rlu", over_range, N_("more than detection_rlu, {detection:g}"), detection=detection)
    duplicates = _duplicates(fields)
    stated = _stated(fields)
    if duplicates and stated:
        fields.refuse("spread_log10", stated.spread_log10, N_("either duplicates or a stated spread, not both"))
    own = _own(fields, duplicates) or stated
    fields.optional_text("note", most=2000)
    fields.close()
    if fields.faults:
        raise placed(path, fields.faults)
    return InstrumentFile(path, kind, swab, area_cm2, detection, over_range, duplicates, own, invented)


def _own(fields: Fields, duplicates: tuple[tuple[float, float], ...]) -> Repeatability | None:
    if not duplicates:
        return None
    if all(one == two for one, two in duplicates):
        fields.refuse("duplicates", [list(pair) for pair in duplicates],
                      N_("pairs that are not all equal: they show no spread at all"))
        return None
    try:
        return from_duplicates([one for one, _ in duplicates], [two for _, two in duplicates])
    except OutOfRange:
        fields.refuse("duplicates", [list(pair) for pair in duplicates],
                      N_("pairs with a spread of at most 2 log10: these lie further apart"))
        return None


def _stated(fields: Fields) -> Repeatability | None:
    """Return a spread stated with its degrees of freedom; a file with one of the two alone has a fault."""
    spread = fields.optional_number("spread_log10", above=0.0, most=2.0)
    freedom = fields.raw("degrees_of_freedom")
    if spread is None and freedom is None:
        return None
    if freedom == "known":
        freedom = math.inf
    if isinstance(freedom, bool) or not isinstance(freedom, int | float) or not freedom >= 1:
        fields.refuse("degrees_of_freedom", "" if freedom is None else freedom,
                      N_('1 or more, or "known" for a spread that is taken as known'))
        return None
    if spread is None:
        fields.refuse("spread_log10", "", N_("the spread that the degrees of freedom belong to"))
        return None
    # A spread that was refused comes as NaN, and its fault is noted already.
    return None if math.isnan(spread) else Repeatability(spread, float(freedom), "stated")


def _duplicates(fields: Fields) -> tuple[tuple[float, float], ...]:
    given = fields.raw("duplicates", [])
    if not isinstance(given, list) or len(given) > MOST_DUPLICATES:
        fields.refuse("duplicates", given, N_("pairs of readings above 0, as [[210, 180], [95, 130]]"))
        return ()
    pairs: list[tuple[float, float]] = []
    for place, one in enumerate(given, start=1):
        pair = _pair(one)
        if pair is None:
            fields.refuse(f"duplicates {place}", one, N_("a pair of readings above 0 RLU, as [210, 180]"))
        else:
            pairs.append(pair)
    return tuple(pairs)


def _pair(value: object) -> tuple[float, float] | None:
    if not isinstance(value, list) or len(value) != 2:
        return None
    one, two = (float(x) if isinstance(x, int | float) and not isinstance(x, bool) else math.nan for x in value)
    return (one, two) if 0.0 < one < math.inf and 0.0 < two < math.inf else None

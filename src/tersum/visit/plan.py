"""The plan of one visit: where to swab, by which rule, with which steps, sealed before any cleaning."""

from __future__ import annotations

import hashlib
import hmac
import math
from collections.abc import Mapping
from dataclasses import dataclass

from tersum.errors import N_
from tersum.evidence.conformity import first_time_share
from tersum.evidence.repeatability import Repeatability, from_duplicates, repeatability_limit
from tersum.fields import Fields
from tersum.visit import rules
from tersum.visit.decision import LimitInForce, Terms
from tersum.visit.place_water import PlaceWater, water_from
from tersum.visit.readings import STAGES
from tersum.visit.steps import Step, step_from

SCHEMA = "tersum/visit/1"
TOUCH = ("high", "low")
# One swab, from its wrapper to the typed number: common practice, no source.
MINUTES_PER_SWAB = 2.0
_COMMITMENT_PREFIX = b"tersum-draw-v1\x00"


@dataclass(frozen=True)
class SamplingPoint:
    """One place to swab. ``fixed`` points are always read; the others may be drawn."""

    id: str
    surface: str
    touch: str
    fixed: bool
    material: str = ""
    area_cm2: float = 100.0
    also_as_found: bool = False
    duplicate: bool = False
    fresh_areas: int | None = None


@dataclass(frozen=True)
class Limit:
    """A limit as agreed: for one instrument type, swab type, area and surface class."""

    instrument: str
    swab: str
    area_cm2: float
    surface: str
    rlu: float
    basis: str
    known: str


@dataclass(frozen=True)
class Instrument:
    """The meter and its swab, with the duplicates its repeatability is from (RLU pairs; none: the book value)."""

    type: str
    swab: str
    duplicates: tuple[tuple[float, float], ...] = ()
    detection_rlu: float | None = None
    over_range_rlu: float | None = None


@dataclass(frozen=True)
class Plan:
    """Everything agreed before the cleaning. What was carried out and how it ended is no part of it.

    ``wet_rule`` is how marks of wet and dry are read: 1 takes a ``dry`` mark for the moment of drying, 2 for a look
    that found it dry, so that only the time up to the last wet look is certain. ``kept_apart`` are the steps, by
    id, whose products must never meet without rinsing between them.
    """

    visit: str
    organisation: str
    place: str
    place_kind: str
    zone: str
    invented: bool
    points: tuple[SamplingPoint, ...]
    drawn_points: int
    steps: tuple[Step, ...]
    terms: Terms
    instrument: Instrument
    limits: tuple[Limit, ...]
    blanks: int = 1
    quench_control: str = ""
    water: PlaceWater | None = None
    wet_rule: int = 2
    kept_apart: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Effort:
    """What a plan costs in swabs and minutes, and what level of cleaning it releases first time.

    Two swabs of one surface differ by less than ``two_swabs_factor`` in 95 % of pairs.
    """

    swabs: int
    swabs_as_found: int
    swabs_deciding: int
    swabs_duplicate: int
    swabs_blank: int
    second_looks_most: int
    minutes: float
    first_time_at_a_third: float
    first_time_at_a_fifth: float
    two_swabs_factor: float


def plan_from(table: Mapping[str, object], *, book_spread_log10: float) -> Plan:
    """Return the plan that a visit file states.

    Parameters
    ----------
    table : mapping
        The visit file as read from TOML; ``carried_out`` and ``ending`` are left to their own readers.
    book_spread_log10 : float
        The catalogue's repeatability of one swab, log10 RLU, taken where the instrument brings no duplicates.

    Raises
    ------
    Faults
        Everything that is wrong with the file, all at once.
    """
    fields = Fields(table)
    for key in ("carried_out", "ending"):
        fields.raw(key)
    fields.text("schema", choices=[SCHEMA])
    head = {"visit": fields.text("visit", most=60), "organisation": fields.text("organisation", most=60),
            "zone": fields.text("zone", "UTC"), "invented": fields.yes("invented", False)}
    place = fields.table("place")
    head |= {"place": place.text("name"), "place_kind": place.text("kind", choices=("vehicle", "room"))}
    place.close()
    instrument = _instrument(fields.table("instrument"))
    limits = tuple(_limit(one) for one in fields.tables("limit"))
    points = tuple(_point(one) for one in fields.tables("point", least=1))
    steps = tuple(step_from(one) for one in fields.tables("step"))
    water = water_from(fields.table("water")) if "water" in table else None
    draw = fields.table("draw", required=False)
    drawn = draw.whole("points", 0)
    draw.raw("seed_hex")
    draw.close()
    blanks = fields.whole("blanks", 1, most=20)
    quench = fields.optional_text("quench_control") or ""
    terms = _terms(fields.table("rule", required=False), instrument, book_spread_log10)
    fields.close()
    plan = Plan(**head, points=points, drawn_points=drawn, steps=steps, terms=terms,  # type: ignore[arg-type]
                instrument=instrument, limits=limits, blanks=blanks, quench_control=quench, water=water)
    _fits_together(plan, fields)
    fields.finish()
    rules.check_terms(terms)
    return plan


def drawn(plan: Plan, seed: bytes) -> tuple[str, ...]:
    """Return the ids of the drawn points: the candidates in the order of HMAC-SHA-256(seed, id), as many as planned."""
    candidates = [point.id for point in plan.points if not point.fixed]
    ranked = sorted(candidates, key=lambda name: hmac.new(seed, name.encode(), hashlib.sha256).digest())
    return tuple(ranked[: plan.drawn_points])


def commitment(seed: bytes) -> str:
    """Return the commitment to a draw seed, hex SHA-256; published in the plan before the seed is shown."""
    return hashlib.sha256(_COMMITMENT_PREFIX + seed).hexdigest()


def planned_points(plan: Plan, seed: bytes | None) -> tuple[SamplingPoint, ...]:
    """Return the points to be read: the fixed ones and, once the seed is known, the drawn ones, in walking order."""
    chosen = set(drawn(plan, seed)) if seed is not None else set()
    return tuple(point for point in plan.points if point.fixed or point.id in chosen)


def limit_for(plan: Plan, point: SamplingPoint) -> LimitInForce | None:
    """Return the limit that belongs to this point's surface and area and to the plan's instrument and swab."""
    wanted = (plan.instrument.type, plan.instrument.swab, point.area_cm2, point.surface)
    for limit in plan.limits:
        if (limit.instrument, limit.swab, limit.area_cm2, limit.surface) == wanted:
            return LimitInForce(limit.rlu, "plan", limit.basis)
    return None


def spread_at_floor(plan: Plan) -> bool:
    """Tell whether the meter's duplicates agree better than its display can show, so that its rounding stands in."""
    return bool(plan.instrument.duplicates) and _own_spread(plan.instrument).at_floor


def effort(plan: Plan) -> Effort:
    """Return swabs, minutes, and the share of points released at the first look at a third and a fifth of the limit."""
    fixed = [point for point in plan.points if point.fixed]
    deciding = len(fixed) + plan.drawn_points
    as_found = sum(point.also_as_found for point in fixed)
    duplicates = sum(point.duplicate for point in fixed)
    swabs = deciding + as_found + duplicates + plan.blanks
    minutes = swabs * MINUTES_PER_SWAB + math.fsum(step.contact_min + step.work_min for step in plan.steps)
    third, fifth = first_time_share([1 / 3, 1 / 5], spread_log10=plan.terms.spread_log10,
                                    degrees_of_freedom=plan.terms.degrees_of_freedom, looks=plan.terms.looks)
    return Effort(swabs, as_found, deciding, duplicates, plan.blanks, deciding * (plan.terms.looks - 1) - duplicates,
                  minutes, round(float(third), 4), round(float(fifth), 4),
                  round(10.0 ** float(repeatability_limit(plan.terms.spread_log10)), 2))


def _point(fields: Fields) -> SamplingPoint:
    point = SamplingPoint(
        id=fields.text("id", most=80), surface=fields.text("surface", most=60),
        touch=fields.text("touch", choices=TOUCH),
        fixed=fields.yes("fixed", False), material=fields.optional_text("material") or "",
        area_cm2=fields.number("area_cm2", 100.0, above=0.0, most=10_000.0),
        also_as_found=fields.yes("also_as_found", False), duplicate=fields.yes("duplicate", False),
        fresh_areas=fields.optional_whole("fresh_areas", most=100))
    if not point.fixed and (point.also_as_found or point.duplicate):
        fields.refuse("fixed", point.fixed, N_("true where also_as_found or duplicate is true: a drawn point is not "
                                               "known before the cleaning"))
    fields.close()
    return point


def _limit(fields: Fields) -> Limit:
    limit = Limit(fields.text("instrument"), fields.text("swab"), fields.number("area_cm2", 100.0, above=0.0),
                  fields.text("surface"), fields.number("rlu", above=0.0, most=1e9), fields.text("basis"),
                  fields.text("known", choices=("read", "secondary", "memory", "computed", "practice")))
    fields.close()
    return limit


def _instrument(fields: Fields) -> Instrument:
    pairs = fields.raw("duplicates", [])
    duplicates = tuple(map(_pair, pairs)) if isinstance(pairs, list) else (None,)
    if None in duplicates:
        fields.refuse("duplicates", pairs, N_("pairs of readings above 0, as [[210, 180], [95, 130]]"))
    instrument = Instrument(
        fields.text("type"), fields.text("swab"),
        tuple(pair for pair in duplicates if pair is not None),
        fields.optional_number("detection_rlu", above=0.0), fields.optional_number("over_range_rlu", above=0.0))
    fields.close()
    return instrument


def _pair(value: object) -> tuple[float, float] | None:
    if not isinstance(value, list) or len(value) != 2:
        return None
    one, two = (float(x) if isinstance(x, int | float) and not isinstance(x, bool) else 0.0 for x in value)
    return (one, two) if 0.0 < one < math.inf and 0.0 < two < math.inf else None


def _terms(fields: Fields, instrument: Instrument, book_spread_log10: float) -> Terms:
    rule = fields.text("name", "limit", choices=tuple(rules.LATEST))
    reduction_pct = fields.optional_number("reduction_pct", above=0.0, most=99.999999)
    spread, freedom, basis = book_spread_log10, math.inf, "book"
    if instrument.duplicates:
        own = _own_spread(instrument)
        spread, freedom, basis = own.spread_log10, float(own.degrees_of_freedom), "duplicates"
    terms = Terms(
        rule=rule, version=fields.whole("version", rules.LATEST.get(rule, 1), least=1),
        stage=fields.text("deciding_stage", "cleaned", choices=STAGES[1:]),
        looks=fields.whole("looks", 2, least=1, most=5), spread_log10=spread, degrees_of_freedom=freedom,
        spread_basis=basis, detection_rlu=instrument.detection_rlu,
        reduction_target_log10=None if reduction_pct is None else -math.log10(1.0 - reduction_pct / 100.0))
    fields.close()
    return terms


def _own_spread(instrument: Instrument) -> Repeatability:
    return from_duplicates([one for one, _ in instrument.duplicates], [two for _, two in instrument.duplicates])


def _fits_together(plan: Plan, fields: Fields) -> None:
    """Note the faults that only show when the parts of a plan are seen side by side."""
    for what, names in (("point", [one.id for one in plan.points]), ("step", [one.id for one in plan.steps])):
        for name in sorted({name for name in names if name and names.count(name) > 1}):
            fields.refuse(f"{what} id", name, N_("each id once"))
    candidates = sum(not point.fixed for point in plan.points)
    if plan.drawn_points > candidates:
        fields.refuse("draw: points", plan.drawn_points, N_("at most the {candidates} points that are not fixed"),
                      candidates=candidates)
    if not any(point.fixed for point in plan.points) and not plan.drawn_points:
        fields.refuse("point", len(plan.points), N_("at least one fixed or drawn point"))
    kinds = [(limit.surface, limit.area_cm2) for limit in plan.limits]
    for surface in sorted({kind[0] for kind in kinds if kinds.count(kind) > 1}):
        fields.refuse("limit", surface, N_("one limit for each surface and area"))
    for limit in plan.limits:
        if (limit.instrument, limit.swab) != (plan.instrument.type, plan.instrument.swab):
            fields.refuse("limit", f"{limit.instrument} / {limit.swab}",
                          N_("limits of this visit's instrument and swab, {type} / {swab}: none is carried over"),
                          type=plan.instrument.type, swab=plan.instrument.swab)
    if plan.terms.rule == "limit and reduction" and not any(point.also_as_found for point in plan.points):
        fields.refuse("rule: name", plan.terms.rule,
                      N_("a point with also_as_found where the rule asks for a reduction, or the rule limit"))
    if plan.terms.stage == "treated" and not plan.quench_control:
        fields.refuse("rule: deciding_stage", plan.terms.stage,
                      N_("cleaned, or treated together with quench_control, which says how it was shown that the "
                         "chemical left does not upset the reading"))

"""The types of fact and what each holds: names, kinds and versions; a released version is never edited."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tersum.records.schema import (
    CODE,
    HASH,
    NAME,
    TYPED,
    UUID,
    DecimalText,
    Flag,
    Free,
    Instant,
    Kind,
    ListOf,
    MapOf,
    Maybe,
    OneOf,
    Record,
    Text,
    Whole,
)

# Copied, not imported: a later word of the trade must not change what version 1 of a type accepts.
VERDICTS = ("done", "swab-again", "clean-again", "not-counted", "not-read", "no-limit-yet",
            "could-not-be-brought-below")
STAGES = ("as_found", "cleaned", "treated")
ENDINGS = ("finished", "handed-over-with-open-points", "stopped", "not-measured")
KNOWN = ("read", "secondary", "memory", "computed", "practice")
STAGE = OneOf(STAGES)
POSITIVE = DecimalText("0")
SHARE = DecimalText("0", "1")
ANY_DECIMAL = DecimalText()

WHEN = Record({"utc": Instant(), "zone": NAME, "offset": Text(r"[+-][0-9]{2}:[0-9]{2}", "+HH:MM", 6)})
BASIS = Record({"sequence": Whole(1), "hash": HASH})
CORRECTS = Record({"fact_id": UUID, "reason": CODE})
# A personal value outside the facts, bound by a keyed hash: see personal.py.
COMMITMENT = Record({"subject_id": UUID, "field": CODE, "version": Whole(1), "hmac": HASH})
# A catalogue value as it stood when it was used.
SOURCED = Record({"name": NAME, "value": TYPED, "source": NAME, "known": OneOf(KNOWN)},
                 {"unit": TYPED, "where": TYPED, "details": Free()})
REASON = Record({"code": CODE}, {"parameters": MapOf(Free())})

ENVELOPE = Record({
    "organisation_id": UUID, "fact_id": UUID, "sequence": Whole(1), "previous_hash": HASH,
    "type": CODE, "type_version": Whole(1), "actor_id": UUID, "device_id": UUID, "device_sequence": Whole(1),
    "operation_id": UUID, "basis": Maybe(BASIS), "when": WHEN, "corrects": Maybe(CORRECTS),
    "data": MapOf(Free()),  # held against its own type's schema
})

LIMIT = Record(
    {"rlu": POSITIVE, "basis": TYPED, "known": OneOf(KNOWN)},
    {"surface": TYPED, "instrument": TYPED, "swab": TYPED, "area_cm2": POSITIVE, "origin": CODE, "point": NAME,
     "details": Free()})
POINT = Record(
    {"id": NAME, "surface": TYPED, "fixed": Flag()},
    {"touch": TYPED, "material": TYPED, "area_cm2": POSITIVE, "also_as_found": Flag(), "duplicate": Flag(),
     "fresh_areas": Maybe(Whole()), "risk": TYPED, "details": Free()})
STEP = Record(
    {"id": NAME, "kind": CODE, "what": TYPED},
    {"product": TYPED, "ratio": TYPED, "volume_ml": Maybe(POSITIVE), "contact_min": POSITIVE, "work_min": POSITIVE,
     "details": Free()})
TERMS = Record(
    {"rule": NAME, "version": Whole(1), "stage": STAGE, "looks": Whole(1), "spread_log10": POSITIVE,
     "degrees_of_freedom": Maybe(POSITIVE), "spread_basis": CODE, "risk": SHARE},
    {"reduction_target_log10": Maybe(POSITIVE), "clean_agains": Whole(), "detection_rlu": Maybe(POSITIVE),
     "details": Free()})
INSTRUMENT = Record(
    {"type": TYPED, "swab": TYPED},
    {"duplicates": ListOf(ListOf(POSITIVE)), "detection_rlu": Maybe(POSITIVE), "over_range_rlu": Maybe(POSITIVE),
     "details": Free()})
PLACE = Record(
    {"kind": OneOf(("vehicle", "room"))},
    {"place_id": UUID, "name": NAME, "class": TYPED, "plate": COMMITMENT, "address": COMMITMENT, "details": Free()})
DRAW = Record({"commitment": HASH, "points": Whole()}, {"method": CODE, "candidates": ListOf(NAME), "details": Free()})
WET_MARK = Record({"at_utc": Instant(), "surface": OneOf(("wet", "dry"))})

VERDICT = Record(
    {"point": NAME, "stage": STAGE, "verdict": OneOf(VERDICTS), "reason": REASON, "n": Whole(), "round": Whole(),
     "geometric_mean_rlu": Maybe(POSITIVE), "mean_operator": TYPED, "p_conform": Maybe(SHARE),
     "limit_rlu": Maybe(POSITIVE), "release_level_rlu": Maybe(POSITIVE), "looks_left": Whole(),
     "reduction": Maybe(MapOf(Free())), "remarks": ListOf(REASON)},
    {"details": Free()})

READING = Record(
    {"point": NAME, "stage": STAGE, "low_rlu": POSITIVE, "high_rlu": Maybe(POSITIVE), "raw": TYPED,
     "round": Whole(1), "swab": Whole(1)},
    {"blank_rlu": Maybe(POSITIVE), "blank_raw": TYPED, "surface": Maybe(TYPED), "instrument": Maybe(TYPED),
     "swab_lot": Maybe(TYPED), "dry": Maybe(Flag()), "rinsed": Maybe(Flag()), "fresh_area": Maybe(Flag()),
     "swab_in_date": Maybe(Flag()), "instrument_checked": Maybe(Flag()), "void_reason": Maybe(CODE),
     "void_approved_by": Maybe(UUID), "at": Maybe(TYPED), "person_id": Maybe(UUID), "note": COMMITMENT,
     "row": Whole(), "details": Free()})

CHANGE = Record({"path": Text(r"/(data|rows)(/[^/]+)+", "/data/... or /rows/...", 300), "was": Free(), "is": Free()})


@dataclass(frozen=True)
class FactType:
    """One type of fact in one version: its data, its rows if it seals a batch, whether it corrects another."""

    name: str
    version: int
    data: Record
    row: Kind | None = None
    corrects: bool = False


_V1 = (
    FactType("organisation-opened", 1, Record({"slug": CODE, "program_version": NAME}, {"invented": Flag()})),
    FactType("visit-planned", 1, Record(
        {"visit_id": UUID, "visit": NAME, "place": PLACE, "points": ListOf(POINT, 1), "stages": ListOf(STAGE, 1),
         "terms": TERMS, "limits": ListOf(LIMIT), "draw": Maybe(DRAW), "steps": ListOf(STEP),
         "catalogue": ListOf(SOURCED)},
        {"instrument": INSTRUMENT, "blanks": Whole(), "quench_control": TYPED, "effort": MapOf(Free()),
         "cost": MapOf(Free()), "customer": COMMITMENT, "invented": Flag(), "details": Free()})),
    FactType("draw-revealed", 1, Record({"visit_id": UUID, "seed": HASH}, {"drawn": ListOf(NAME), "details": Free()})),
    FactType("solution-mixed", 1, Record(
        {"solution_id": UUID, "product": NAME, "ratio": MapOf(Free()), "volume_ml": POSITIVE,
         "concentrate_ml": POSITIVE, "water_ml": POSITIVE, "made_utc": Instant()},
        {"visit_id": Maybe(UUID), "lot": TYPED, "use_by_utc": Maybe(Instant()),
         "strengths": ListOf(Record({"active": NAME, "strength_mg_l": POSITIVE},
                                    {"standard_uncertainty_mg_l": POSITIVE, "details": Free()})),
         "typed": MapOf(TYPED), "catalogue": ListOf(SOURCED), "details": Free()})),
    FactType("step-carried-out", 1, Record(
        {"visit_id": UUID, "step": NAME, "started_utc": Instant(), "finished_utc": Maybe(Instant())},
        {"duration_s": POSITIVE, "lot": TYPED, "solution_id": Maybe(UUID), "cloth": TYPED,
         "concentrate_ml": Maybe(POSITIVE), "water_ml": Maybe(POSITIVE), "mixed_utc": Maybe(Instant()),
         "wet_observed_min": Maybe(POSITIVE), "wet": ListOf(WET_MARK), "surface_temp_c": Maybe(ANY_DECIMAL),
         "points": ListOf(NAME),
         "typed": MapOf(TYPED), "note": COMMITMENT, "details": Free()})),
    FactType("readings-taken", 1, Record(
        {"visit_id": UUID, "count": Whole(1), "merkle_root": HASH},
        {"origin": CODE, "file_sha256": HASH, "instrument": TYPED, "details": Free()}), row=READING),
    FactType("visit-decided", 1, Record(
        {"visit_id": UUID, "rule": NAME, "rule_version": Whole(1), "stage": STAGE,
         "basis": Record({"plan": UUID, "readings": ListOf(UUID)},
                         {"steps": ListOf(UUID), "corrections": ListOf(UUID), "details": Free()}),
         "verdicts": ListOf(VERDICT, 1), "statement": MapOf(Free())},
        {"carried_out": Maybe(MapOf(Free())), "details": Free()})),
    FactType("visit-ended", 1, Record(
        {"visit_id": UUID, "ending": OneOf(ENDINGS), "reason": Maybe(CODE), "open_points": ListOf(NAME)},
        {"note": COMMITMENT, "decision": Maybe(UUID), "details": Free()})),
    FactType("record-issued", 1, Record(
        {"visit_id": UUID, "number": NAME, "key_id": NAME, "decision": UUID, "ended": Maybe(UUID),
         "issued_utc": Instant(), "pdf_sha256": HASH, "pdf_bytes": Whole(1)}, {"language": CODE, "details": Free()})),
    FactType("record-withdrawn", 1, Record(
        {"visit_id": UUID, "number": NAME, "reason": CODE}, {"replaced_by": Maybe(NAME), "details": Free()})),
    FactType("correction", 1, Record({"changes": ListOf(CHANGE), "withdrawn": Flag()},
                                     {"visit_id": Maybe(UUID), "note": COMMITMENT, "details": Free()}), corrects=True),
    FactType("subject-erased", 1, Record({"subject_id": UUID, "basis": CODE, "fields": ListOf(CODE)})),
)

TYPES: Mapping[tuple[str, int], FactType] = {(one.name, one.version): one for one in _V1}
NAMES: tuple[str, ...] = tuple(one.name for one in _V1)

"""The tables of a store, in portable SQL: facts and rows as they were sealed, personal rows, and projections."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from tersum.records.kept_bytes import KeptBytes

METADATA = MetaData()


def _id(name: str, *, nullable: bool = False) -> Column[str]:
    return Column(name, String(36), nullable=nullable)


# The columns beside `body` repeat what it says, for looking up; the ledger check compares them.
FACTS = Table(
    "facts", METADATA,
    _id("organisation_id"), Column("sequence", Integer, nullable=False), _id("fact_id"),
    Column("type", String(80), nullable=False), _id("visit_id", nullable=True), _id("operation_id"),
    _id("device_id"), Column("device_sequence", Integer, nullable=False),
    Column("hash", String(64), nullable=False), Column("body", KeptBytes, nullable=False),
    PrimaryKeyConstraint("organisation_id", "sequence", name="pk_facts"),
    UniqueConstraint("organisation_id", "fact_id", name="uq_facts_fact_id"),
    UniqueConstraint("organisation_id", "operation_id", name="uq_facts_operation_id"),
    UniqueConstraint("organisation_id", "device_id", "device_sequence", name="uq_facts_device_sequence"),
    CheckConstraint("sequence >= 1", name="ck_facts_sequence"),
    Index("ix_facts_visit_id", "organisation_id", "visit_id", "sequence"),
)
BATCH_ROWS = Table(
    "batch_rows", METADATA,
    _id("organisation_id"), _id("fact_id"), Column("position", Integer, nullable=False),
    Column("leaf_hash", String(64), nullable=False), Column("body", KeptBytes, nullable=False),
    PrimaryKeyConstraint("organisation_id", "fact_id", "position", name="pk_batch_rows"),
    ForeignKeyConstraint(["organisation_id", "fact_id"], ["facts.organisation_id", "facts.fact_id"],
                         name="fk_batch_rows_fact_id"),
)
SUBJECTS = Table(
    "subjects", METADATA,
    _id("organisation_id"), _id("subject_id"), Column("kind", String(80), nullable=False),
    Column("key", KeptBytes, nullable=False),
    PrimaryKeyConstraint("organisation_id", "subject_id", name="pk_subjects"),
    CheckConstraint("length(key) = 32", name="ck_subjects_key"),
)
PERSONAL_ROWS = Table(
    "personal_rows", METADATA,
    _id("organisation_id"), _id("subject_id"), Column("field", String(80), nullable=False),
    Column("version", Integer, nullable=False), Column("value", Text, nullable=False),
    Column("erasable", Boolean, nullable=False),
    PrimaryKeyConstraint("organisation_id", "subject_id", "field", "version", name="pk_personal_rows"),
    ForeignKeyConstraint(["organisation_id", "subject_id"], ["subjects.organisation_id", "subjects.subject_id"],
                         name="fk_personal_rows_subject_id"),
    CheckConstraint("version >= 1", name="ck_personal_rows_version"),
)


def _texts(*names: str) -> list[Column[Any]]:
    return [Column(name, Text, nullable=True) for name in names]


def _wholes(*names: str) -> list[Column[Any]]:
    return [Column(name, Integer, nullable=True) for name in names]


def _projection(name: str, columns: list[Column[Any]]) -> Table:
    """One table that pages read: each row comes from one fact and says which. Decimals are text, as in the fact."""
    return Table(
        name, METADATA,
        _id("organisation_id"), _id("fact_id"), Column("position", Integer, nullable=False),
        _id("visit_id", nullable=True), Column("at_utc", String(27), nullable=False), *columns,
        PrimaryKeyConstraint("organisation_id", "fact_id", "position", name=f"pk_{name}"),
        Index(f"ix_{name}_visit_id", "organisation_id", "visit_id"),
    )


VISITS = _projection("visits", _texts("visit", "place_kind", "place", "rule", "stage", "draw_commitment")
                     + _wholes("rule_version", "looks", "points"))
POINTS = _projection("points", _texts("point", "surface", "touch", "material", "area_cm2") + _wholes("fixed"))
DRAWS = _projection("draws", _texts("seed"))
SOLUTIONS = _projection("solutions", _texts("solution_id", "product", "lot", "volume_ml", "concentrate_ml",
                                            "water_ml", "made_utc", "use_by_utc"))
STEPS = _projection("steps", _texts("step", "started_utc", "finished_utc", "lot", "solution_id",
                                    "wet_observed_min", "surface_temp_c"))
READINGS = _projection("readings", _texts("point", "stage", "low_rlu", "high_rlu", "raw") + _wholes("round", "swab"))
DECISIONS = _projection("decisions", _texts("point", "stage", "verdict", "reason", "geometric_mean_rlu", "p_conform",
                                            "limit_rlu", "release_level_rlu") + _wholes("n", "round"))
ENDINGS = _projection("endings", _texts("ending", "reason", "open_points"))
PROJECTIONS = (VISITS, POINTS, DRAWS, SOLUTIONS, STEPS, READINGS, DECISIONS, ENDINGS)

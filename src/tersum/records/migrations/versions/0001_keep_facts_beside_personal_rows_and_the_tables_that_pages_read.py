"""Keep facts, beside personal rows that can be erased and the tables that pages read."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    _facts()
    _personal()
    _projections()


def _facts() -> None:
    op.create_table(
        "facts",
        _id("organisation_id"), sa.Column("sequence", sa.Integer, nullable=False), _id("fact_id"),
        sa.Column("type", sa.String(80), nullable=False), _id("visit_id", nullable=True), _id("operation_id"),
        _id("device_id"), sa.Column("device_sequence", sa.Integer, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False), sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("organisation_id", "sequence", name="pk_facts"),
        sa.UniqueConstraint("organisation_id", "fact_id", name="uq_facts_fact_id"),
        sa.UniqueConstraint("organisation_id", "operation_id", name="uq_facts_operation_id"),
        sa.UniqueConstraint("organisation_id", "device_id", "device_sequence", name="uq_facts_device_sequence"),
        sa.CheckConstraint("sequence >= 1", name="ck_facts_sequence"),
    )
    op.create_index("ix_facts_visit_id", "facts", ["organisation_id", "visit_id", "sequence"])
    op.create_table(
        "batch_rows",
        _id("organisation_id"), _id("fact_id"), sa.Column("position", sa.Integer, nullable=False),
        sa.Column("leaf_hash", sa.String(64), nullable=False), sa.Column("body", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("organisation_id", "fact_id", "position", name="pk_batch_rows"),
        sa.ForeignKeyConstraint(["organisation_id", "fact_id"], ["facts.organisation_id", "facts.fact_id"],
                                name="fk_batch_rows_fact_id"),
    )


def _personal() -> None:
    op.create_table(
        "subjects",
        _id("organisation_id"), _id("subject_id"), sa.Column("kind", sa.String(80), nullable=False),
        sa.Column("key", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("organisation_id", "subject_id", name="pk_subjects"),
        sa.CheckConstraint("length(key) = 32", name="ck_subjects_key"),
    )
    op.create_table(
        "personal_rows",
        _id("organisation_id"), _id("subject_id"), sa.Column("field", sa.String(80), nullable=False),
        sa.Column("version", sa.Integer, nullable=False), sa.Column("value", sa.Text, nullable=False),
        sa.Column("erasable", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("organisation_id", "subject_id", "field", "version", name="pk_personal_rows"),
        sa.ForeignKeyConstraint(["organisation_id", "subject_id"], ["subjects.organisation_id", "subjects.subject_id"],
                                name="fk_personal_rows_subject_id"),
        sa.CheckConstraint("version >= 1", name="ck_personal_rows_version"),
    )


def _projections() -> None:
    _projection("visits", "visit place_kind place rule stage draw_commitment", "rule_version looks points")
    _projection("points", "point surface touch material area_cm2", "fixed")
    _projection("draws", "seed")
    _projection("solutions", "solution_id product lot volume_ml concentrate_ml water_ml made_utc use_by_utc")
    _projection("steps", "step started_utc finished_utc lot solution_id wet_observed_min surface_temp_c")
    _projection("readings", "point stage low_rlu high_rlu raw", "round swab")
    _projection("decisions", "point stage verdict reason geometric_mean_rlu p_conform limit_rlu release_level_rlu",
                "n round")
    _projection("endings", "ending reason open_points")


def _projection(name: str, texts: str, wholes: str = "") -> None:
    op.create_table(
        name,
        _id("organisation_id"), _id("fact_id"), sa.Column("position", sa.Integer, nullable=False),
        _id("visit_id", nullable=True), sa.Column("at_utc", sa.String(27), nullable=False),
        *(sa.Column(one, sa.Text, nullable=True) for one in texts.split()),
        *(sa.Column(one, sa.Integer, nullable=True) for one in wholes.split()),
        sa.PrimaryKeyConstraint("organisation_id", "fact_id", "position", name=f"pk_{name}"),
    )
    op.create_index(f"ix_{name}_visit_id", name, ["organisation_id", "visit_id"])


def _id(name: str, *, nullable: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.String(36), nullable=nullable)

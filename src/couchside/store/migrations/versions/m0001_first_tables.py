"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_WORD = sa.String(length=40)


def upgrade() -> None:
    """Make the tables of the first version."""
    _create_audit_entries()
    _create_parcels()
    _create_patients()
    _create_settings()
    _create_arrival_problems()
    _create_orders()
    _create_parcel_files()
    _create_recordings()
    _create_repeats()
    _create_assessments()
    _create_attempts()
    _create_decisions()


def _create_audit_entries() -> None:
    op.create_table(
        "audit_entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("subject_kind", sa.String(), nullable=False),
        sa.Column("subject_id", sa.String(), nullable=False),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_audit_entries"),
    )
    op.create_index(
        "ix_audit_entries_subject_kind_subject_id",
        "audit_entries",
        ["subject_kind", "subject_id"],
        unique=False,
    )


def _create_parcels() -> None:
    op.create_table(
        "parcels",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("source", _WORD, nullable=False),
        sa.Column("received_at", _MOMENT, nullable=False),
        sa.Column("received_by", sa.String(), nullable=False),
        sa.Column("hinted_rate_hz", sa.Double(), nullable=True),
        sa.Column("hinted_microvolts_per_unit", sa.Double(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_parcels"),
        sa.UniqueConstraint("sha256", name="uq_parcels_sha256"),
    )


def _create_patients() -> None:
    op.create_table(
        "patients",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("identifier", sa.String(), nullable=False),
        sa.Column("family_name", sa.String(), nullable=False),
        sa.Column("given_name", sa.String(), nullable=False),
        sa.Column("birth_date", sa.Date(), nullable=True),
        sa.Column("sex", _WORD, nullable=False),
        sa.Column("created_at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_patients"),
        sa.UniqueConstraint("identifier", name="uq_patients_identifier"),
    )


def _create_settings() -> None:
    op.create_table(
        "settings",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("changed_at", _MOMENT, nullable=False),
        sa.Column("changed_by", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_settings"),
    )


def _create_arrival_problems() -> None:
    op.create_table(
        "arrival_problems",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("parcel_id", sa.Integer(), nullable=False),
        sa.Column("sentence", sa.String(), nullable=False),
        sa.Column("code_version", sa.String(), nullable=False),
        sa.Column("settled_at", _MOMENT, nullable=True),
        sa.Column("settled_by", sa.String(), nullable=True),
        sa.ForeignKeyConstraint(
            ["parcel_id"], ["parcels.id"], name="fk_arrival_problems_parcel_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_arrival_problems"),
        sa.UniqueConstraint("parcel_id", name="uq_arrival_problems_parcel_id"),
    )


def _create_orders() -> None:
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("accession", sa.String(), nullable=True),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("urgency", _WORD, nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("due_at", _MOMENT, nullable=True),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("status", _WORD, nullable=False),
        sa.Column("created_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["patient_id"], ["patients.id"], name="fk_orders_patient_id"),
        sa.PrimaryKeyConstraint("id", name="pk_orders"),
        sa.UniqueConstraint("accession", name="uq_orders_accession"),
    )
    op.create_index("ix_orders_day", "orders", ["day"], unique=False)
    op.create_index("ix_orders_patient_id", "orders", ["patient_id"], unique=False)


def _create_parcel_files() -> None:
    op.create_table(
        "parcel_files",
        sa.Column("parcel_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("byte_count", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["parcel_id"], ["parcels.id"], name="fk_parcel_files_parcel_id"),
        sa.PrimaryKeyConstraint("parcel_id", "position", name="pk_parcel_files"),
        sa.UniqueConstraint("parcel_id", "name", name="uq_parcel_files_parcel_id_name"),
    )
    op.create_index("ix_parcel_files_sha256", "parcel_files", ["sha256"], unique=False)


def _create_recordings() -> None:
    op.create_table(
        "recordings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("parcel_id", sa.Integer(), nullable=False),
        sa.Column("content_sha256", sa.String(), nullable=False),
        sa.Column("format_name", sa.String(), nullable=False),
        sa.Column("leads", sa.JSON(), nullable=False),
        sa.Column("rate_hz", sa.Double(), nullable=False),
        sa.Column("sample_count", sa.Integer(), nullable=False),
        sa.Column("start_as_stated", sa.String(), nullable=False),
        sa.Column("started_at", _MOMENT, nullable=True),
        sa.Column("patient_identifier", sa.String(), nullable=False),
        sa.Column("family_name", sa.String(), nullable=False),
        sa.Column("given_name", sa.String(), nullable=False),
        sa.Column("birth_date", sa.Date(), nullable=True),
        sa.Column("age_years", sa.Double(), nullable=True),
        sa.Column("sex", _WORD, nullable=False),
        sa.Column("accession", sa.String(), nullable=False),
        sa.Column("manufacturer", sa.String(), nullable=False),
        sa.Column("model", sa.String(), nullable=False),
        sa.Column("serial_number", sa.String(), nullable=False),
        sa.Column("software_version", sa.String(), nullable=False),
        sa.Column("station_name", sa.String(), nullable=False),
        sa.Column("unmatched_because", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["parcel_id"], ["parcels.id"], name="fk_recordings_parcel_id"),
        sa.PrimaryKeyConstraint("id", name="pk_recordings"),
        sa.UniqueConstraint("parcel_id", name="uq_recordings_parcel_id"),
        sa.UniqueConstraint("content_sha256", name="uq_recordings_content_sha256"),
    )
    op.create_index(
        "ix_recordings_patient_identifier", "recordings", ["patient_identifier"], unique=False
    )


def _create_repeats() -> None:
    op.create_table(
        "repeats",
        sa.Column("parcel_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["parcel_id"], ["parcels.id"], name="fk_repeats_parcel_id"),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_repeats_recording_id"
        ),
        sa.PrimaryKeyConstraint("parcel_id", name="pk_repeats"),
    )


def _create_assessments() -> None:
    op.create_table(
        "assessments",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.Column("code_version", sa.String(), nullable=False),
        sa.Column("verdict", _WORD, nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("made_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_assessments_recording_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_assessments"),
        sa.UniqueConstraint(
            "recording_id", "code_version", name="uq_assessments_recording_id_code_version"
        ),
    )


def _create_attempts() -> None:
    op.create_table(
        "attempts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.Column("filed_by", _WORD, nullable=False),
        sa.Column("filed_at", _MOMENT, nullable=False),
        sa.Column("filed_by_person", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_attempts_order_id"),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_attempts_recording_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_attempts"),
        sa.UniqueConstraint("order_id", "number", name="uq_attempts_order_id_number"),
        sa.UniqueConstraint("recording_id", name="uq_attempts_recording_id"),
    )


def _create_decisions() -> None:
    op.create_table(
        "decisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=True),
        sa.Column("order_id", sa.Integer(), nullable=True),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", _WORD, nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("decided_at", _MOMENT, nullable=False),
        sa.Column("assessment_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(recording_id IS NULL) <> (order_id IS NULL)", name="ck_decisions_one_subject"
        ),
        sa.ForeignKeyConstraint(
            ["assessment_id"], ["assessments.id"], name="fk_decisions_assessment_id"
        ),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_decisions_order_id"),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_decisions_recording_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_decisions"),
        sa.UniqueConstraint("order_id", "number", name="uq_decisions_order_id_number"),
        sa.UniqueConstraint("recording_id", "number", name="uq_decisions_recording_id_number"),
    )

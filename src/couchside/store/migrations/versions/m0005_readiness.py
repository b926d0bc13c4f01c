"""Recorders, their checks and faults, and recordings of their own pulse."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    _create_recorders()
    _create_pulses()
    _create_readiness_checks()
    _create_faults()
    _create_fault_entries()
    for name in ("serial_number", "station_name"):
        op.create_index(f"ix_recordings_{name}", "recordings", [name], unique=False)


def _create_recorders() -> None:
    op.create_table(
        "recorders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("manufacturer", sa.String(), nullable=False),
        sa.Column("model", sa.String(), nullable=False),
        sa.Column("serial_number", sa.String(), nullable=False),
        sa.Column("station_name", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("registered_at", _MOMENT, nullable=False),
        sa.Column("retired_at", _MOMENT, nullable=True),
        sa.Column("retired_because", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_recorders"),
        sa.UniqueConstraint("name", name="uq_recorders_name"),
    )


def _create_pulses() -> None:
    op.create_table(
        "pulses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("is_pulse", sa.Boolean(), nullable=False),
        sa.Column("has_passed", sa.Boolean(), nullable=False),
        sa.Column("failures", sa.JSON(), nullable=False),
        sa.Column("recorder_id", sa.Integer(), nullable=True),
        sa.Column("because", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("said_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["recording_id"], ["recordings.id"], name="fk_pulses_recording_id"),
        sa.ForeignKeyConstraint(["recorder_id"], ["recorders.id"], name="fk_pulses_recorder_id"),
        sa.PrimaryKeyConstraint("id", name="pk_pulses"),
        sa.UniqueConstraint("recording_id", "number", name="uq_pulses_recording_id_number"),
    )
    op.create_index("ix_pulses_recorder_id", "pulses", ["recorder_id"], unique=False)


def _create_readiness_checks() -> None:
    op.create_table(
        "readiness_checks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recorder_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("part", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("checklist", sa.String(), nullable=False),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("lots", sa.JSON(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("checked_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(
            ["recorder_id"], ["recorders.id"], name="fk_readiness_checks_recorder_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_readiness_checks"),
        sa.UniqueConstraint(
            "recorder_id",
            "day",
            "part",
            "number",
            name="uq_readiness_checks_recorder_id_day_part_number",
        ),
    )
    op.create_index("ix_readiness_checks_day", "readiness_checks", ["day"], unique=False)


def _create_faults() -> None:
    op.create_table(
        "faults",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recorder_id", sa.Integer(), nullable=False),
        sa.Column("item", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("is_out_of_use", sa.Boolean(), nullable=False),
        sa.Column("opened_at", _MOMENT, nullable=False),
        sa.Column("opened_by", sa.String(), nullable=False),
        sa.Column("closed_at", _MOMENT, nullable=True),
        sa.Column("closed_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["recorder_id"], ["recorders.id"], name="fk_faults_recorder_id"),
        sa.PrimaryKeyConstraint("id", name="pk_faults"),
    )
    op.create_index("ix_faults_recorder_id", "faults", ["recorder_id"], unique=False)
    op.create_index("ix_faults_closed_at", "faults", ["closed_at"], unique=False)


def _create_fault_entries() -> None:
    op.create_table(
        "fault_entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("fault_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("is_out_of_use", sa.Boolean(), nullable=False),
        sa.Column("closes", sa.Boolean(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["fault_id"], ["faults.id"], name="fk_fault_entries_fault_id"),
        sa.PrimaryKeyConstraint("id", name="pk_fault_entries"),
        sa.UniqueConstraint("fault_id", "number", name="uq_fault_entries_fault_id_number"),
    )

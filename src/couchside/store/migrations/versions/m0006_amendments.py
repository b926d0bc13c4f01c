"""Corrections of who a person is."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "amendments",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("former_identifier", sa.String(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("amended_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["patient_id"], ["patients.id"], name="fk_amendments_patient_id"),
        sa.PrimaryKeyConstraint("id", name="pk_amendments"),
        sa.UniqueConstraint("patient_id", "number", name="uq_amendments_patient_id_number"),
    )
    op.create_index("ix_amendments_former_identifier", "amendments", ["former_identifier"])

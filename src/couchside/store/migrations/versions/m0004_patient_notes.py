"""What to know of a person before recording."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "patient_notes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("patient_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("placement", sa.String(length=40), nullable=False),
        sa.Column("electrodes", sa.JSON(), nullable=False),
        sa.Column("conditions", sa.JSON(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("written_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["patient_id"], ["patients.id"], name="fk_patient_notes_patient_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_patient_notes"),
        sa.UniqueConstraint("patient_id", "number", name="uq_patient_notes_patient_id_number"),
    )

"""Checks of identity, circumstances of recordings, and what is to be told."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_WORD = sa.String(length=40)


def upgrade() -> None:
    _create_identity_checks()
    _create_circumstances()
    _create_tell_now_items()


def _create_identity_checks() -> None:
    op.create_table(
        "identity_checks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("identifiers", sa.JSON(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("checked_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_identity_checks_order_id"),
        sa.PrimaryKeyConstraint("id", name="pk_identity_checks"),
    )
    op.create_index("ix_identity_checks_order_id", "identity_checks", ["order_id"], unique=False)


def _create_circumstances() -> None:
    op.create_table(
        "circumstances",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("placement", _WORD, nullable=False),
        sa.Column("electrodes", sa.JSON(), nullable=False),
        sa.Column("position", _WORD, nullable=False),
        sa.Column("symptoms", sa.String(), nullable=False),
        sa.Column("conditions", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("who", sa.String(), nullable=False),
        sa.Column("written_at", _MOMENT, nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_circumstances_recording_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_circumstances"),
        sa.UniqueConstraint("recording_id", "number", name="uq_circumstances_recording_id_number"),
    )


def _create_tell_now_items() -> None:
    op.create_table(
        "tell_now_items",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recording_id", sa.Integer(), nullable=False),
        sa.Column("measure", sa.String(), nullable=False),
        sa.Column("told", sa.String(), nullable=False),
        sa.Column("opened_at", _MOMENT, nullable=False),
        sa.Column("closed_at", _MOMENT, nullable=True),
        sa.Column("closed_by", sa.String(), nullable=False),
        sa.Column("told_whom", sa.String(), nullable=False),
        sa.Column("told_at", _MOMENT, nullable=True),
        sa.Column("is_read_back", sa.Boolean(), nullable=True),
        sa.Column("not_told_because", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.id"], name="fk_tell_now_items_recording_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_tell_now_items"),
        sa.UniqueConstraint("recording_id", "told", name="uq_tell_now_items_recording_id_told"),
    )
    op.create_index("ix_tell_now_items_closed_at", "tell_now_items", ["closed_at"], unique=False)

"""Accounts and their sign-ins; the audit trail becomes a chain."""

from __future__ import annotations

from dataclasses import replace

import sqlalchemy as sa
from alembic import op

from couchside.store.chain import BEGINNING, Link, hash_link
from couchside.store.tables.base import UtcDateTime

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_WORD = sa.String(length=40)
_CHAINED = ("account", "address", "previous_sha256", "sha256")


def upgrade() -> None:
    """Make the tables of people, and chain the entries that are there."""
    _create_accounts()
    _create_sign_ins()
    _create_failed_tries()
    _create_invitations()
    for name in _CHAINED:
        op.add_column("audit_entries", sa.Column(name, sa.String(), nullable=True))
    _chain_entries()
    with op.batch_alter_table("audit_entries") as table:
        for name in _CHAINED:
            table.alter_column(name, existing_type=sa.String(), nullable=False)
        table.create_unique_constraint("uq_audit_entries_previous_sha256", ["previous_sha256"])


def _create_accounts() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sign_in_name", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", _WORD, nullable=False),
        sa.Column("is_active", sa.Boolean(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=False),
        sa.Column("pin_hash", sa.String(), nullable=False),
        sa.Column("identity", sa.String(), nullable=True),
        sa.Column("created_at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_accounts"),
        sa.UniqueConstraint("sign_in_name", name="uq_accounts_sign_in_name"),
        sa.UniqueConstraint("name", name="uq_accounts_name"),
        sa.UniqueConstraint("identity", name="uq_accounts_identity"),
    )


def _create_sign_ins() -> None:
    op.create_table(
        "sign_ins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("began_at", _MOMENT, nullable=False),
        sa.Column("last_seen_at", _MOMENT, nullable=False),
        sa.Column("locked_at", _MOMENT, nullable=True),
        sa.Column("ended_at", _MOMENT, nullable=True),
        sa.Column("failed_unlocks", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name="fk_sign_ins_account_id"),
        sa.PrimaryKeyConstraint("id", name="pk_sign_ins"),
        sa.UniqueConstraint("token_sha256", name="uq_sign_ins_token_sha256"),
    )
    op.create_index("ix_sign_ins_account_id", "sign_ins", ["account_id"], unique=False)


def _create_failed_tries() -> None:
    op.create_table(
        "failed_tries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sign_in_name", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_failed_tries"),
    )
    for name in ("sign_in_name", "address"):
        op.create_index(f"ix_failed_tries_{name}_at", "failed_tries", [name, "at"], unique=False)


def _create_invitations() -> None:
    op.create_table(
        "invitations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code_sha256", sa.String(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("expires_at", _MOMENT, nullable=False),
        sa.Column("used_at", _MOMENT, nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name="fk_invitations_account_id"),
        sa.PrimaryKeyConstraint("id", name="pk_invitations"),
        sa.UniqueConstraint("code_sha256", name="uq_invitations_code_sha256"),
    )


_ENTRIES = sa.table(
    "audit_entries",
    sa.column("id", sa.Integer()),
    sa.column("at", UtcDateTime()),
    *(sa.column(name, sa.String()) for name in ("who", "what", "subject_kind", "subject_id")),
    sa.column("detail", sa.JSON()),
    *(sa.column(name, sa.String()) for name in _CHAINED),
)


def _chain_entries() -> None:
    connection = op.get_bind()
    previous = BEGINNING
    for row in connection.execute(sa.select(_ENTRIES).order_by(_ENTRIES.c.id)).all():
        link = Link(
            number=row.id,
            at=row.at,
            who=row.who,
            account="",
            address="",
            what=row.what,
            subject_kind=row.subject_kind,
            subject_id=row.subject_id,
            detail=row.detail,
            previous_sha256=previous,
        )
        chained = replace(link, sha256=hash_link(link))
        connection.execute(
            sa.update(_ENTRIES)
            .where(_ENTRIES.c.id == row.id)
            .values({name: getattr(chained, name) for name in _CHAINED})
        )
        previous = chained.sha256

"""Run by Alembic: applies the migrations over the connection that the store hands in."""

from __future__ import annotations

from alembic import context

from couchside.store.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()

"""Runs the steps on the connection that `store.migrate` hands over; knows no address of its own."""

from __future__ import annotations

from alembic import context

from courtwright.store import tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=tables.METADATA,
    compare_type=True,
)
context.run_migrations()

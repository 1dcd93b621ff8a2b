"""Runs the steps on the connection that `store.migrate` hands over; knows no address of its own."""

from __future__ import annotations

from alembic import context

from courtwright.store import tables

# There only while steps are run: whoever imports this file otherwise runs none.
config = getattr(context, "config", None)
if config is not None:
    context.configure(
        connection=config.attributes["connection"],
        target_metadata=tables.METADATA,
        compare_type=True,
    )
    context.run_migrations()

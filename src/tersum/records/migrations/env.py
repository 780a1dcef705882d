"""Run by Alembic: takes the connection that the store hands over, inside the store's own transaction."""

from __future__ import annotations

from alembic import context

from tersum.records.tables import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA, render_as_batch=True)
context.run_migrations()

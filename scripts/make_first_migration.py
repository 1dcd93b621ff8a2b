"""Write the first migration again from the tables; to be used only until the first release that keeps data."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

from alembic.autogenerate import produce_migrations, render_python_code
from alembic.migration import MigrationContext
from sqlalchemy import create_engine

from courtwright.store import tables

TARGET = Path("src/courtwright/store/migrations/versions/0001_tables.py")
HEAD = '''"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from courtwright.store.columns import Instant, Plain

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Take the step."""
    '''

with create_engine("sqlite://").connect() as connection:
    context = MigrationContext.configure(connection)
    body = render_python_code(produce_migrations(context, tables.METADATA).upgrade_ops)
body = "\n".join(line for line in body.splitlines() if not line.strip().startswith("#"))
body = re.sub(r"courtwright\.store\.columns\.(Instant|Plain)\((.*?)\)", r"\1()", body)
TARGET.write_text(HEAD + body.strip() + "\n", encoding="utf-8")
subprocess.run([".venv/bin/ruff", "format", str(TARGET)], check=True)

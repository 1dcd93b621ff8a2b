"""The company's own rates: one record, never deleted."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from courtwright.store.columns import Instant, Plain

revision = "0003"
down_revision = "0002"

_TABLE, _SAYS = "house_rates", "house_rates is never deleted"


def upgrade() -> None:
    """Take the step."""
    op.create_table(
        _TABLE,
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("rates", Plain(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_house_rates")),
    )
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            f"CREATE TRIGGER guard_{_TABLE}_delete BEFORE DELETE ON {_TABLE} BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
        )
        return
    for name, action, each in (("delete", "DELETE", "ROW"), ("delete_all", "TRUNCATE", "STATEMENT")):
        op.execute(
            f"CREATE TRIGGER guard_{_TABLE}_{name} BEFORE {action} ON {_TABLE} FOR EACH {each} "
            f"EXECUTE FUNCTION refuse_change('{_SAYS}')"
        )

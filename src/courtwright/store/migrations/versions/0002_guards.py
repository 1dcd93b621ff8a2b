"""What the database itself refuses: to change what only grows, to delete a record, to change an accepted offer."""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"

_LEDGERS = ("change", "event", "walk_update", "acceptance", "seal", "paper", "blob")
_RECORDS = (
    "person",
    "company",
    "job",
    "assignment",
    "walk",
    "photo",
    "survey",
    "upload",
    "offer",
    "link",
    "question",
    "invitation",
    "session",
    "entry",
    "task",
)
#: What an offer says, which stays as it was sent.
_SAID = (
    "job_id",
    "walk_id",
    "number",
    "revision",
    "language",
    "issued_on",
    "expires_on",
    "request",
    "inputs",
    "answers",
    "says",
)


def upgrade() -> None:
    """Take the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    if not is_sqlite:
        op.execute(
            "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation'; END $$"
        )
    for table in (*_LEDGERS, *_RECORDS):
        _guard(is_sqlite, table, "DELETE", f"{table} is never deleted")
    for table in _LEDGERS:
        _guard(is_sqlite, table, "UPDATE", f"{table} only grows")
    same = "IS" if is_sqlite else "IS NOT DISTINCT FROM"
    kept = " AND ".join(f"NEW.{name} {same} OLD.{name}" for name in _SAID)
    _guard(is_sqlite, "offer", "UPDATE", "an accepted offer never changes", "OLD.state = 'accepted'", "accepted")
    changed = f"OLD.state <> 'draft' AND (NEW.state = 'draft' OR NOT ({kept}))"
    _guard(is_sqlite, "offer", "UPDATE", "an offer stays as it was sent", changed, "sent")


def _guard(is_sqlite: bool, table: str, action: str, says: str, when: str = "", name: str = "") -> None:
    trigger = f"guard_{table}_{name or action.lower()}"
    condition = f"WHEN ({when})" if when else ""
    if is_sqlite:
        op.execute(
            f"CREATE TRIGGER {trigger} BEFORE {action} ON {table} {condition} BEGIN SELECT RAISE(ABORT, '{says}'); END"
        )
        return
    op.execute(
        f"CREATE TRIGGER {trigger} BEFORE {action} ON {table} FOR EACH ROW {condition} "
        f"EXECUTE FUNCTION refuse_change('{says}')"
    )
    if action == "DELETE":
        op.execute(
            f"CREATE TRIGGER {trigger}_all BEFORE TRUNCATE ON {table} FOR EACH STATEMENT "
            f"EXECUTE FUNCTION refuse_change('{says}')"
        )

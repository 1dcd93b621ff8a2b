"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from courtwright.store.columns import Instant, Plain

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Take the step."""
    op.create_table(
        "blob",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_blob")),
    )
    op.create_table(
        "change",
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("record", sa.String(length=20), nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("action", sa.String(length=20), nullable=False),
        sa.Column("before", Plain(), nullable=True),
        sa.Column("after", Plain(), nullable=True),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_change")),
    )
    op.create_index("ix_change_record_id", "change", ["record", "id", "seq"], unique=False)
    op.create_table(
        "company",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("licence", sa.String(length=200), nullable=False),
        sa.Column("address", sa.String(length=200), nullable=False),
        sa.Column("phone", sa.String(length=200), nullable=False),
        sa.Column("terms", Plain(), nullable=False),
        sa.Column("logo_sha256", sa.String(length=64), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_company")),
    )
    op.create_table(
        "event",
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("about", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_event")),
    )
    op.create_table(
        "job",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("customer", sa.String(length=20), nullable=True),
        sa.Column("address", sa.String(length=200), nullable=False),
        sa.Column("stage", sa.String(length=10), nullable=False),
        sa.Column("units", sa.String(length=6), nullable=False),
        sa.Column("call", Plain(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("sought", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )
    op.create_index("ix_job_changed_at_id", "job", ["changed_at", "id"], unique=False)
    op.create_table(
        "once",
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("request_sha256", sa.String(length=64), nullable=False),
        sa.Column("record_id", sa.String(length=36), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("who", "key", name=op.f("pk_once")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("email", sa.String(length=200), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("language", sa.String(length=2), nullable=False),
        sa.Column("units", sa.String(length=6), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("email", name=op.f("uq_person_email")),
    )
    op.create_table(
        "preview",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("longest_px", sa.Integer(), nullable=False),
        sa.Column("preview_sha256", sa.String(length=64), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", "longest_px", name=op.f("pk_preview")),
    )
    op.create_table(
        "assignment",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("job_id", sa.String(length=36), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_assignment_job_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_assignment_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assignment")),
        sa.UniqueConstraint("job_id", "person_id", name=op.f("uq_assignment_job_id_person_id")),
    )
    op.create_index(op.f("ix_assignment_job_id"), "assignment", ["job_id"], unique=False)
    op.create_index(op.f("ix_assignment_person_id"), "assignment", ["person_id"], unique=False)
    op.create_table(
        "entry",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("opens", sa.String(length=20), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=True),
        sa.Column("expires_at", Instant(), nullable=False),
        sa.Column("used_at", Instant(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_entry_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_entry_token_hash")),
    )
    op.create_index(op.f("ix_entry_person_id"), "entry", ["person_id"], unique=False)
    op.create_table(
        "invitation",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("email", sa.String(length=200), nullable=False),
        sa.Column("expires_at", Instant(), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_invitation_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitation")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_invitation_token_hash")),
    )
    op.create_index(op.f("ix_invitation_person_id"), "invitation", ["person_id"], unique=False)
    op.create_table(
        "task",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("about", sa.String(length=36), nullable=False),
        sa.Column("job_id", sa.String(length=36), nullable=True),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("needs", sa.String(length=20), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("request", Plain(), nullable=False),
        sa.Column("asked_sha256", sa.String(length=64), nullable=False),
        sa.Column("input_sha256", sa.String(length=64), nullable=False),
        sa.Column("result_sha256", sa.String(length=64), nullable=True),
        sa.Column("problem", Plain(), nullable=True),
        sa.Column("done", sa.BigInteger(), nullable=False),
        sa.Column("of", sa.BigInteger(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("lease", sa.String(length=36), nullable=True),
        sa.Column("lease_until", Instant(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_task_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_task")),
    )
    op.create_index(op.f("ix_task_about"), "task", ["about"], unique=False)
    op.create_index(op.f("ix_task_job_id"), "task", ["job_id"], unique=False)
    op.create_index("ix_task_state_made_at", "task", ["state", "made_at"], unique=False)
    op.create_index(
        "uq_task_open",
        "task",
        ["asked_sha256"],
        unique=True,
        sqlite_where=sa.text("state IN ('waiting', 'running')"),
        postgresql_where=sa.text("state IN ('waiting', 'running')"),
    )
    op.create_table(
        "walk",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("job_id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("walked_on", sa.Date(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_walk_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_walk")),
    )
    op.create_index(op.f("ix_walk_job_id"), "walk", ["job_id"], unique=False)
    op.create_table(
        "answer",
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("what", sa.String(length=20), nullable=False),
        sa.Column("language", sa.String(length=2), nullable=False),
        sa.Column("seed", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("made_with", sa.String(length=80), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_answer_walk_id")),
        sa.PrimaryKeyConstraint("walk_id", "what", "language", "seed", name=op.f("pk_answer")),
    )
    op.create_table(
        "offer",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("job_id", sa.String(length=36), nullable=False),
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("language", sa.String(length=2), nullable=False),
        sa.Column("issued_on", sa.Date(), nullable=False),
        sa.Column("expires_on", sa.Date(), nullable=True),
        sa.Column("request", Plain(), nullable=False),
        sa.Column("inputs", Plain(), nullable=True),
        sa.Column("answers", Plain(), nullable=True),
        sa.Column("says", Plain(), nullable=False),
        sa.Column("declined_because", sa.Text(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_offer_job_id")),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_offer_walk_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offer")),
        sa.UniqueConstraint("job_id", "number", "revision", name=op.f("uq_offer_job_id_number_revision")),
    )
    op.create_index(op.f("ix_offer_job_id"), "offer", ["job_id"], unique=False)
    op.create_index(op.f("ix_offer_walk_id"), "offer", ["walk_id"], unique=False)
    op.create_table(
        "photo",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("media", sa.String(length=40), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("facts", Plain(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_photo_walk_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sa.UniqueConstraint("walk_id", "sha256", name=op.f("uq_photo_walk_id_sha256")),
    )
    op.create_index(op.f("ix_photo_sha256"), "photo", ["sha256"], unique=False)
    op.create_index(op.f("ix_photo_walk_id"), "photo", ["walk_id"], unique=False)
    op.create_table(
        "survey",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("media", sa.String(length=40), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_survey_walk_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_survey")),
        sa.UniqueConstraint("walk_id", "sha256", name=op.f("uq_survey_walk_id_sha256")),
    )
    op.create_index(op.f("ix_survey_sha256"), "survey", ["sha256"], unique=False)
    op.create_index(op.f("ix_survey_walk_id"), "survey", ["walk_id"], unique=False)
    op.create_table(
        "upload",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_upload_walk_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_upload")),
    )
    op.create_index(op.f("ix_upload_walk_id"), "upload", ["walk_id"], unique=False)
    op.create_index(op.f("ix_upload_who"), "upload", ["who"], unique=False)
    op.create_table(
        "walk_state",
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.LargeBinary(), nullable=False),
        sa.Column("vector", sa.LargeBinary(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_walk_state_walk_id")),
        sa.PrimaryKeyConstraint("walk_id", name=op.f("pk_walk_state")),
    )
    op.create_table(
        "walk_update",
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False),
        sa.Column("walk_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("device", sa.String(length=80), nullable=False),
        sa.Column("device_time", sa.String(length=40), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["walk_id"], ["walk.id"], name=op.f("fk_walk_update_walk_id")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_walk_update")),
        sa.UniqueConstraint("walk_id", "sha256", name=op.f("uq_walk_update_walk_id_sha256")),
    )
    op.create_index(op.f("ix_walk_update_walk_id"), "walk_update", ["walk_id"], unique=False)
    op.create_table(
        "acceptance",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("offer_id", sa.String(length=36), nullable=False),
        sa.Column("options", Plain(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("consent", sa.Text(), nullable=False),
        sa.Column("signed_on", sa.Date(), nullable=True),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["offer_id"], ["offer.id"], name=op.f("fk_acceptance_offer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_acceptance")),
        sa.UniqueConstraint("offer_id", name=op.f("uq_acceptance_offer_id")),
    )
    op.create_table(
        "link",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("offer_id", sa.String(length=36), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("scope", sa.String(length=10), nullable=False),
        sa.Column("expires_at", Instant(), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["offer_id"], ["offer.id"], name=op.f("fk_link_offer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_link_token_hash")),
    )
    op.create_index(op.f("ix_link_offer_id"), "link", ["offer_id"], unique=False)
    op.create_table(
        "paper",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("offer_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.ForeignKeyConstraint(["offer_id"], ["offer.id"], name=op.f("fk_paper_offer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
        sa.UniqueConstraint("offer_id", name=op.f("uq_paper_offer_id")),
    )
    op.create_table(
        "seal",
        sa.Column("chain", sa.String(length=16), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("offer_id", sa.String(length=36), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("mac", sa.String(length=64), nullable=False),
        sa.Column("key_id", sa.String(length=16), nullable=False),
        sa.ForeignKeyConstraint(["offer_id"], ["offer.id"], name=op.f("fk_seal_offer_id")),
        sa.PrimaryKeyConstraint("chain", "seq", name=op.f("pk_seal")),
        sa.UniqueConstraint("chain", "previous", name=op.f("uq_seal_chain_previous")),
        sa.UniqueConstraint("mac", name=op.f("uq_seal_mac")),
        sa.UniqueConstraint("offer_id", name=op.f("uq_seal_offer_id")),
    )
    op.create_table(
        "question",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("offer_id", sa.String(length=36), nullable=False),
        sa.Column("link_id", sa.String(length=36), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["link_id"], ["link.id"], name=op.f("fk_question_link_id")),
        sa.ForeignKeyConstraint(["offer_id"], ["offer.id"], name=op.f("fk_question_offer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_question")),
    )
    op.create_index(op.f("ix_question_link_id"), "question", ["link_id"], unique=False)
    op.create_index(op.f("ix_question_offer_id"), "question", ["offer_id"], unique=False)
    op.create_table(
        "session",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=True),
        sa.Column("link_id", sa.String(length=36), nullable=True),
        sa.Column("seen_at", Instant(), nullable=False),
        sa.Column("expires_at", Instant(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["link_id"], ["link.id"], name=op.f("fk_session_link_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_session_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_session")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_session_token_hash")),
    )
    op.create_index(op.f("ix_session_link_id"), "session", ["link_id"], unique=False)
    op.create_index(op.f("ix_session_person_id"), "session", ["person_id"], unique=False)

"""Every table. ``docs/reference/store.md`` is made from the comments here.

Three kinds of table: records, which people change and which are withdrawn instead of deleted; ledgers, which only
grow and which the database itself keeps from being changed; and caches, which can be dropped and made again.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Date, ForeignKey, Index, Integer, LargeBinary, String, Table, Text, text
from sqlalchemy import UniqueConstraint as Unique

from courtwright.store.columns import LINE, METADATA, Instant, Plain, hidden, key, record_table

#: Numbers its rows itself; SQLite does so for its own integer only.
_SEQUENCE = BigInteger().with_variant(Integer, "sqlite")


#: Work that is not done yet.
_OPEN = text("state IN ('waiting', 'running')")


def _to(table: str, *, null: bool = False, name: str = "") -> Column[str]:
    return Column(name or f"{table}_id", String(36), ForeignKey(f"{table}.id"), nullable=null, index=True)


# --- records -----------------------------------------------------------------------------------

person = record_table(
    "person",
    Column("name", String(LINE), nullable=False),
    Column("email", String(LINE), nullable=False),
    Column("role", String(20), nullable=False),
    Column("language", String(2), nullable=False),
    Column("units", String(6), nullable=False),
    hidden(Column("password_hash", String(LINE))),
    Unique("email"),
)

company = record_table(
    "company",
    Column("name", String(LINE), nullable=False),
    Column("licence", String(LINE), nullable=False),
    Column("address", String(LINE), nullable=False),
    Column("phone", String(LINE), nullable=False),
    Column("terms", Plain, nullable=False),
    Column("logo_sha256", String(64)),
)

house_rates = record_table(
    "house_rates",
    # The contractor's own rates by id: value, unit, date and note.
    Column("rates", Plain, nullable=False),
)

job = record_table(
    "job",
    Column("name", String(LINE), nullable=False),
    Column("customer", String(20)),
    Column("address", String(LINE), nullable=False),
    Column("stage", String(10), nullable=False),
    Column("units", String(6), nullable=False),
    Column("call", Plain, nullable=False),
    Column("note", Text, nullable=False),
    Column("sought", Text, nullable=False),
    Index("ix_job_changed_at_id", "changed_at", "id"),
)

assignment = record_table(
    "assignment",
    _to("job"),
    _to("person"),
    Unique("job_id", "person_id"),
)

walk = record_table(
    "walk",
    _to("job"),
    Column("name", String(LINE), nullable=False),
    Column("walked_on", Date),
)

photo = record_table(
    "photo",
    _to("walk"),
    Column("sha256", String(64), nullable=False, index=True),
    Column("name", String(LINE), nullable=False),
    Column("media", String(40), nullable=False),
    Column("size_bytes", BigInteger, nullable=False),
    Column("facts", Plain, nullable=False),
    Unique("walk_id", "sha256"),
)

survey = record_table(
    "survey",
    _to("walk"),
    Column("sha256", String(64), nullable=False, index=True),
    Column("name", String(LINE), nullable=False),
    Column("media", String(40), nullable=False),
    Column("size_bytes", BigInteger, nullable=False),
    Unique("walk_id", "sha256"),
)

upload = record_table(
    "upload",
    _to("walk"),
    Column("who", String(80), nullable=False, index=True),
    Column("sha256", String(64), nullable=False),
    Column("size_bytes", BigInteger, nullable=False),
    Column("name", String(LINE), nullable=False),
    Column("kind", String(10), nullable=False),
    Column("state", String(10), nullable=False),
)

offer = record_table(
    "offer",
    _to("job"),
    _to("walk"),
    Column("number", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("state", String(10), nullable=False),
    Column("language", String(2), nullable=False),
    Column("issued_on", Date, nullable=False),
    Column("expires_on", Date),
    Column("request", Plain, nullable=False),
    # What it was computed from: the files of the site by name and SHA-256, and the last update of the walk in them.
    Column("inputs", Plain),
    # What was made of it: every kept file by name and SHA-256, the estimate among them.
    Column("answers", Plain),
    # What it says, as its offer.json does; empty until its papers are made.
    Column("says", Plain, nullable=False),
    Column("declined_because", Text),
    Unique("job_id", "number", "revision"),
)

link = record_table(
    "link",
    _to("offer"),
    hidden(Column("token_hash", String(64), nullable=False, unique=True)),
    Column("scope", String(10), nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("made_by", String(80), nullable=False),
)

question = record_table(
    "question",
    _to("offer"),
    _to("link"),
    Column("text", Text, nullable=False),
    Column("answer", Text),
)

invitation = record_table(
    "invitation",
    hidden(Column("token_hash", String(64), nullable=False, unique=True)),
    Column("role", String(20), nullable=False),
    Column("email", String(LINE), nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("made_by", String(80), nullable=False),
    _to("person", null=True),
)

session = record_table(
    "session",
    hidden(Column("token_hash", String(64), nullable=False, unique=True)),
    _to("person", null=True),
    _to("link", null=True),
    Column("seen_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
)

entry = record_table(
    "entry",
    hidden(Column("token_hash", String(64), nullable=False, unique=True)),
    Column("opens", String(20), nullable=False),
    _to("person", null=True),
    Column("expires_at", Instant, nullable=False),
    Column("used_at", Instant),
)

task = record_table(
    "task",
    Column("kind", String(20), nullable=False),
    Column("about", String(36), nullable=False, index=True),
    _to("job", null=True),
    Column("by", String(80), nullable=False),
    # The right that its result asks for.
    Column("needs", String(20), nullable=False),
    Column("state", String(10), nullable=False),
    Column("request", Plain, nullable=False),
    # Of all that was asked: the same work is not done twice at a time.
    Column("asked_sha256", String(64), nullable=False),
    Column("input_sha256", String(64), nullable=False),
    Column("result_sha256", String(64)),
    Column("problem", Plain),
    Column("done", BigInteger, nullable=False),
    Column("of", BigInteger, nullable=False),
    Column("tries", Integer, nullable=False),
    # Whoever works on it; a result that comes with another lease than this comes too late.
    Column("lease", String(36)),
    Column("lease_until", Instant),
    Index("ix_task_state_made_at", "state", "made_at"),
    Index("uq_task_open", "asked_sha256", unique=True, sqlite_where=_OPEN, postgresql_where=_OPEN),
)

# --- ledgers: the database refuses a change ------------------------------------------------------

change = Table(
    "change",
    METADATA,
    Column("seq", _SEQUENCE, primary_key=True, autoincrement=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("record", String(20), nullable=False),
    Column("id", String(36), nullable=False),
    Column("action", String(20), nullable=False),
    Column("before", Plain),
    Column("after", Plain),
    Index("ix_change_record_id", "record", "id", "seq"),
)

event = Table(
    "event",
    METADATA,
    Column("seq", _SEQUENCE, primary_key=True, autoincrement=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("what", String(40), nullable=False),
    Column("about", String(80), nullable=False),
)

walk_update = Table(
    "walk_update",
    METADATA,
    Column("seq", _SEQUENCE, primary_key=True, autoincrement=True),
    _to("walk"),
    Column("sha256", String(64), nullable=False),
    Column("who", String(80), nullable=False),
    Column("device", String(80), nullable=False),
    Column("device_time", String(40), nullable=False),
    Column("at", Instant, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Unique("walk_id", "sha256"),
)

acceptance = Table(
    "acceptance",
    METADATA,
    key(),
    Column("offer_id", String(36), ForeignKey("offer.id"), nullable=False, unique=True),
    # The option that was chosen, by pad.
    Column("options", Plain, nullable=False),
    Column("name", String(LINE), nullable=False),
    Column("consent", Text, nullable=False),
    # The date beside a signature on paper.
    Column("signed_on", Date),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
)

seal = Table(
    "seal",
    METADATA,
    # Each office has a chain of its own; a job that is unpacked brings seals of another.
    Column("chain", String(16), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("offer_id", String(36), ForeignKey("offer.id"), nullable=False, unique=True),
    Column("at", Instant, nullable=False),
    Column("body", Text, nullable=False),
    Column("previous", String(64), nullable=False),
    Column("mac", String(64), nullable=False, unique=True),
    Column("key_id", String(16), nullable=False),
    Unique("chain", "previous"),
)

paper = Table(
    "paper",
    METADATA,
    key(),
    # The paper of an accepted offer, which shows its seal and is made after it.
    Column("offer_id", String(36), ForeignKey("offer.id"), nullable=False, unique=True),
    Column("sha256", String(64), nullable=False),
    Column("at", Instant, nullable=False),
)

blob = Table(
    "blob",
    METADATA,
    Column("sha256", String(64), primary_key=True),
    Column("size_bytes", BigInteger, nullable=False),
    Column("at", Instant, nullable=False),
)

# --- caches: may be dropped at any time ----------------------------------------------------------

walk_state = Table(
    "walk_state",
    METADATA,
    Column("walk_id", String(36), ForeignKey("walk.id"), primary_key=True),
    Column("seq", BigInteger, nullable=False),
    Column("state", LargeBinary, nullable=False),
    Column("vector", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
)

preview = Table(
    "preview",
    METADATA,
    Column("sha256", String(64), primary_key=True),
    Column("longest_px", Integer, primary_key=True),
    Column("preview_sha256", String(64), nullable=False),
    Column("at", Instant, nullable=False),
)

answer = Table(
    "answer",
    METADATA,
    Column("walk_id", String(36), ForeignKey("walk.id"), primary_key=True),
    Column("what", String(20), primary_key=True),
    Column("language", String(2), primary_key=True),
    Column("seed", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", BigInteger, nullable=False),
    # The release and the trade's data; another of either may answer otherwise.
    Column("made_with", String(80), nullable=False),
    Column("at", Instant, nullable=False),
    Column("sha256", String(64), nullable=False),
)

once = Table(
    "once",
    METADATA,
    Column("who", String(80), primary_key=True),
    Column("key", String(80), primary_key=True),
    Column("request_sha256", String(64), nullable=False),
    Column("record_id", String(36), nullable=False),
    Column("at", Instant, nullable=False),
)

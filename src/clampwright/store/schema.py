"""The tables, as the newest migration leaves them."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    Table,
    UniqueConstraint,
)

from clampwright.store.columns import TEXT, WHOLE

APPLICATION_ID = 0x436C7772
"""Marks a SQLite file as a store of this program ("Clwr"; PRAGMA application_id)."""

MARK = "clampwright log"
"""The same for PostgreSQL: the comment on the table of a log."""

REVISIONS = ("0001", "0002", "0003")
"""All schema versions this program knows, oldest first; a test holds them equal to the migrations,
so that an up-to-date store can be opened without loading alembic."""

METADATA = MetaData()

LOG = Table(
    "log",
    METADATA,
    Column("idx", WHOLE, primary_key=True, autoincrement=False),
    Column("id", TEXT, nullable=False),
    Column("job", TEXT),
    Column("job_seq", WHOLE),
    Column("kind", TEXT, nullable=False),
    Column("leaf_hash", LargeBinary, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("recorded", TEXT, nullable=False),
    CheckConstraint("idx >= 0", name="log_idx_from_zero"),
    CheckConstraint("length(leaf_hash) = 32", name="log_leaf_hash_is_sha256"),
    CheckConstraint("(job IS NULL) = (job_seq IS NULL)", name="log_place_with_job_only"),
    UniqueConstraint("id", name="log_id_once"),
    UniqueConstraint("job", "job_seq", name="log_place_in_job_once"),
    Index("log_by_kind", "kind"),
    sqlite_strict=True,
    comment=MARK,
)

CHECKPOINTS = Table(
    "checkpoints",
    METADATA,
    Column("size", WHOLE, primary_key=True, autoincrement=False),
    Column("root", LargeBinary, nullable=False),
    Column("note", TEXT, nullable=False),
    Column("made", TEXT, nullable=False),
    Column("peaks", LargeBinary),
    CheckConstraint("size >= 0", name="checkpoint_size_from_zero"),
    CheckConstraint("length(root) = 32", name="checkpoint_root_is_sha256"),
    sqlite_strict=True,
)

PEOPLE = Table(
    "people",
    METADATA,
    Column("id", TEXT, primary_key=True),
    Column("name", TEXT),
    Column("name_key", TEXT),
    Column("role", TEXT, nullable=False),
    Column("password", TEXT),
    Column("pin", TEXT),
    Column("added", TEXT, nullable=False),
    Column("erased", TEXT),
    CheckConstraint("(name IS NULL) = (name_key IS NULL)", name="person_name_with_its_key"),
    CheckConstraint(
        "erased IS NULL OR (name IS NULL AND password IS NULL AND pin IS NULL)",
        name="person_erased_is_erased",
    ),
    UniqueConstraint("name_key", name="person_name_once"),
    sqlite_strict=True,
)
"""People: what the log knows by a random id. Rows can be erased; the log stays whole."""

DEVICES = Table(
    "devices",
    METADATA,
    Column("id", TEXT, primary_key=True),
    Column("name", TEXT, nullable=False),
    Column("secret", LargeBinary, nullable=False),
    Column("enrolled", TEXT, nullable=False),
    Column("enrolled_by", TEXT, ForeignKey("people.id"), nullable=False),
    Column("ended", TEXT),
    UniqueConstraint("secret", name="device_secret_once"),
    sqlite_strict=True,
)
"""Devices on which a PIN is enough; of the secret in their cookie only the hash is kept."""

SESSIONS = Table(
    "sessions",
    METADATA,
    Column("id", TEXT, primary_key=True),
    Column("token", LargeBinary, nullable=False),
    Column("person", TEXT, ForeignKey("people.id"), nullable=False),
    Column("device", TEXT, ForeignKey("devices.id")),
    Column("how", TEXT, nullable=False),
    Column("act", TEXT),
    Column("entry", TEXT),
    Column("started", TEXT, nullable=False),
    Column("seen", TEXT, nullable=False),
    Column("ended", TEXT),
    CheckConstraint("(act IS NULL) = (entry IS NULL)", name="session_signs_one_entry"),
    UniqueConstraint("token", name="session_token_once"),
    Index("session_by_person", "person"),
    sqlite_strict=True,
)
"""Who is signed in where; a row with an act and an entry is a signature under that entry."""

ATTEMPTS = Table(
    "attempts",
    METADATA,
    Column("subject", TEXT, primary_key=True),
    Column("failures", WHOLE, nullable=False),
    Column("last", TEXT, nullable=False),
    sqlite_strict=True,
)
"""Wrong tries to sign in, by what was tried; counted before the answer is given."""

ERASABLE = (SESSIONS.name, ATTEMPTS.name, PEOPLE.name)
"""Tables out of which rows about a person can be erased."""

"""The tables, as the newest migration leaves them."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

APPLICATION_ID = 0x436C7772
"""Marks a SQLite file as a store of this program ("Clwr"; PRAGMA application_id)."""

REVISIONS = ("0001", "0002")
"""All schema versions this program knows, oldest first; a test holds them equal to the migrations,
so that an up-to-date store can be opened without loading alembic."""

METADATA = MetaData()

LOG = Table(
    "log",
    METADATA,
    Column("idx", Integer, primary_key=True, autoincrement=False),
    Column("id", Text, nullable=False),
    Column("job", Text),
    Column("job_seq", Integer),
    Column("kind", Text, nullable=False),
    Column("leaf_hash", LargeBinary, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("recorded", Text, nullable=False),
    CheckConstraint("idx >= 0", name="log_idx_from_zero"),
    CheckConstraint("length(leaf_hash) = 32", name="log_leaf_hash_is_sha256"),
    CheckConstraint("(job IS NULL) = (job_seq IS NULL)", name="log_place_with_job_only"),
    UniqueConstraint("id", name="log_id_once"),
    UniqueConstraint("job", "job_seq", name="log_place_in_job_once"),
    Index("log_by_kind", "kind"),
    sqlite_strict=True,
)

CHECKPOINTS = Table(
    "checkpoints",
    METADATA,
    Column("size", Integer, primary_key=True, autoincrement=False),
    Column("root", LargeBinary, nullable=False),
    Column("note", Text, nullable=False),
    Column("made", Text, nullable=False),
    Column("peaks", LargeBinary),
    CheckConstraint("size >= 0", name="checkpoint_size_from_zero"),
    CheckConstraint("length(root) = 32", name="checkpoint_root_is_sha256"),
    sqlite_strict=True,
)

"""People, the devices they enrolled, their sessions and wrong tries: all apart from the log."""

import sqlalchemy as sa
from alembic import op

from clampwright.store.columns import TEXT, WHOLE

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "people",
        sa.Column("id", TEXT, nullable=False),
        sa.Column("name", TEXT, nullable=True),
        sa.Column("name_key", TEXT, nullable=True),
        sa.Column("role", TEXT, nullable=False),
        sa.Column("password", TEXT, nullable=True),
        sa.Column("pin", TEXT, nullable=True),
        sa.Column("added", TEXT, nullable=False),
        sa.Column("erased", TEXT, nullable=True),
        sa.CheckConstraint("(name IS NULL) = (name_key IS NULL)", name="person_name_with_its_key"),
        sa.CheckConstraint(
            "erased IS NULL OR (name IS NULL AND password IS NULL AND pin IS NULL)",
            name="person_erased_is_erased",
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("name_key", name="person_name_once"),
        sqlite_strict=True,
    )
    op.create_table(
        "devices",
        sa.Column("id", TEXT, nullable=False),
        sa.Column("name", TEXT, nullable=False),
        sa.Column("secret", sa.LargeBinary(), nullable=False),
        sa.Column("enrolled", TEXT, nullable=False),
        sa.Column("enrolled_by", TEXT, nullable=False),
        sa.Column("ended", TEXT, nullable=True),
        sa.ForeignKeyConstraint(["enrolled_by"], ["people.id"]),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("secret", name="device_secret_once"),
        sqlite_strict=True,
    )
    op.create_table(
        "sessions",
        sa.Column("id", TEXT, nullable=False),
        sa.Column("token", sa.LargeBinary(), nullable=False),
        sa.Column("person", TEXT, nullable=False),
        sa.Column("device", TEXT, nullable=True),
        sa.Column("how", TEXT, nullable=False),
        sa.Column("act", TEXT, nullable=True),
        sa.Column("entry", TEXT, nullable=True),
        sa.Column("started", TEXT, nullable=False),
        sa.Column("seen", TEXT, nullable=False),
        sa.Column("ended", TEXT, nullable=True),
        sa.CheckConstraint("(act IS NULL) = (entry IS NULL)", name="session_signs_one_entry"),
        sa.ForeignKeyConstraint(["person"], ["people.id"]),
        sa.ForeignKeyConstraint(["device"], ["devices.id"]),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("token", name="session_token_once"),
        sqlite_strict=True,
    )
    op.create_index("session_by_person", "sessions", ["person"])
    op.create_table(
        "attempts",
        sa.Column("subject", TEXT, nullable=False),
        sa.Column("failures", WHOLE, nullable=False),
        sa.Column("last", TEXT, nullable=False),
        sa.PrimaryKeyConstraint("subject"),
        sqlite_strict=True,
    )

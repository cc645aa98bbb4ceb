"""The log and its signed heads, both append-only."""

import sqlalchemy as sa
from alembic import op

from clampwright.store.columns import TEXT, WHOLE

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPLICATION_ID = 0x436C7772

# RAISE in a trigger is the last guard: against this program's own mistakes, and against hands with
# another tool. INSERT OR REPLACE would delete rows without firing a delete trigger, so the insert
# triggers look for what it would replace.
SQLITE_TRIGGERS = (
    """
    CREATE TRIGGER log_is_not_updated BEFORE UPDATE ON log
    BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END
    """,
    """
    CREATE TRIGGER log_is_not_deleted BEFORE DELETE ON log
    BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END
    """,
    """
    CREATE TRIGGER log_grows_at_its_end BEFORE INSERT ON log
    WHEN NEW.idx IS NOT (SELECT coalesce(max(idx) + 1, 0) FROM log)
      OR EXISTS (SELECT 1 FROM log WHERE id = NEW.id)
      OR EXISTS (SELECT 1 FROM log WHERE job = NEW.job AND job_seq = NEW.job_seq)
    BEGIN SELECT RAISE(ABORT, 'the log grows at its end only'); END
    """,
    """
    CREATE TRIGGER checkpoints_are_not_updated BEFORE UPDATE ON checkpoints
    BEGIN SELECT RAISE(ABORT, 'signed heads are kept'); END
    """,
    """
    CREATE TRIGGER checkpoints_are_not_deleted BEFORE DELETE ON checkpoints
    BEGIN SELECT RAISE(ABORT, 'signed heads are kept'); END
    """,
    """
    CREATE TRIGGER checkpoints_are_not_replaced BEFORE INSERT ON checkpoints
    WHEN EXISTS (SELECT 1 FROM checkpoints WHERE size = NEW.size)
    BEGIN SELECT RAISE(ABORT, 'signed heads are kept'); END
    """,
)

# The same guards for PostgreSQL, where no statement replaces rows without an update trigger. What
# an INSERT of several rows has put in already is seen by the trigger of its next row
# (https://www.postgresql.org/docs/15/trigger-datachanges.html). The log is named with its schema,
# so that the guard holds whatever search path another tool has set.
POSTGRESQL_TRIGGERS = (
    """
    CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION '%', TG_ARGV[0]; END $$
    """,
    """
    CREATE FUNCTION grow_at_the_end() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE following bigint;
    BEGIN
        EXECUTE format('SELECT coalesce(max(idx) + 1, 0) FROM %I.log', TG_TABLE_SCHEMA)
            INTO following;
        IF NEW.idx IS DISTINCT FROM following THEN
            RAISE EXCEPTION 'the log grows at its end only';
        END IF;
        RETURN NEW;
    END $$
    """,
    """
    CREATE TRIGGER log_is_not_updated BEFORE UPDATE OR DELETE ON log
    FOR EACH ROW EXECUTE FUNCTION refuse_change('the log is append-only')
    """,
    """
    CREATE TRIGGER log_is_not_emptied BEFORE TRUNCATE ON log
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change('the log is append-only')
    """,
    """
    CREATE TRIGGER log_grows_at_its_end BEFORE INSERT ON log
    FOR EACH ROW EXECUTE FUNCTION grow_at_the_end()
    """,
    """
    CREATE TRIGGER checkpoints_are_not_updated BEFORE UPDATE OR DELETE ON checkpoints
    FOR EACH ROW EXECUTE FUNCTION refuse_change('signed heads are kept')
    """,
    """
    CREATE TRIGGER checkpoints_are_not_emptied BEFORE TRUNCATE ON checkpoints
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change('signed heads are kept')
    """,
    "COMMENT ON TABLE log IS 'clampwright log'",
)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "log",
        sa.Column("idx", WHOLE, autoincrement=False, nullable=False),
        sa.Column("id", TEXT, nullable=False),
        sa.Column("job", TEXT, nullable=True),
        sa.Column("job_seq", WHOLE, nullable=True),
        sa.Column("kind", TEXT, nullable=False),
        sa.Column("leaf_hash", sa.LargeBinary(), nullable=False),
        sa.Column("bytes", sa.LargeBinary(), nullable=False),
        sa.Column("recorded", TEXT, nullable=False),
        sa.CheckConstraint("idx >= 0", name="log_idx_from_zero"),
        sa.CheckConstraint("length(leaf_hash) = 32", name="log_leaf_hash_is_sha256"),
        sa.CheckConstraint("(job IS NULL) = (job_seq IS NULL)", name="log_place_with_job_only"),
        sa.PrimaryKeyConstraint("idx"),
        sa.UniqueConstraint("id", name="log_id_once"),
        sa.UniqueConstraint("job", "job_seq", name="log_place_in_job_once"),
        sqlite_strict=True,
    )
    op.create_index("log_by_kind", "log", ["kind"])
    op.create_table(
        "checkpoints",
        sa.Column("size", WHOLE, autoincrement=False, nullable=False),
        sa.Column("root", sa.LargeBinary(), nullable=False),
        sa.Column("note", TEXT, nullable=False),
        sa.Column("made", TEXT, nullable=False),
        sa.CheckConstraint("size >= 0", name="checkpoint_size_from_zero"),
        sa.CheckConstraint("length(root) = 32", name="checkpoint_root_is_sha256"),
        sa.PrimaryKeyConstraint("size"),
        sqlite_strict=True,
    )
    if op.get_bind().dialect.name == "sqlite":
        for trigger in SQLITE_TRIGGERS:
            op.execute(trigger)
        op.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    else:
        for statement in POSTGRESQL_TRIGGERS:
            op.execute(sa.text(statement))

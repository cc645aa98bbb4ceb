"""The tree's right edge beside each signed head, so that a long log opens at once."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; heads signed before have none, and are taken in entry by entry."""
    op.add_column("checkpoints", sa.Column("peaks", sa.LargeBinary(), nullable=True))

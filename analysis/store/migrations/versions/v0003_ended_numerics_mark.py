"""Version 3: how a recording ended, by which numerics its numbers came, and from which mark a turn counts.

Append-only: this file is never changed, the next version is the next file.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the columns; of what is there only the ending can be told: finished and closed, or interrupted."""
    op.add_column("recordings", sa.Column("ended", sa.String(16)))
    op.add_column("analyses", sa.Column("numerics", sa.Integer))
    op.add_column("turns", sa.Column("numerics", sa.Integer))
    op.add_column("turns", sa.Column("mark", sa.Text))
    recordings = sa.table("recordings", sa.column("ended", sa.String), sa.column("closed", sa.Boolean))
    op.execute(recordings.update().values(ended="interrupted"))
    op.execute(recordings.update().where(recordings.c.closed.is_(True)).values(ended="closed"))

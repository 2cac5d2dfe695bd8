"""Version 2: what a person noted of a turn: a star, left out and why, and each taken back.

Append-only: this file is never changed, the next version is the next file.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Create the table of notes."""
    op.create_table(
        "turn_notes",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("turn_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("recorded", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="turn_notes_key"),
        sa.ForeignKeyConstraint(["turn_id"], ["turns.id"], name="turn_notes_of_turn"),
        sqlite_autoincrement=True,
    )
    op.create_index("turn_notes_by_turn", "turn_notes", ["turn_id", "id"])

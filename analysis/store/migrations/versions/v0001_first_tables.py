"""Version 1: recordings, analyses, turns and the vectors of their orders.

Append-only: this file is never changed, the next version is the next file. Types are written out here and
not taken from schema.py, which goes on changing.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create the first tables."""
    op.create_table(
        "recordings",
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("file", sa.Text, nullable=False),
        sa.Column("started", sa.String(40), nullable=False),
        sa.Column("part", sa.Text, nullable=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("stage", sa.Text, nullable=False),
        sa.Column("surface", sa.Text, nullable=False),
        sa.Column("setup", sa.JSON, nullable=False),
        sa.Column("code_version", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64)),
        sa.Column("closed", sa.Boolean),
        sa.PrimaryKeyConstraint("recording_id", name="recordings_key"),
    )
    op.create_table(
        "analyses",
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("code_version", sa.Text, nullable=False),
        sa.Column("options", sa.JSON),
        sa.Column("state", sa.String(16)),
        sa.Column("result", sa.JSON),
        sa.PrimaryKeyConstraint("recording_id", "edition", name="analyses_key"),
        sa.ForeignKeyConstraint(["recording_id"], ["recordings.recording_id"], name="analyses_of_recording"),
    )
    op.create_table(
        "turns",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("turn", sa.Integer, nullable=False),
        sa.Column("part", sa.Text, nullable=False),
        sa.Column("stage", sa.Text, nullable=False),
        sa.Column("direction", sa.Integer, nullable=False),
        sa.Column("recorded", sa.String(40), nullable=False),
        sa.Column("samples", sa.Integer, nullable=False),
        sa.Column("gauge_values", sa.Integer, nullable=False),
        sa.Column("coverage", sa.Double),
        sa.Column("largest_gap_deg", sa.Double),
        sa.Column("rpm", sa.Double),
        sa.Column("tir_raw_mm", sa.Double),
        sa.Column("tir_fit_mm", sa.Double),
        sa.Column("tir_first_mm", sa.Double),
        sa.Column("high_point_deg", sa.Double),
        sa.Column("highest_order", sa.Integer, nullable=False),
        sa.Column("code_version", sa.Text, nullable=False),
        sa.Column("options", sa.JSON, nullable=False),
        sa.PrimaryKeyConstraint("id", name="turns_key"),
        sa.ForeignKeyConstraint(
            ["recording_id", "edition"],
            ["analyses.recording_id", "analyses.edition"],
            name="turns_of_analysis",
        ),
        sqlite_autoincrement=True,
    )
    op.create_index("turns_by_part", "turns", ["part", "edition", "id"])
    op.create_index("turns_by_edition", "turns", ["edition", "id"])
    op.create_index("turns_by_recording", "turns", ["recording_id", "edition", "turn"])
    op.create_table(
        "turn_orders",
        sa.Column("turn_id", sa.Integer, nullable=False),
        sa.Column("n", sa.Integer, nullable=False),
        sa.Column("cos_mm", sa.Double, nullable=False),
        sa.Column("sin_mm", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("turn_id", "n", name="turn_orders_key"),
        sa.ForeignKeyConstraint(["turn_id"], ["turns.id"], name="turn_orders_of_turn"),
    )
